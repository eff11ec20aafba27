"""What unit types demand of settings at an instant: ports, whether a sheet is needed, the firmware that is permitted."""

from collections import defaultdict
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import select

from registry.models.seeks import AT, EVER, known
from registry.models.type_settings import firmware_list, firmware_permitted, type_ports

_ports = (
    select(type_ports)
    .where(known(type_ports), type_ports.c.since_at <= AT)
    .order_by(type_ports.c.since_at, type_ports.c.seq)
)
_permitted = (
    select(firmware_list.c.id, firmware_list.c.unit_type_id, firmware_list.c.reason, firmware_list.c.since_at, firmware_permitted.c.kind, firmware_permitted.c.version)
    .join(firmware_permitted, firmware_permitted.c.firmware_list_id == firmware_list.c.id)
    .where(known(firmware_list), firmware_list.c.since_at <= AT)
    .order_by(firmware_list.c.since_at, firmware_list.c.seq, firmware_permitted.c.kind, firmware_permitted.c.version)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Demands:
    """`ports` as stated last, None if never by an act of its own; `firmware` the lines of the list in force."""

    ports: sa.RowMapping | None = None
    firmware: tuple[sa.RowMapping, ...] = ()


def demands(db: sa.Connection, at: str, known_size: int = EVER) -> dict[str, Demands]:
    """Type id -> what it demands, for every type that demands something. Two statements."""
    keys = {"at": at, "known": known_size}
    ports = {row["unit_type_id"]: row for row in db.execute(_ports, keys).mappings()}
    lines: dict[str, list[sa.RowMapping]] = defaultdict(list)
    for row in db.execute(_permitted, keys).mappings():
        mine = lines[row["unit_type_id"]]
        if mine and mine[0]["id"] != row["id"]:
            mine.clear()
        mine.append(row)
    return {id_: Demands(ports.get(id_), tuple(lines.get(id_, ()))) for id_ in {*ports, *lines}}
