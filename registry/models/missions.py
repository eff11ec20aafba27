"""Missions: what was planned, when it was run, and what it ran; the same whether entered as it went or afterwards."""

import sqlalchemy as sa

from registry.domain.fleet import USES
from registry.domain.missions import AIDED
from registry.models.base import Stay, column, folded, instant, maybe, once, one_of, says, to
from registry.models.columns import Figure

mission = folded(
    "mission",
    to("vehicle"),
    column("reference", sa.Text),
    column("area", sa.Text),
    column("use", sa.Text),
    column("words", sa.Text),
    *instant("planned_from", nullable=True),
    *instant("planned_to", nullable=True),
    one_of("use", *USES),
    once("mission_reference_once", "reference", sentence="Another mission has that reference."),
    says("mission_planned_whole", "(planned_from_at IS NULL) = (planned_to_at IS NULL)", "A plan says from when to when."),
    says("mission_planned_forwards", "planned_to_at > planned_from_at", "A plan cannot end before it begins."),
    sa.Index("ix_mission_vehicle_id", "vehicle_id"),
)  # fmt: skip

mission_run = folded(
    "mission_run",
    to("mission"),
    to("vehicle"),
    *instant("started"),
    *instant("ended", nullable=True, closing=True),
    sa.Index("ix_mission_run_vehicle_id", "vehicle_id", "started_at", "seq"),
    sa.Index("ix_mission_run_mission_id", "mission_id"),
    changes="closes",
    stay=Stay("started_at", "ended_at", apart=("vehicle_id",)),
)

#: What a mission ran, as told last. `stretch_km` is the longest stretch without a position fix.
mission_distance = folded(
    "mission_distance",
    to("mission"),
    column("distance_km", Figure),
    column("aided_by", sa.Text),
    maybe("stretch_km", Figure),
    column("words", sa.Text),
    *instant("data_until", nullable=True),
    *instant("told"),
    one_of("aided_by", *AIDED),
    sa.Index("ix_mission_distance_mission_id", "mission_id", "told_at", "seq"),
)
