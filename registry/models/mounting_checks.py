"""Mounting checks: what a unit felt in poses of its vehicle, in the stay in which it was measured, and what that leaves."""

import sqlalchemy as sa

from registry.domain.mounting_checks import VERDICTS
from registry.domain.mountings import ORIENTATIONS
from registry.models.base import column, folded, instant, maybe, once, one_of, to
from registry.models.columns import Figure

#: `still_open` names the orientations that fit all poses, best and runner-up how far the two nearest are off.
mounting_check = folded(
    "mounting_check",
    to("installation"),
    to("bay_mounting", nullable=True),
    column("verdict", sa.Text),
    column("best", sa.Text),
    column("residual_m_s2", Figure),
    column("runner_up", sa.Text),
    column("runner_up_residual_m_s2", Figure),
    column("limit_m_s2", Figure),
    column("tilt_deg", Figure),
    column("still_open", sa.Text),
    column("told", sa.Text),
    column("next", sa.Text),
    column("method", sa.Text),
    column("words", sa.Text),
    *instant("checked"),
    one_of("verdict", *VERDICTS),
    one_of("best", *ORIENTATIONS),
    one_of("runner_up", *ORIENTATIONS),
    sa.Index("ix_mounting_check_installation_id", "installation_id", "checked_at", "seq"),
)

mounting_pose = folded(
    "mounting_pose",
    to("mounting_check"),
    column("number", sa.Integer),
    column("name", sa.Text),
    column("pitch_deg", Figure),
    column("roll_deg", Figure),
    *(column(f"force_{axis}_m_s2", Figure) for axis in "xyz"),
    column("spread_m_s2", Figure),
    maybe("seconds", Figure),
    once("mounting_pose_once", "mounting_check_id", "number", sentence="A check has each pose once."),
)
