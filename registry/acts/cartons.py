"""The facts about cartons that receiving is decided on."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.domain.deliveries import Carton
from registry.models.deliveries import bag_opening, carton, carton_opening, delivery, inspection

_cartons = (
    select(
        carton.c.id, delivery.c.reference, carton.c.number, carton.c.half_id, delivery.c.site_id, carton.c.taken_in_at, carton.c.deep_cold,
        carton_opening.c.station_id, carton_opening.c.opened_at, bag_opening.c.opened_at.label("bag_opened_at"), inspection.c.inspected_at,
        sa.func.coalesce(inspection.c.seq, bag_opening.c.seq, carton_opening.c.seq, carton.c.seq).label("seq"),
        carton.c.shock, carton.c.tilt,
    )
    .join(delivery, delivery.c.id == carton.c.delivery_id)
    .outerjoin(carton_opening, carton_opening.c.carton_id == carton.c.id)
    .outerjoin(bag_opening, bag_opening.c.carton_id == carton.c.id)
    .outerjoin(inspection, inspection.c.carton_id == carton.c.id)
)  # fmt: skip
_one = _cartons.where(carton.c.id == bindparam("carton"))
_on_mat = _cartons.where(
    carton_opening.c.station_id == bindparam("station"), inspection.c.id.is_(None), carton.c.half_id.is_not(None)
).order_by(carton_opening.c.opened_at, carton.c.id)


def carton_facts(db: sa.Connection, carton_id: str) -> tuple[Carton, sa.Row]:
    """A carton as it stands, and its row with what its indicators showed."""
    row = db.execute(_one, {"carton": carton_id}).one()
    return _carton(row), row


def cartons_on_mat(db: sa.Connection, station_id: str) -> list[Carton]:
    """Cartons of halves opened at a station and not inspected yet, oldest first."""
    return [_carton(row) for row in db.execute(_on_mat, {"station": station_id})]


def mate_of(db: sa.Connection, half_id: str | None, at: str) -> str | None:
    """The half this one is a pair with at the instant, by its statement."""
    pairings = seats.pairings(db, [half_id]) if half_id else ()
    live = [p for p in pairings if p.paired_at <= at and (p.ended_at is None or at < p.ended_at)]
    return live[0].partner(half_id) if live and half_id else None


def _carton(row: sa.Row) -> Carton:
    return Carton(
        row.id,
        f"carton {row.number} of {row.reference}",
        row.half_id,
        row.site_id,
        row.taken_in_at,
        bool(row.deep_cold),
        row.station_id,
        row.opened_at,
        row.bag_opened_at,
        row.inspected_at,
        row.seq,
    )
