"""A record that has been lived in: at least one row in every folded table, stays that are live, closed and voided."""

import sqlalchemy as sa

from registry.models.base import metadata
from registry.models.database import Database
from tests import lived
from tests.cast import World
from tests.samples import NOTE_GIVEN


def lived_in(world: World) -> World:
    """p1 sits in Teasel A (its first span is voided), p2 was in Teasel B for two hours, p5 for one, the pair `gone` has
    ended."""
    lived.lived_in(world)
    world.install("p5", "teasel B", "9 12:00")
    world.remove("p5", "teasel B", "9 13:00")
    world.do("attach_file", "11 10:30", name="file", half="p1 s", files=[NOTE_GIVEN], words="the bench log")
    _remember_spans(world)
    return world


def over(world: World, database: Database) -> World:
    """The same outfit over another database."""
    copy = World(database, world.now, dict(world.ids))
    copy.dice.setstate(world.dice.getstate())
    return copy


def _remember_spans(world: World) -> None:
    """`span 0` is the voided span of `install 1`, `span 1` its live one, `span 2` the closed one of `install 2`."""
    with world.database.reading() as db:
        for row in db.execute(sa.select(metadata.tables["installation_span"])):
            if row.opened_by == world.ids["install 1"]:
                world.ids["span 0" if row.voided_seq else "span 1"] = row.id
                world.ids["inst 1"] = row.installation_id
            elif row.opened_by == world.ids["install 2"]:
                world.ids["span 2"], world.ids["inst 2"] = row.id, row.installation_id
