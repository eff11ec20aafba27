"""A registry on stage: everything a test does happens in one transaction, which is rolled back when the curtain falls.

Acts pass the same door over the same application connection; a refused one is undone by itself, as in real life.
"""

from dataclasses import dataclass
from typing import Any

import pytest
import sqlalchemy as sa

from registry.acts import door, log
from registry.acts.door import Answer, Done, Ready
from registry.acts.entry import Entry, read
from registry.acts.fold import compare, fold
from registry.errors import Refused
from registry.models.base import metadata
from registry.models.refusals import translated
from tests.cast import World
from tests.models.hand import record

COUNTED = " UNION ALL ".join(
    [
        "SELECT 'the log', size FROM log_head",
        *(f"SELECT '{name}', count(*) FROM {name}" for name in sorted(metadata.tables)),
    ]
)


@dataclass
class Stage(World):
    """A world whose acts all run on one open connection."""

    db: Any = None

    def enter(self, ready: Ready) -> Done:
        try:
            with translated(), self.db.begin_nested():
                return door.perform(self.db, ready, now=self.now, randbelow=self.dice.randrange)
        except Refused as refused:
            # Alone on a connection, the database has nothing to refuse that the rules had not refused before: the
            # go / no-go would have said go.
            assert refused.__cause__ is None, f"only the database refused {ready.act.name}: {refused}"
            raise

    def send(self, sent: dict[str, Any], by: str = "ida", second: str | None = None) -> Done:
        return self.enter(self.ready(sent, by, second))

    def answer(self, sent: dict[str, Any], by: str = "ida", second: str | None = None) -> Answer:
        """The go / no-go of these fields."""
        return door.check(self.db, self.ready(sent, by, second), now=self.now, randbelow=self.dice.randrange)

    def check(
        self, act: str, when: str = "10 12:00", *, by: str = "ida", second: str | None = None, **fields: Any
    ) -> Answer:
        return self.answer(self.sent(act, when, **fields), by, second)

    def refusal(self, sent: dict[str, Any], by: str = "ida", second: str | None = None) -> dict[str, str | None]:
        """The codes that refuse these fields, each with the field it is about. Nothing may have been stored by it."""
        before = self.trace()
        with pytest.raises(Refused) as caught:
            self.send(sent, by, second)
        assert self.trace() == before, "a refusal left a trace"
        return {reason.code: reason.field for reason in caught.value.reasons}

    # looking

    def size(self) -> int:
        return self.db.exec_driver_sql("SELECT size FROM log_head").scalar_one()

    def rows(self, table: str, **where: Any) -> list[Any]:
        """Rows of a table; names of known things stand for their ids."""
        t = metadata.tables[table]
        query = sa.select(t).where(*(t.c[name] == self._known(value) for name, value in where.items()))
        return list(self.db.execute(query.order_by(*t.primary_key.columns)))

    def row(self, table: str, **where: Any) -> Any:
        rows = self.rows(table, **where)
        assert len(rows) == 1, rows
        return rows[0]

    def entries(self, upto: int | None = None) -> list[Entry]:
        return [read(stored.raw) for stored in log.rows(self.db, upto=upto)]

    def unlike(self) -> list[str]:
        """Where the tables differ from the fold of the log."""
        return [found.say() for found in compare(self.db, fold(self.entries()))]

    def trace(self) -> list[Any]:
        """The head of the log and how many rows every table holds: no row changes without an entry (tests/models)."""
        return self.db.exec_driver_sql(COUNTED).all()

    def record(self) -> list[Any]:
        """Every row of every table."""
        return record(self.db)


def staged(world: World, db: sa.Connection) -> Stage:
    stage = Stage(world.database, world.now, dict(world.ids), db=db)
    stage.dice.setstate(world.dice.getstate())
    return stage
