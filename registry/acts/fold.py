"""The log folded in plain Python: what the tables must hold, and where they hold something else.

No database, guard or dialect takes part in folding: today's guards would refuse yesterday's history.
"""

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import sqlalchemy as sa

from registry.acts import catalogue  # noqa: F401  declares the acts whose effects are folded
from registry.acts.effects import effects_of, full_row
from registry.acts.entry import Add, Close, Entry
from registry.models.base import folded_tables

Rows = dict[str, dict[str, Any]]


class Unlike(NamedTuple):
    """One place where a table and the log differ. `column` is None when the whole row is missing or should not be."""

    table: str
    id: str
    column: str | None
    in_log: Any
    in_table: Any

    def say(self) -> str:
        if self.column:
            return f"{self.table} {self.id}: {self.column} is {self.in_table!r}, and the log says {self.in_log!r}."
        if self.in_table is None:
            return f"{self.table} {self.id}: the row is missing; the log has it."
        return f"{self.table} {self.id}: no entry of the log made this row."


def fold(entries: Iterable[Entry], tables: frozenset[str] | None = None) -> dict[str, Rows]:
    """`{table: {id: row}}` as the entries tell it, for all folded tables or only these."""
    folded: dict[str, Rows] = {t.name: {} for t in folded_tables() if tables is None or t.name in tables}
    for entry in entries:
        for effect in effects_of(entry):
            rows = folded.get(effect.table)
            if rows is None:
                continue
            if isinstance(effect, Add):
                rows[effect.row["id"]] = full_row(effect, entry.seq)
            elif isinstance(effect, Close):
                rows[effect.id] |= {**effect.row, "closed_seq": entry.seq}
            else:
                rows[effect.id]["voided_seq"] = entry.seq
    return folded


def compare(db: sa.Connection, folded: dict[str, Rows]) -> Iterator[Unlike]:
    """Where the tables differ from the fold, row by row and column by column, tables in order of reference."""
    for table in folded_tables():
        if table.name not in folded:
            continue
        wanted = dict(folded[table.name])
        for row in _streamed(db, table):
            mine = wanted.pop(row["id"], None)
            if mine is None:
                yield Unlike(table.name, row["id"], None, None, "a row")
                continue
            if mine != row:
                for name, value in row.items():
                    if mine[name] != value:
                        yield Unlike(table.name, row["id"], name, mine[name], value)
        for id_ in sorted(wanted):
            yield Unlike(table.name, id_, None, "a row", None)


def _streamed(db: sa.Connection, table: sa.Table) -> Iterator[sa.RowMapping]:
    """The rows of a table, a few thousand at a time; the cursor is closed however the reading ends."""
    with db.execute(sa.select(table).order_by(table.c.id), execution_options={"yield_per": 2000}) as result:
        yield from result.mappings()


def groups(size: int, most_rows: int = 400_000) -> list[frozenset[str]]:
    """Folded tables in groups, so that folding a log of `size` entries never holds more than about `most_rows` rows."""
    names = [t.name for t in folded_tables()]
    # An act leaves two to three rows on average, most of them in the tables of installs.
    share = max(1, min(len(names), size * 3 // most_rows + 1))
    return [frozenset(names[start::share]) for start in range(share)]
