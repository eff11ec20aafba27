"""How bays are mounted, by date: orientation, fine angles of the plate, dowels, and lever arms, each as it was measured."""

import sqlalchemy as sa

from registry.domain.mountings import ARMS, DOWELS, ORIENTATIONS
from registry.models.base import column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Day, Figure

bay_mounting = folded(
    "bay_mounting",
    to("bay"),
    column("orientation", sa.Text),
    *(column(f"{name}_deg", Figure) for name in ("roll", "pitch", "yaw")),
    *(column(f"{name}_sigma_deg", Figure) for name in ("roll", "pitch", "yaw")),
    column("dowels", sa.Text),
    maybe("dowel_play_mm", Figure),
    maybe("dowel_spacing_mm", Figure),
    to("person", "measured_by_id", nullable=True),
    column("measured_how", sa.Text),
    column("measured_on", Day),
    *instant("since"),
    one_of("orientation", *ORIENTATIONS),
    one_of("dowels", *DOWELS),
    says(
        "bay_mounting_dowels_as_a_whole",
        "(dowels = 'two') = (dowel_play_mm IS NOT NULL AND dowel_spacing_mm IS NOT NULL)",
        "Dowels have their play and their spacing; without dowels there is neither.",
    ),
    sa.Index("ix_bay_mounting_bay_id", "bay_id", "since_at", "seq"),
)

lever_arm = folded(
    "lever_arm",
    to("bay"),
    column("leads_to", sa.Text),
    *(column(f"{name}_m", Figure) for name in ("forward", "starboard", "down")),
    column("sigma_m", Figure),
    to("person", "measured_by_id", nullable=True),
    column("measured_how", sa.Text),
    column("measured_on", Day),
    *instant("since"),
    one_of("leads_to", *ARMS),
    sa.Index("ix_lever_arm_bay_id", "bay_id", "leads_to", "since_at", "seq"),
)
