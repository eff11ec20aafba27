"""Everything that may leave the registry as tables: which tables, and their rows, a few thousand at a time."""

from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa

from registry.errors import Reason, Refused
from registry.models.base import folded_tables, metadata

#: Tables outside the fold that leave as a whole; every other stays, secrets above all.
OUTSIDE = ("log_head", "log_entry", "log_node", "log_checkpoint")
#: Leaves only when it is asked for by name.
NAMES = "person_private"
#: Rows read at once: memory stays the same however many there are.
AT_ONCE = 2000


def leaving(names: bool = False) -> list[sa.Table]:
    """Every table that may leave, referred-to tables first."""
    outside = [metadata.tables[name] for name in (*OUTSIDE, *([NAMES] if names else []))]
    return [*folded_tables(), *outside]


def chosen(wanted: list[str], names: bool = False) -> list[sa.Table]:
    """The tables of these names, all that may leave if none is named. Raises `Refused` for one that may not."""
    known = {table.name: table for table in leaving(names)}
    if missing := [name for name in wanted if name not in known]:
        told = f"{missing[0][:60]} is not a table that may leave."
        do = (
            "Ask for the names of people by their own option."
            if missing[0] == NAMES
            else f"The tables: {', '.join(known)}."
        )
        raise Refused(Reason("wrong_form", told, "table", do))
    return [known[name] for name in dict.fromkeys(wanted)] or list(known.values())


def counts(db: sa.Connection) -> dict[str, int]:
    """Table -> its rows. Folded tables grow only, so this is a walk over an index each."""
    return {table.name: db.execute(sa.select(sa.func.count()).select_from(table)).scalar_one() for table in leaving()}


def rows(db: sa.Connection, table: sa.Table) -> Iterator[tuple[Any, ...]]:
    """The rows of a table in the order of its key, as `cells` of plain Python values."""
    query = sa.select(table).order_by(*table.primary_key)
    plain = [_plain(column) for column in table.c]
    with db.execute(query, execution_options={"yield_per": AT_ONCE}) as result:
        for row in result:
            yield tuple(
                value if value is None or turn is None else turn(value) for turn, value in zip(plain, row, strict=True)
            )


def _plain(column: sa.Column[Any]) -> Any:
    """How a value of this column becomes text; None: it is plain already. Entries are JSON, other bytes are hashes."""
    if type(column.type) is sa.LargeBinary:
        return (lambda raw: bytes(raw).decode()) if column.name == "entry" else (lambda raw: bytes(raw).hex())
    return None
