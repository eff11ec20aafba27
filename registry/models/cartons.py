"""A carton as it stands: read alike by the acts that are decided on it and by the pages that show it."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.deliveries import Carton
from registry.models.deliveries import bag_opening, carton, carton_opening, delivery, inspection
from registry.models.seeks import AT, EVER, KNOWN
from registry.models.sites import station

_each = (
    select(
        carton, delivery.c.reference, delivery.c.site_id, station.c.name.label("station"), carton_opening.c.station_id, carton_opening.c.alone,
        carton_opening.c.opened_at, bag_opening.c.opened_at.label("bag_opened_at"), bag_opening.c.warmth, inspection.c.id.label("inspection_id"),
        inspection.c.inspected_at, inspection.c.outcome, inspection.c.agrees, inspection.c.bag, inspection.c.words.label("found"),
        sa.func.coalesce(inspection.c.seq, bag_opening.c.seq, carton_opening.c.seq, carton.c.seq).label("touched"),
    )
    .join(delivery, delivery.c.id == carton.c.delivery_id)
)  # fmt: skip


def _with_steps(opened: sa.ColumnElement[bool], unwrapped: sa.ColumnElement[bool], seen: sa.ColumnElement[bool]):
    """Each carton with those of its steps that each condition lets through."""
    return (
        _each.outerjoin(carton_opening, sa.and_(carton_opening.c.carton_id == carton.c.id, opened))
        .outerjoin(station, station.c.id == carton_opening.c.station_id)
        .outerjoin(bag_opening, sa.and_(bag_opening.c.carton_id == carton.c.id, unwrapped))
        .outerjoin(inspection, sa.and_(inspection.c.carton_id == carton.c.id, seen))
    )


def _by_then(t: sa.Table, name: str) -> sa.ColumnElement[bool]:
    return sa.and_(t.c[name] <= AT, t.c.seq <= KNOWN)


#: Each carton with its delivery and what was done with it so far; `touched` is the newest entry that did.
cartons = _with_steps(sa.true(), sa.true(), sa.true())
_come_by_then = (
    _with_steps(
        _by_then(carton_opening, "opened_at"), _by_then(bag_opening, "opened_at"), _by_then(inspection, "inspected_at")
    )
    .where(carton.c.half_id.in_(bindparam("halves", expanding=True)), _by_then(carton, "taken_in_at"))
    .order_by(carton.c.taken_in_at, carton.c.seq)
)


def carton_of(row: sa.RowMapping) -> Carton:
    """The carton of a row of `cartons`."""
    return Carton(
        id=row["id"],
        name=f"carton {row['number']} of {row['reference']}",
        half_id=row["half_id"],
        site_id=row["site_id"],
        taken_in_at=row["taken_in_at"],
        deep_cold=bool(row["deep_cold"]),
        station_id=row["station_id"],
        opened_at=row["opened_at"],
        bag_opened_at=row["bag_opened_at"],
        inspected_at=row["inspected_at"],
        outcome=row["outcome"],
        seq=row["touched"],
    )


def newest_cartons(db: sa.Connection, halves: Iterable[str], at: str, known: int = EVER) -> dict[str, Carton]:
    """Half id -> the newest carton it had come in by the instant, as it stood then; halves that never came in one are
    left out."""
    ids = list(halves)
    if not ids:
        return {}
    rows = db.execute(_come_by_then, {"halves": ids, "at": at, "known": known}).mappings()
    return {row["half_id"]: carton_of(row) for row in rows}
