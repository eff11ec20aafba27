"""Do the signs a unit shows fit its mounting entry? Bow down, roll right, turn clockwise, judged by the 24 mountings."""

from dataclasses import dataclass

import numpy as np

from registry.inertial.inputs import number
from registry.inertial.limits import MountingLimits
from registry.inertial.methods import method
from registry.inertial.mounting import Mounting
from registry.inertial.mounting_check import Entry, Pose, check_mounting
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr
from registry.inertial.units import STANDARD_GRAVITY_M_S2


@dataclass(frozen=True, slots=True)
class ShownMotions:
    """What the unit showed, in degrees: roll and pitch level, then the (roll, pitch) change of each tilt.

    `heading_rises` says how the heading went in a turn clockwise seen from above.
    """

    level_deg: tuple[float, float]
    bow_down_deg: tuple[float, float]
    roll_right_deg: tuple[float, float]
    heading_rises: bool


@dataclass(frozen=True, slots=True)
class SignCheck:
    """`status` as of a mounting check; `fitted` is the entry that would explain what was shown, None when none does."""

    status: Entry
    entered: Mounting
    fitted: Mounting | None
    tilt_deg: float
    frame: str
    verdict: str
    next: str
    method: str


def check_signs(
    shown: ShownMotions, entered: Mounting, tilt_deg: float, limits: MountingLimits = MountingLimits()
) -> SignCheck:
    """Work back from shown attitudes to what the unit felt under its entry, and judge the entry by `check_mounting`.

    The vehicle was tilted by `tilt_deg` (over zero): bow down, then starboard down. A turn clockwise raises the heading
    under every one of the 24; when it falls no entry explains it.
    """
    tilt = number(tilt_deg, "The tilt in degrees", above=0, most=60)
    roll, pitch = shown.level_deg
    poses = [
        _pose("level", entered, (roll, pitch), (0.0, 0.0)),
        _pose("bow-down", entered, (roll + shown.bow_down_deg[0], pitch + shown.bow_down_deg[1]), (0.0, -tilt)),
        _pose("roll-right", entered, (roll + shown.roll_right_deg[0], pitch + shown.roll_right_deg[1]), (tilt, 0.0)),
    ]
    fitted: Mounting | None = None
    try:
        found = check_mounting(poses, entered, limits)
        status, fitted, verdict, then = found.status, found.fitted, found.verdict, found.next
    except CannotCompute:
        status = Entry.WRONG_ENTRY
        verdict = "No mounting explains these signs: an axis is reversed, or roll and pitch are counted the other way."
        then = "Look at the output format and the axis settings of the unit, then repeat all three motions."
    if not shown.heading_rises:
        status, fitted = Entry.WRONG_ENTRY, None
        verdict = f"The heading fell in a turn clockwise: no mounting does that. {verdict}"
        then = "The output counts heading the other way, or an axis is reversed: look at its format, then repeat."
    return SignCheck(
        status=status,
        entered=entered,
        fitted=fitted,
        tilt_deg=tilt,
        frame="vehicle FRD: x forward, y to starboard, z down",
        verdict=verdict,
        next=then,
        method=method("axis-signs"),
    )


def _pose(name: str, entered: Mounting, shown_deg: tuple[float, float], true_deg: tuple[float, float]) -> Pose:
    down = (0.0, 0.0, -STANDARD_GRAVITY_M_S2)
    shown, true = (matrix_from_ypr(0.0, pitch, roll).T @ down for roll, pitch in (shown_deg, true_deg))
    return Pose(floats(np.array(entered.matrix, dtype=float).T @ shown), floats(true), name=name)
