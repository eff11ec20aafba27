"""How every adapter enters an act: read it, open one transaction, perform, commit.

The log's new head is signed afterwards, by the server's upkeep or by the command that entered the act: once an act is
in the log, nothing that fails later may tell its sender otherwise.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Protocol

from registry import bench
from registry.acts import door
from registry.acts.act import Act
from registry.acts.door import Answer, Done, Ready, Signer
from registry.files import Files
from registry.instance import Instance


class Dice(Protocol):
    """What draws label codes: `secrets.SystemRandom()`, or a seeded one for the demo and tests."""

    randrange: Callable[[int], int]
    getrandbits: Callable[[int], int]


def prepare(instance: Instance, sent: Any, signer: Signer, *, now: datetime) -> Ready:
    """The act these fields stand for, ready to be entered. Raises `Refused` with every fault of form.

    Whether the files it names are there is asked under the lock: then nobody takes them away in between.
    """
    act, sent_sha, private = door.read_act(sent, now=now)
    return Ready(act, sent_sha, signer, private, before(act, instance.files))


def before(act: Act, files: Files, *, apart: bool = True) -> dict[str, Any]:
    """What an act is decided on besides rows: the files there are, and what its own recordings show."""
    worked_out = lambda sha256: bench.worked_out(files.path(sha256), sha256, apart=apart)  # noqa: E731
    return {"files": files.find, **act.beforehand(worked_out)}


def enter(instance: Instance, sent: Any, signer: Signer, *, now: datetime, dice: Dice) -> Done:
    """Enter one act. Raises `Refused`; then nothing was written and the sender may send it again."""
    ready = prepare(instance, sent, signer, now=now)
    with instance.database.writing() as db:
        return door.perform(db, ready, now=now, randbelow=dice.randrange)


def check(instance: Instance, sent: Any, signer: Signer, *, now: datetime, dice: Dice) -> Answer:
    """The go / no-go of one act: nothing is written."""
    ready = prepare(instance, sent, signer, now=now)
    with instance.database.reading() as db:
        return door.check(db, ready, now=now, randbelow=dice.randrange)
