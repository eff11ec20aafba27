"""Rows of a spreadsheet carried over in a test: through the door, by a keeper, in one transaction."""

import secrets
from collections.abc import Iterable

from registry.acts.door import Signer
from registry.acts.imports import Carrier, File, Group, groups
from registry.domain.carrying import VIA
from registry.domain.imports import SHEETS
from registry.domain.rows import Reading
from tests.cast import World
from tests.samples import CARRIED_GIVEN

FILE = File(CARRIED_GIVEN["sha256"], CARRIED_GIVEN["name"], CARRIED_GIVEN["size"])


def reading(kind: str) -> Reading:
    """Every column is called by its field."""
    return Reading(kind, {wanted.name: wanted.name for wanted in SHEETS[kind].columns})


def read(kind: str, rows: Iterable[dict[str, str]]) -> list[Group]:
    return list(groups(reading(kind), [(number, row, []) for number, row in enumerate(rows, 2)]))


def carrier(world: World, db, kind: str, by: str = "maren", file: File = FILE) -> Carrier:
    signer = Signer(world.ids[by], VIA)
    return Carrier(db, reading(kind), file, signer, world.now, secrets.SystemRandom().randrange)


def carry(world: World, kind: str, *rows: dict[str, str]) -> None:
    """All of it or nothing. Raises `Refused`."""
    todo = read(kind, rows)
    with world.database.writing() as db:
        one = carrier(world, db, kind)
        one.look_up(todo)
        for group in todo:
            one.enter(group)
