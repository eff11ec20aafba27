"""From fields as sent to an act that is ready for the lock: read, and what takes long worked out."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from registry.acts.catalogue import ACTS
from registry.acts.door import Ready, Signer, read_act
from registry.acts.long_work import LongWork, Told
from registry.inertial.refusal import CannotCompute


class Kept(Protocol):
    """The folder of files: which is there, and where it lies."""

    find: Callable[[str, str], Any]
    path: Callable[[str], Path]


def prepare(
    sent: Any, signer: Signer, files: Kept, work_out: Callable[[LongWork], dict[str, Any]], *, now: datetime
) -> Ready:
    """The act these fields stand for, ready to be entered. Raises `Refused` with every fault of form.

    `work_out` gives the outcome of long work, as `worked_out_here` does. Whether the files it names are there is asked
    under the lock: then nobody takes them away in between.
    """
    act, sent_sha, private = read_act(sent, now=now)
    results = {"files": files.find, **act.prepared()}
    work = act.long_work()
    if work and all(files.path(sha256).is_file() for sha256 in work.files):
        results |= work_out(work)
    return Ready(act, sent_sha, signer, private, results)


def worked_out_here(
    work: LongWork, path_of: Callable[[str], Path], told: Told = lambda share, words: None
) -> dict[str, Any]:
    """The outcome of long work within this process: `worked_out`, or `cannot` with what is so and what to do."""
    try:
        paths = [path_of(sha256) for sha256 in work.files]
        return {"worked_out": ACTS[work.act].worked_out(work.figures, paths, told)}
    except CannotCompute as cannot:
        return {"cannot": [cannot.sentence, cannot.next]}
