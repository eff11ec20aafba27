"""A lawful new row for every table, so that a probe can spoil one thing in it and nothing else."""

from typing import Any

import sqlalchemy as sa

from registry.models.base import closing_columns, metadata
from registry.models.columns import Day, Flag, Id, Stamp
from tests.models.hand import Hand, new_id

SOON, LATE = "2026-05-19T10:00:00.000000Z", "2026-05-19T11:00:00.000000Z"
_SHA = b"\x07" * 32
#: What a copy of an old row must say otherwise to be lawful beside it. Names are looked up in the world.
_ELSE: dict[str, dict[str, Any]] = {
    "accepted_statement": {"unit_type_id": "reed", "grade": "letter"},
    "alignment_left": {"judged": "roll"},
    "alignment_part": {"part": "dvl_unit"},
    "alignment_residual": {"number": 9},
    "audit_line": {"audit_id": "A-2", "number": 900, "bay_id": None, "half_id": None, "label": "new"},
    "bay_type": {"bay_id": "teasel A", "unit_type_id": "sedge"},
    "acceptance": {"evidence_seq": 1},
    "audit": {"scope": "fleet", "site_id": None, "vehicle_id": None},
    "axis_check_motion": {"axis_check_id": "axis check", "motion": "turn"},
    "bag_opening": {"carton_id": "open carton"},
    "carried_file": {"sha256": "7" * 64},
    "carton": {"number": 9},
    "carton_opening": {"carton_id": "sealed carton"},
    "departure": {"person_id": "ida"},
    "firmware_permitted": {"version": "new"},
    "half_away": {"half_id": "lone e"},
    "identity": {"serial": "new"},
    "inspection": {"carton_id": "bag carton"},
    "installation": {"bay_id": "burdock A", "pairing_id": "p3", "sensor_id": "p3 s", "electronics_id": "p3 e"},
    "installation_span": {
        "installation_id": "inst 2", "bay_id": "teasel B", "pairing_id": "p2", "sensor_id": "p2 s", "electronics_id": "p2 e",
        "installed_at": "2026-04-01T09:00:00.000000Z", "removed_at": "2026-04-02T09:00:00.000000Z", "removed_offset_min": 0, "closed_by": "inst 2",
    },
    "loan": {"vehicle_id": "teasel", "pairing_id": None},
    "log_checkpoint": {"size": 7, "note": "none"},
    "log_node": {"level": 50},
    "mission_run": {"vehicle_id": "spare hull"},
    "mounting_pose": {"number": 99},
    "pairing": {"sensor_id": "lone s", "electronics_id": "lone e", "unit_type_id": "reed", "name": "new"},
    "person_private": {"person_id": new_id("fresh person"), "badge": "new"},
    "person_role": {"person_id": "ida", "role": "auditor"},
    "readback_value": {"number": 99},
    "retirement": {"half_id": "lone s"},
    "settings_sheet": {"version": 99},
    "settings_value": {"number": 99},
    "withdrawal": {"withdrawn_act_id": new_id("another act")},
}  # fmt: skip
_CLOSED_BY = {
    "end_reason": "none",
    "closed_by": "inst 2",
    "released_by_id": "rosa",
    "release_reason": "r",
    "evidence": "e",
    "settled_by_id": "rosa",
    "answered_by_id": "rosa",
    "answer": "a",
    "reviewed_by_id": "rosa",
    "closed_by_id": "rosa",
    "words": "w",
    "said": "s",
    "outcome": "untouched",
    "review": "agreed",
    "review_words": "w",
    "withdrawn_by_id": "rosa",
    "why_withdrawn": "w",
}


def fresh(hand: Hand, name: str, ids: dict[str, str], **spoilt: Any) -> dict[str, Any]:
    """A new row of the table `name` under the newest entry; `spoilt` columns are taken as they are."""
    table = metadata.tables[name]
    if name == "person_private":  # Everybody has one: it takes a new person.
        hand.db.execute(metadata.tables["person"].insert(), fresh(hand, "person", ids))
    row = _pattern(hand, table) or {column.name: _something(column, ids) for column in table.c}
    for column, value in _ELSE.get(name, {}).items():
        row[column] = ids.get(value, value) if isinstance(value, str) else value
    return row | {
        column: ids.get(value, value) if isinstance(value, str) else value for column, value in spoilt.items()
    }


def _something(column: sa.Column, ids: dict[str, str]) -> Any:
    """A value for a table that the lived-in record leaves empty: it is outside the fold."""
    if column.foreign_keys:
        return ids["ida"]
    kinds = {
        Id: new_id(f"fresh {column}"),
        Stamp: SOON,
        Day: "2026-05-19",
        Flag: True,
        sa.LargeBinary: _SHA,
        sa.Integer: 1,
    }
    return next((value for kind, value in kinds.items() if isinstance(column.type, kind)), "x")


def closed(name: str, ids: dict[str, str], seq: int, **but: Any) -> dict[str, Any]:
    """All the columns that closing a row of this table fills in."""
    table = metadata.tables[name]
    until = table.info["stay"].until
    told = {column: ids.get(_CLOSED_BY.get(column, ""), _CLOSED_BY.get(column)) for column in closing_columns(table)}
    at = "2026-04-02T09:00:00.000000Z" if name == "installation_span" else LATE
    if name == "crossing":
        told["outcome"] = "crossed"
    return told | {until: at, until.replace("_at", "_offset_min"): 0, "closed_seq": seq} | but


def _pattern(hand: Hand, table: sa.Table) -> dict[str, Any]:
    """An old row under a new id and the newest entry, its unique words changed, open and not voided."""
    old = hand.db.execute(sa.select(table).order_by(*table.primary_key.columns)).mappings().first()
    row = dict(old) if old else {}
    for constraint in table.constraints:
        if isinstance(constraint, sa.UniqueConstraint):
            for column in constraint.columns:
                if isinstance(column.type, sa.Text) and column.name != "kind" and isinstance(row.get(column.name), str):
                    row[column.name] += " new"
    if old is None:
        return {}
    if "id" in table.c:
        row["id"] = new_id(f"fresh {table.name}")
    for column in (*closing_columns(table), "closed_seq", "voided_seq"):
        if column in row:
            row[column] = None
    if "seq" in row:
        row["seq"] = hand.seq
    stay = table.info.get("stay")
    if stay and stay.since in row and isinstance(table.c[stay.since].type, Stamp):
        row[stay.since] = SOON
    if table.name == "installation_span":
        row["closed_seq"] = hand.seq
    if table.name == "log_entry":
        row |= {"seq": hand.seq + 1, "act_id": new_id("another act"), "origin_seq": hand.seq + 1}
    return row
