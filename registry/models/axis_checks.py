"""Axis and sign checks: what a unit showed when its vehicle was tilted and turned, in the stay in which it was made."""

import sqlalchemy as sa

from registry.domain.axis_checks import LEVELS, TILTS, TURNS, VERDICTS
from registry.domain.motion_signs import PHASES
from registry.domain.mountings import ORIENTATIONS
from registry.models.base import column, folded, instant, maybe, once, one_of, says, to
from registry.models.columns import Figure

_known = ", ".join(f"'{words}'" for words in ORIENTATIONS)

axis_check = folded(
    "axis_check",
    to("installation"),
    to("bay_mounting", nullable=True),
    column("level", sa.Text),
    column("bow_down", sa.Text),
    column("roll_right", sa.Text),
    column("turn", sa.Text),
    column("tilt_deg", Figure),
    column("verdict", sa.Text),
    maybe("explained_by", sa.Text),
    column("told", sa.Text),
    column("next", sa.Text),
    maybe("method", sa.Text),
    column("words", sa.Text),
    *instant("checked"),
    one_of("level", *LEVELS),
    one_of("bow_down", *TILTS),
    one_of("roll_right", *TILTS),
    one_of("turn", *TURNS),
    one_of("verdict", *VERDICTS),
    says("axis_check_explained_by_known", f"explained_by IN ({_known})", "That is no orientation of a square bracket."),
    says(
        "axis_check_explains_what_is_wrong",
        "explained_by IS NULL OR verdict = 'wrong'",
        "Only wrong signs are explained by another entry.",
    ),
    sa.Index("ix_axis_check_installation_id", "installation_id", "checked_at", "seq"),
)

#: What a recorded check was worked out from: means of each phase.
axis_check_motion = folded(
    "axis_check_motion",
    to("axis_check"),
    column("motion", sa.Text),
    column("seconds", Figure),
    *(column(f"{name}_deg", Figure) for name in ("roll", "roll_sigma", "pitch", "pitch_sigma", "spread", "turned", "turned_sigma", "back")),
    one_of("motion", *PHASES),
    once("axis_check_motion_once", "axis_check_id", "motion", sentence="A check has each motion once."),
)  # fmt: skip
