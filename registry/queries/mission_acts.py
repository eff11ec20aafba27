"""The acts that make up a mission, for taking all of it back at once."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.missions import TOLD_BY
from registry.models.amendments import withdrawn
from registry.models.log import log_entry
from registry.models.missions import mission, mission_distance, mission_run
from registry.models.seeks import EVER

_MISSION = bindparam("mission", type_=mission.c.id.type)
#: An end is found by the distance it tells.
_told = sa.union(
    select(mission.c.seq).where(mission.c.id == _MISSION),
    select(mission_run.c.seq).where(mission_run.c.mission_id == _MISSION),
    select(mission_distance.c.seq).where(mission_distance.c.mission_id == _MISSION),
)
_acts = (
    select(log_entry.c.act_id)
    .where(log_entry.c.seq.in_(_told), log_entry.c.act.in_(TOLD_BY), ~withdrawn(log_entry.c.act_id))
    .order_by(log_entry.c.seq)
)


def acts_of_mission(db: sa.Connection, mission_id: str) -> list[str]:
    """Plan, start, end and every distance that stand, in the order in which they were entered."""
    return list(db.execute(_acts, {"mission": mission_id, "known": EVER}).scalars())
