"""Missions put right: sailed at other times or in another vehicle than was entered, planned otherwise, or taken back."""

from typing import Any

import sqlalchemy as sa

from registry.domain.missions import PARTS
from registry.models.amendments import withdrawal
from registry.models.base import column, folded, instant, one_of, says, to
from registry.models.log import log_entry
from registry.models.missions import mission, mission_distance, mission_run
from registry.models.seeks import KNOWN

amended_mission = folded(
    "amended_mission",
    to("mission"),
    column("part", sa.Text),
    to("vehicle", "was_vehicle_id", nullable=True),
    to("vehicle", "now_vehicle_id", nullable=True),
    *instant("was", nullable=True),
    *instant("now", nullable=True),
    column("why", sa.Text),
    one_of("part", *PARTS),
    says(
        "amended_mission_says_both",
        "(part = 'vehicle') = (was_vehicle_id IS NOT NULL) AND (part = 'vehicle') = (now_vehicle_id IS NOT NULL)"
        " AND (part = 'vehicle') = (was_at IS NULL) AND (part = 'vehicle') = (now_at IS NULL)",
        "An amended mission says what was entered and what holds.",
    ),
    says("amended_mission_is_another", "was_vehicle_id <> now_vehicle_id", "An amended vehicle is another vehicle."),
    sa.Index("ix_amended_mission_mission_id", "mission_id", "part", "seq"),
    sa.Index("ix_amended_mission_was_vehicle_id", "was_vehicle_id"),
)


def _as_amended(part: str, name: str, first: Any) -> Any:
    """What holds of a mission, as far as the log of that size tells it: as amended last, else as first entered."""
    own = amended_mission.alias()
    newest = (
        sa.select(own.c[name])
        .where(own.c.mission_id == mission.c.id, own.c.part == part, own.c.seq <= KNOWN)
        .order_by(own.c.seq.desc())
        .limit(1)
        .scalar_subquery()
    )
    return sa.func.coalesce(newest, first)


vehicle_of_mission = _as_amended("vehicle", "now_vehicle_id", mission.c.vehicle_id)
#: The columns of a mission as they hold.
as_it_holds = (
    mission.c.id, mission.c.reference, mission.c.area, mission.c.use, mission.c.words, mission.c.seq, vehicle_of_mission.label("vehicle_id"),
    *(
        _as_amended(part, f"now_{kind}", mission.c[f"{part}_{kind}"]).label(f"{part}_{kind}")
        for part in ("planned_from", "planned_to")
        for kind in ("at", "offset_min")
    ),
)  # fmt: skip
_runs = mission_run.alias("every_run")
#: The entry that began its first run, whatever amended it since.
begun_seq = (
    sa.select(sa.func.min(_runs.c.seq))
    .where(_runs.c.mission_id == mission.c.id, _runs.c.seq <= KNOWN)
    .scalar_subquery()
)
#: Of a mission that was taken back, how.
of_withdrawal = sa.and_(withdrawal.c.withdrawn_act_id == mission.c.id, withdrawal.c.seq <= KNOWN)


def told_by_act(distances: Any = mission_distance) -> Any:
    """Whether the act that told these figures still stands."""
    gone = sa.exists().where(
        log_entry.c.seq == distances.c.seq,
        withdrawal.c.withdrawn_act_id == log_entry.c.act_id,
        withdrawal.c.seq <= KNOWN,
    )
    # Named: within a subquery of its own the table of the row asked about would be joined once more.
    return ~gone.correlate_except(log_entry, withdrawal)
