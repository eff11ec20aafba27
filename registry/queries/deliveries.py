"""Deliveries with their cartons: what came in, how far each is unpacked, and which act comes next."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.deliveries import Carton
from registry.domain.matches import Half
from registry.errors import Offer
from registry.models.cartons import carton_of, cartons
from registry.models.deliveries import (
    carton,
    delivery,
    inspection,
    inspection_line,
    scope_line,
)
from registry.models.lookups import halves, pairings
from registry.models.seeks import EVER, in_force
from registry.models.sites import site

_entered = select(sa.func.count()).where(carton.c.delivery_id == delivery.c.id).scalar_subquery()
_inspected = (
    select(sa.func.count())
    .select_from(carton.join(inspection, inspection.c.carton_id == carton.c.id))
    .where(carton.c.delivery_id == delivery.c.id)
    .scalar_subquery()
)
_deliveries = (
    select(delivery, site.c.name.label("site"), _entered.label("entered"), _inspected.label("inspected"))
    .join(site, site.c.id == delivery.c.site_id)
    .order_by(delivery.c.arrived_at.desc(), delivery.c.id)
)
_one = _deliveries.where(delivery.c.id == bindparam("delivery"))
_in_order = cartons.order_by(carton.c.number, carton.c.taken_in_at)
_of_delivery = _in_order.where(carton.c.delivery_id == bindparam("delivery"))
_of_half = _in_order.where(carton.c.half_id == bindparam("half"))
_one_carton = cartons.where(carton.c.id == bindparam("carton"))
_lines = (
    select(inspection_line)
    .where(inspection_line.c.inspection_id.in_(bindparam("inspections", expanding=True)))
    .order_by(inspection_line.c.inspection_id, inspection_line.c.number)
)
_scope = (
    select(scope_line.c.unit_type_id, scope_line.c.item, scope_line.c.quantity)
    .where(in_force(scope_line, "since_at", "ended_at"))
    .order_by(scope_line.c.unit_type_id, scope_line.c.number)
)


@dataclass(frozen=True, slots=True)
class CartonShown:
    """A carton as pages show it: as it came in, its half and that half’s partner, and what was done with it so far."""

    carton: Carton
    row: sa.RowMapping
    half: Half | None
    mate: Half | None
    lines: tuple[sa.RowMapping, ...]
    scope: tuple[tuple[str, int], ...]

    @property
    def next(self) -> Offer | None:
        """The act that comes next; None when there is none."""
        if (come := self.carton.next_act()) is None:
            return None
        lines = line_fields(self.scope) if come[0] == "inspect_half" else {}
        return Offer(come[0], come[1], {"carton": self.carton.id, **lines})

    def told(self) -> dict[str, Any]:
        """All of it as plain data: what JSON says, over HTTP and at the command line alike."""
        return {
            **dict(self.row),
            "state": self.carton.state(),
            "half": asdict(self.half) if self.half else None,
            "partner": asdict(self.mate) if self.mate else None,
            "lines": [dict(line) for line in self.lines],
            "next": self.next.act if self.next else None,
        }


def line_fields(scope: Iterable[tuple[str, int]]) -> dict[str, str]:
    """The lines of a scope of delivery as a form takes them from an address."""
    return {
        f"lines-{number}-{name}": str(value)
        for number, (item, count) in enumerate(scope)
        for name, value in (("item", item), ("quantity", count))
    }


@dataclass(frozen=True, slots=True)
class DeliveryPage:
    """One delivery with its cartons, and how many are not entered yet."""

    row: sa.RowMapping
    cartons: tuple[CartonShown, ...]

    @property
    def missing(self) -> list[int]:
        """Numbers of the cartons nobody has entered."""
        there = {one.row["number"] for one in self.cartons}
        return [number for number in range(1, self.row["cartons"] + 1) if number not in there]

    def told(self) -> dict[str, Any]:
        """All of it as plain data."""
        return {**dict(self.row), "missing": self.missing, "contents": [one.told() for one in self.cartons]}


def deliveries_listed(db: sa.Connection) -> list[sa.RowMapping]:
    """Every delivery, newest first, with how many cartons are entered and inspected."""
    return list(db.execute(_deliveries).mappings())


def deliveries_told(db: sa.Connection) -> dict[str, Any]:
    """The list as plain data."""
    return {"deliveries": [dict(row) for row in deliveries_listed(db)]}


def delivery_page(db: sa.Connection, delivery_id: str, at: str) -> DeliveryPage:
    """One delivery and everything in it, as it stands at the instant."""
    row = db.execute(_one, {"delivery": delivery_id}).mappings().one()
    return DeliveryPage(row, _shown(db, db.execute(_of_delivery, {"delivery": delivery_id}).mappings().all(), at))


def cartons_of_half(db: sa.Connection, half_id: str, at: str) -> tuple[CartonShown, ...]:
    """The cartons a half came in, oldest first."""
    return _shown(db, db.execute(_of_half, {"half": half_id}).mappings().all(), at)


def carton_shown(db: sa.Connection, carton_id: str, at: str) -> CartonShown | None:
    """One carton, or None when there is none of that id."""
    shown = _shown(db, db.execute(_one_carton, {"carton": carton_id}).mappings().all(), at)
    return shown[0] if shown else None


def scopes(db: sa.Connection, at: str) -> dict[str, list[tuple[str, int]]]:
    """Unit type id -> lines of its scope of delivery in force."""
    found: dict[str, list[tuple[str, int]]] = {}
    for row in db.execute(_scope, {"at": at, "known": EVER}):
        found.setdefault(row.unit_type_id, []).append((row.item, row.quantity))
    return found


def _shown(db: sa.Connection, rows: Iterable[sa.RowMapping], at: str) -> tuple[CartonShown, ...]:
    rows = list(rows)
    ids = [row["half_id"] for row in rows if row["half_id"]]
    mates = {id_: p.partner(id_) for p in pairings(db, ids) if p.holds(at) for id_ in p.halves()}
    known = halves(db, [*ids, *(mates.get(id_, "") for id_ in ids)])
    inspections = [row["inspection_id"] for row in rows if row["inspection_id"]]
    lines = db.execute(_lines, {"inspections": inspections}).mappings().all() if inspections else []
    scope = scopes(db, at)
    return tuple(
        CartonShown(
            carton_of(row),
            row,
            known.get(row["half_id"]),
            known.get(mates.get(row["half_id"], "")),
            tuple(line for line in lines if line["inspection_id"] == row["inspection_id"]),
            tuple(scope.get(known[row["half_id"]].type_id, [])) if row["half_id"] else (),
        )
        for row in rows
    )
