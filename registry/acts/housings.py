"""Whether a housing was open at an instant: it is opened by an opening, and by every pair put in or taken out."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.fleet import bay, housing
from registry.models.installs import installation_span as span
from registry.models.openings import housing_closing, opening
from registry.models.seeks import AT

_id = bindparam("housing", type_=housing.c.id.type)
_openings = select(opening.c.opened_at.label("at"), opening.c.seq).where(
    opening.c.housing_id == _id, opening.c.voided_seq.is_(None), opening.c.opened_at <= AT
)
_stays = (
    select(span)
    .join(bay, bay.c.id == span.c.bay_id)
    .where(bay.c.housing_id == _id, span.c.voided_seq.is_(None))
    .subquery("stays")
)
_events = sa.union_all(
    _openings,
    select(_stays.c.installed_at, _stays.c.seq).where(_stays.c.installed_at <= AT),
    select(_stays.c.removed_at, _stays.c.closed_seq).where(_stays.c.removed_at <= AT),
).subquery("events")
#: Of two in one minute the later entry came later.
_opened = select(_events.c.at, _events.c.seq).order_by(_events.c.at.desc(), _events.c.seq.desc()).limit(1)
_closed = (
    select(housing_closing.c.closed_at, housing_closing.c.seq)
    .where(
        housing_closing.c.housing_id == _id, housing_closing.c.voided_seq.is_(None), housing_closing.c.closed_at <= AT
    )
    .order_by(housing_closing.c.closed_at.desc(), housing_closing.c.seq.desc())
    .limit(1)
)
_vehicle = select(housing.c.vehicle_id).where(housing.c.id == _id)


@dataclass(frozen=True, slots=True)
class HousingState:
    """`open_since` is set while the housing is open; `closed_at` is its last closing."""

    vehicle_id: str
    open_since: str | None
    closed_at: str | None
    touched: int


def housing_state(db: sa.Connection, housing_id: str, at: str) -> HousingState:
    """The state of one housing at an instant."""
    keys = {"housing": housing_id, "at": at}
    opened = tuple(db.execute(_opened, keys).first() or ("", 0))
    closed = tuple(db.execute(_closed, keys).first() or ("", 0))
    since = opened[0] if opened > closed else None
    touched = max(opened[1], closed[1])
    return HousingState(db.execute(_vehicle, keys).scalar_one(), since, closed[0] or None, touched)
