"""How every adapter enters an act: read it, open one transaction, perform, commit.

The log's new head is signed afterwards, by the server's upkeep or by the command that entered the act: once an act is
in the log, nothing that fails later may tell its sender otherwise.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Protocol

from registry import bench
from registry.acts import door, preparing
from registry.acts.door import Answer, Done, Ready, Signer
from registry.instance import Instance


class Dice(Protocol):
    """What draws label codes: `secrets.SystemRandom()`, or a seeded one for the demo and tests."""

    randrange: Callable[[int], int]
    getrandbits: Callable[[int], int]


def prepare(instance: Instance, sent: Any, signer: Signer, *, now: datetime) -> Ready:
    """The act these fields stand for, ready to be entered. Raises `Refused` with every fault of form."""
    return preparing.prepare(sent, signer, instance.files, bench.worked_out, now=now)


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
