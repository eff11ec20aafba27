"""The missions an act may be about: those that have not started, that are out, or that sailed, the newest first."""

import sqlalchemy as sa
from sqlalchemy import select

from registry.models.amended_missions import vehicle_of_mission
from registry.models.amendments import withdrawn
from registry.models.fleet import vehicle
from registry.models.missions import mission, mission_run
from registry.models.seeks import EVER

_all = (
    select(mission.c.id, (mission.c.reference + ", " + vehicle.c.name).label("words"))
    .select_from(mission)
    .join(vehicle, vehicle.c.id == vehicle_of_mission)
    .outerjoin(mission_run, sa.and_(mission_run.c.mission_id == mission.c.id, mission_run.c.voided_seq.is_(None)))
    .where(~withdrawn(mission.c.id))
    .order_by(sa.func.coalesce(mission_run.c.started_at, mission.c.planned_from_at).desc(), mission.c.seq.desc())
)
#: Acts that are about some missions only; all others are about every one.
_FITTING = {
    "start_mission": _all.where(mission_run.c.id.is_(None)),
    "end_mission": _all.where(mission_run.c.id.is_not(None), mission_run.c.ended_at.is_(None)),
    "record_distance": _all.where(mission_run.c.id.is_not(None)),
}


def missions_for(db: sa.Connection, act: str, most: int = 500) -> list[tuple[str, str]]:
    """[(id, words)] of the missions this act may be about."""
    rows = db.execute(_FITTING.get(act, _all).limit(most), {"known": EVER})
    return [(row.id, row.words) for row in rows]
