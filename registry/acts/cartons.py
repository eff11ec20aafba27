"""The facts about cartons that receiving is decided on."""

import sqlalchemy as sa
from sqlalchemy import bindparam

from registry.acts import seats
from registry.domain.deliveries import Carton
from registry.domain.matches import pairing_of
from registry.models.cartons import carton_of, cartons
from registry.models.deliveries import carton, carton_opening, inspection

_one = cartons.where(carton.c.id == bindparam("carton"))
_on_mat = cartons.where(
    carton_opening.c.station_id == bindparam("station"), inspection.c.id.is_(None), carton.c.half_id.is_not(None)
).order_by(carton_opening.c.opened_at, carton.c.id)


def carton_facts(db: sa.Connection, carton_id: str) -> tuple[Carton, sa.RowMapping]:
    """A carton as it stands, and its row with what its indicators showed."""
    row = db.execute(_one, {"carton": carton_id}).mappings().one()
    return carton_of(row), row


def cartons_on_mat(db: sa.Connection, station_id: str) -> list[Carton]:
    """Cartons of halves opened at a station and not inspected yet, oldest first."""
    return [carton_of(row) for row in db.execute(_on_mat, {"station": station_id}).mappings()]


def mate_of(db: sa.Connection, half_id: str | None, at: str) -> str | None:
    """The half this one is a pair with at the instant, by its statement."""
    live = pairing_of(half_id, seats.pairings(db, [half_id]), at) if half_id else None
    return live.partner(half_id) if live and half_id else None
