"""Which vehicles are out on a mission at an instant: one statement, whatever the size of the fleet."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import select

from registry.domain.times import say
from registry.models.missions import mission, mission_run
from registry.models.seeks import in_force

_out = (
    select(mission_run.c.vehicle_id, mission.c.id, mission.c.reference, mission.c.area, mission_run.c.started_at)
    .join(mission, mission.c.id == mission_run.c.mission_id)
    .where(in_force(mission_run, "started_at", "ended_at"))
    .order_by(mission_run.c.started_at)
)


@dataclass(frozen=True, slots=True)
class UnderWay:
    """The mission a vehicle is on."""

    id: str
    reference: str
    area: str
    started_at: str

    def say(self) -> str:
        """`Out on HSS-V09, Marl deep, since 12 November 2026, 08:00 UTC`"""
        return f"Out on {self.reference}, {self.area}, since {say(self.started_at)}"


def under_way(db: sa.Connection, at: str, known_size: int) -> dict[str, UnderWay]:
    """The mission of each vehicle that is out, by the id of the vehicle."""
    rows = db.execute(_out, {"at": at, "known": known_size}).mappings()
    return {row["vehicle_id"]: UnderWay(row["id"], row["reference"], row["area"], row["started_at"]) for row in rows}
