"""How every adapter enters an act: read it, open one transaction, perform, commit.

What takes long is worked out in a process apart first. A door that may not wait for it says how long it has: then
`Unfinished` tells how far it is, and the same act sent again finds it further on, or done.

The log's new head is signed afterwards, by the server's upkeep or by the command that entered the act: once an act is
in the log, nothing that fails later may tell its sender otherwise.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Protocol

from registry import apart
from registry.acts import door, preparing
from registry.acts.door import Answer, Done, Ready, Signer
from registry.acts.long_work import LongWork, Told
from registry.apart import Job
from registry.instance import Instance

#: How long a page or a program is kept waiting for long work before it is told how far it is.
PATIENCE_S = 1.0


class Dice(Protocol):
    """What draws label codes: `secrets.SystemRandom()`, or a seeded one for the demo and tests."""

    randrange: Callable[[int], int]
    getrandbits: Callable[[int], int]


class Unfinished(Exception):
    """Long work of an act still runs: nothing was written. Sent again, the act finds it further on, or done."""

    def __init__(self, job: Job):
        self.job = job
        super().__init__(job.words)

    def as_json(self) -> dict[str, Any]:
        return {"share": self.job.share, "told": self.job.words}


def prepare(
    instance: Instance, sent: Any, signer: Signer, *, now: datetime, within_s: float | None, told: Told | None = None
) -> Ready:
    """The act these fields stand for, ready to be entered. Raises `Refused` with every fault of form, and `Unfinished`
    when its long work takes more than `within_s`; None waits for it, and `told` hears how far it is."""

    def work_out(work: LongWork) -> dict[str, Any]:
        job = apart.started(work, instance.files.path)
        if within_s is not None and not job.wait(within_s):
            raise Unfinished(job)
        return apart.waited_for(job, told)

    return preparing.prepare(sent, signer, instance.files, work_out, now=now)


def enter(
    instance: Instance,
    sent: Any,
    signer: Signer,
    *,
    now: datetime,
    dice: Dice,
    within_s: float | None = None,
    told: Told | None = None,
) -> Done:
    """Enter one act. Raises `Refused` or `Unfinished`; then nothing was written and the sender may send it again."""
    ready = prepare(instance, sent, signer, now=now, within_s=within_s, told=told)
    with instance.database.writing() as db:
        return door.perform(db, ready, now=now, randbelow=dice.randrange)


def check(
    instance: Instance, sent: Any, signer: Signer, *, now: datetime, dice: Dice, within_s: float | None = None
) -> Answer:
    """The go / no-go of one act: nothing is written. Raises `Unfinished` as `enter` does."""
    ready = prepare(instance, sent, signer, now=now, within_s=within_s)
    with instance.database.reading() as db:
        return door.check(db, ready, now=now, randbelow=dice.randrange)
