"""Whether a housing was open at an instant: it is opened by an opening, and by every pair put in or taken out; and what
asks how somebody saw into one that was not."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.openings import remarks_of_hull
from registry.models.fleet import bay, housing, vehicle
from registry.models.installs import installation_span as span
from registry.models.missions import mission, mission_run
from registry.models.openings import housing_closing, opening
from registry.models.seeks import AT, EVER, in_force

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
_of_bay = (
    select(housing.c.id, housing.c.name, bay.c.vehicle_id, vehicle.c.name.label("vehicle"))
    .join(bay, bay.c.housing_id == housing.c.id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(bay.c.id == bindparam("bay"))
)
_under_way = (
    select(mission.c.reference, mission_run.c.started_at)
    .join(mission, mission.c.id == mission_run.c.mission_id)
    .where(mission_run.c.vehicle_id == bindparam("vehicle"), in_force(mission_run, "started_at", "ended_at"))
)


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


def asked_of_eyes(db: sa.Connection, bay_id: str, at: str) -> list[str]:
    """What asks how somebody could see into a bay at an instant; nothing where its housing was open."""
    row = db.execute(_of_bay, {"bay": bay_id}).one()
    state = housing_state(db, row.id, at)
    away = db.execute(_under_way, {"vehicle": row.vehicle_id, "at": at, "known": EVER}).first()
    reference, since = away or (None, "")
    return remarks_of_hull(row.name, None if state.open_since else state.closed_at, row.vehicle, reference, since)
