"""From an entry to rows: what each act leaves in the tables, and what it leaves besides: the hold of an act out of order,
the file of one that was carried over."""

from collections.abc import Iterator
from functools import cache
from itertools import count
from typing import Any

import sqlalchemy as sa

from registry.acts.act import ACTS, LIFT
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.models.base import metadata

HOLD_SUBJECTS = ("half_id", "pairing_id", "vehicle_id", "bay_id")


def lifted(entry: Entry) -> Entry:
    """An entry of an older version, with the body today's effects read."""
    while lift := LIFT.get((entry.act, entry.version)):
        told = lift({"act": entry.act, "version": entry.version, **entry.body})
        name, version = told.pop("act"), told.pop("version")
        entry = entry._replace(act=name, version=version, body=told)
    return entry


def effects_of(entry: Entry) -> list[Effect]:
    """Everything this entry does to the record. Pure."""
    entry = lifted(entry)
    return [*ACTS[entry.act].effects(entry), *_hold_of_disorder(entry), *_file_of(entry)]


def hold_row(entry: Entry, id_: str, column: str, subject: str, cause: str, reason: str) -> Add:
    """A hold placed by this entry on one thing."""
    row = dict.fromkeys(HOLD_SUBJECTS) | {column: subject}
    placed = entry.moment("placed") | no_moment("released")
    return Add(
        "hold",
        {
            "id": id_,
            **row,
            **placed,
            "cause": cause,
            "reason": reason,
            "placed_by_id": entry.by,
            "done_by_id": entry.done_by,
        },
    )


def _done_by(person: str, made: Add) -> Add:
    return made._replace(row=made.row | {"done_by_id": person})


def _hold_of_disorder(entry: Entry) -> list[Effect]:
    subjects = entry.decided.get("hold_on", [])
    if not entry.out_of_order() or not subjects:
        return []
    why = " ".join(reason["message"] for reason in entry.out_of_order())
    # An amendment says who did what it amends: that person does not release the hold either.
    did = entry.decided.get("did", entry.done_by)
    reason = f"Done out of order: {why} Reason given: {entry.body.get('why_out_of_order') or entry.body['why']}"
    return [
        _done_by(did, hold_row(entry, entry.derived(name), column, subject, "out_of_order", reason))
        for name, (column, subject) in zip(_hold_names(), subjects, strict=False)
    ]


def _file_of(entry: Entry) -> list[Effect]:
    """The spreadsheet that an entry was carried over from, by the first entry of it alone."""
    told = entry.decided.get("carried_over", {})
    if "size" not in told:
        return []
    row = {"sha256": told["sha256"], "size_bytes": told["size"], "name": told["name"], "carried_by_id": entry.by}
    carried = {"carried_at": entry.recorded_at, "carried_offset_min": 0}
    return [Add("carried_file", {"id": entry.derived("carried-file"), **row, **carried})]


def _hold_names() -> Iterator[str]:
    yield "order-hold"
    for number in count(2):
        yield f"order-hold:{number}"


def apply(db: sa.Connection, entry: Entry, effects: list[Effect]) -> None:
    """Write the effects of an entry whose place in the log is open."""
    for effect in effects:
        if isinstance(effect, Add):
            db.execute(_insert(effect.table), full_row(effect, entry.seq))
        elif isinstance(effect, Close):
            names = tuple(effect.row)
            db.execute(_update(effect.table, names, "closed_seq"), _values(effect.row, effect.id, entry.seq))
        else:
            db.execute(_update(effect.table, (), "voided_seq"), _values({}, effect.id, entry.seq))


def full_row(effect: Add, seq: int) -> dict[str, Any]:
    """Every column of the new row; what an effect does not name is empty."""
    row = dict.fromkeys(_columns(effect.table)) | effect.row
    row["seq"] = seq
    if row.get("closed_seq", 0) is None and _born_closed(effect.table, row):
        row["closed_seq"] = seq
    return row


def _born_closed(table: str, row: dict[str, Any]) -> bool:
    """A stay that is entered whole is closed by the entry that opens it."""
    stay = metadata.tables[table].info["stay"]
    return stay is not None and row[stay.until] is not None


def _values(row: dict[str, Any], id_: str, seq: int) -> dict[str, Any]:
    return {"id_": id_, "seq_": seq, **{f"{name}_": value for name, value in row.items()}}


@cache
def _columns(table: str) -> tuple[str, ...]:
    return tuple(column.name for column in metadata.tables[table].c)


@cache
def _insert(table: str) -> sa.Insert:
    return metadata.tables[table].insert()


@cache
def _update(table: str, names: tuple[str, ...], by: str) -> sa.Update:
    t = metadata.tables[table]
    values = {name: sa.bindparam(f"{name}_", type_=t.c[name].type) for name in names}
    return (
        t.update()
        .where(t.c.id == sa.bindparam("id_", type_=t.c.id.type))
        .values(**values, **{by: sa.bindparam("seq_")})
    )
