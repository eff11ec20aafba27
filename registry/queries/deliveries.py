"""Deliveries with their cartons: what came in, how far each is unpacked, and which act comes next."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.deliveries import Carton
from registry.domain.matches import Half
from registry.errors import Offer
from registry.models.deliveries import (
    bag_opening,
    carton,
    carton_opening,
    delivery,
    inspection,
    inspection_line,
    power_up,
    scope_line,
)
from registry.models.lookups import halves, pairings
from registry.models.seeks import EVER, in_force
from registry.models.sites import site, station

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
_cartons = (
    select(
        carton, delivery.c.reference, delivery.c.site_id, station.c.name.label("station"), carton_opening.c.station_id, carton_opening.c.alone,
        carton_opening.c.opened_at, bag_opening.c.opened_at.label("bag_opened_at"), bag_opening.c.warmth, inspection.c.id.label("inspection_id"),
        inspection.c.inspected_at, inspection.c.outcome, inspection.c.agrees, inspection.c.bag, inspection.c.words.label("found"),
    )
    .join(delivery, delivery.c.id == carton.c.delivery_id)
    .outerjoin(carton_opening, carton_opening.c.carton_id == carton.c.id)
    .outerjoin(station, station.c.id == carton_opening.c.station_id)
    .outerjoin(bag_opening, bag_opening.c.carton_id == carton.c.id)
    .outerjoin(inspection, inspection.c.carton_id == carton.c.id)
    .order_by(carton.c.number, carton.c.taken_in_at)
)  # fmt: skip
_of_delivery = _cartons.where(carton.c.delivery_id == bindparam("delivery"))
_of_half = _cartons.where(carton.c.half_id == bindparam("half"))
_one_carton = _cartons.where(carton.c.id == bindparam("carton"))
_lines = (
    select(inspection_line)
    .where(inspection_line.c.inspection_id.in_(bindparam("inspections", expanding=True)))
    .order_by(inspection_line.c.inspection_id, inspection_line.c.id)
)
_scope = (
    select(scope_line.c.unit_type_id, scope_line.c.item, scope_line.c.quantity)
    .where(in_force(scope_line, "since_at", "ended_at"))
    .order_by(scope_line.c.unit_type_id, scope_line.c.seq, scope_line.c.id)
)
_power_ups = select(power_up).where(power_up.c.pairing_id == bindparam("pair")).order_by(power_up.c.powered_at.desc())


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
        fields = {"carton": self.carton.id}
        if self.carton.inspected_at or (self.half is None and self.carton.opened_at):
            return None
        if self.carton.bag_opened_at:
            return Offer("inspect_half", "Inspect the half", fields | line_fields(self.scope))
        if self.carton.opened_at:
            return Offer("open_bag", "Open the bag", fields)
        return Offer("open_carton", "Open the carton", fields)


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


def deliveries_listed(db: sa.Connection) -> list[sa.RowMapping]:
    """Every delivery, newest first, with how many cartons are entered and inspected."""
    return list(db.execute(_deliveries).mappings())


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


def power_ups_of(db: sa.Connection, pair_id: str) -> list[sa.RowMapping]:
    """The bench power-ups of a pair, newest first."""
    return list(db.execute(_power_ups, {"pair": pair_id}).mappings())


def _shown(db: sa.Connection, rows: Iterable[sa.RowMapping], at: str) -> tuple[CartonShown, ...]:
    rows = list(rows)
    ids = [row["half_id"] for row in rows if row["half_id"]]
    live = [p for p in pairings(db, ids) if p.paired_at <= at and (p.ended_at is None or at < p.ended_at)]
    mates = {id_: p.partner(id_) for p in live for id_ in p.halves()}
    known = halves(db, [*ids, *(mates.get(id_, "") for id_ in ids)])
    inspections = [row["inspection_id"] for row in rows if row["inspection_id"]]
    lines = db.execute(_lines, {"inspections": inspections}).mappings().all() if inspections else []
    scope = scopes(db, at)
    return tuple(
        CartonShown(
            _carton(row),
            row,
            known.get(row["half_id"]),
            known.get(mates.get(row["half_id"], "")),
            tuple(line for line in lines if line["inspection_id"] == row["inspection_id"]),
            tuple(scope.get(known[row["half_id"]].type_id, [])) if row["half_id"] else (),
        )
        for row in rows
    )


def _carton(row: sa.RowMapping) -> Carton:
    return Carton(
        row["id"],
        f"carton {row['number']} of {row['reference']}",
        row["half_id"],
        row["site_id"],
        row["taken_in_at"],
        bool(row["deep_cold"]),
        row["station_id"],
        row["opened_at"],
        row["bag_opened_at"],
        row["inspected_at"],
        row["seq"],
    )
