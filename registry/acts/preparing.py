"""From fields as sent to an act that is ready for the lock: read, and what takes long worked out."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from registry.acts.door import Ready, Signer, read_act


class Kept(Protocol):
    """The folder of files: which is there, and where it lies."""

    find: Callable[[str, str], Any]
    path: Callable[[str], Path]


def prepare(sent: Any, signer: Signer, files: Kept, *, now: datetime) -> Ready:
    """The act these fields stand for, ready to be entered. Raises `Refused` with every fault of form.

    Whether the files it names are there is asked under the lock: then nobody takes them away in between.
    """
    act, sent_sha, private = read_act(sent, now=now)
    return Ready(act, sent_sha, signer, private, {"files": files.find, **act.prepared(files.path)})
