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


def prepare(sent: Any, signer: Signer, files: Kept, work_out: Callable[[Path, str], Any], *, now: datetime) -> Ready:
    """The act these fields stand for, ready to be entered. Raises `Refused` with every fault of form.

    `work_out` says what a recording of a resting unit shows, from where it lies and its hash. Whether the files it names are there is asked under the lock: then nobody takes them away in between.
    """
    act, sent_sha, private = read_act(sent, now=now)
    ready = act.prepared(files.path, lambda sha256: work_out(files.path(sha256), sha256))
    return Ready(act, sent_sha, signer, private, {"files": files.find, **ready})
