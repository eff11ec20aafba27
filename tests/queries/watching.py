"""Watching which statements a query sends, and how SQLite would run them."""

import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import sqlalchemy as sa

from registry.models.database import Database
from tests.cast import World


class Sent(NamedTuple):
    sql: str
    values: Any


@contextmanager
def watched(database: Database) -> Iterator[list[Sent]]:
    """Every statement that a reading connection sends within the block."""
    sent: list[Sent] = []

    def note(_db: Any, _cursor: Any, statement: str, parameters: Any, _context: Any, _many: bool) -> None:
        sent.append(Sent(statement, parameters))

    sa.event.listen(database._reader, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        sa.event.remove(database._reader, "before_cursor_execute", note)


def statements(world: World, ask: Callable[[sa.Connection], Any]) -> list[Sent]:
    """The statements one question costs. Asked once before, so that nothing that is done once is counted."""
    with world.database.reading() as db:
        ask(db)
        with watched(world.database) as sent:
            ask(db)
    return sent


def plan(world: World, sent: Sent) -> list[str]:
    """The steps SQLite takes, `SEARCH … USING INDEX …` or `SCAN …`, from a connection that nothing restrains."""
    db = sqlite3.connect(world.database.url.database or "")
    try:
        return [row[3] for row in db.execute(f"EXPLAIN QUERY PLAN {sent.sql}", sent.values)]
    finally:
        db.close()


def names_of(table: str, sql: str) -> set[str]:
    """The table and every other name it goes by in this statement."""
    return {table, *re.findall(rf"\b{table} AS (\w+)", sql)}


def scanned(table: str, sent: Sent, steps: list[str]) -> list[str]:
    """Steps that read all of this table."""
    names = names_of(table, sent.sql)
    return [step for step in steps if (found := re.match(r"SCAN (\w+)", step)) and found[1] in names]


def opened(source: tuple[Path, World], folder: Path) -> World:
    """A copy of the furnished registry in a folder of its own."""
    path = Path(shutil.copy(source[0], folder / "registry.sqlite3"))
    world = World(Database(f"sqlite:///{path}"), source[1].now, dict(source[1].ids))
    world.dice.setstate(source[1].dice.getstate())
    return world
