"""Is the mounting entry true? The 24 against what the unit felt in one or several poses."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from registry.inertial.inputs import Numbers, number, vector
from registry.inertial.limits import MountingLimits
from registry.inertial.methods import method
from registry.inertial.mounting import Mounting, mounting_matrices, mountings
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr
from registry.inertial.units import STANDARD_GRAVITY_M_S2

TILT_NEEDED = "one pitch or roll of at least {least:g} deg, bow-up or starboard-down"


@dataclass(frozen=True, slots=True)
class Pose:
    """One resting pose: mean specific force in unit axes, and what it is in vehicle FRD axes (m/s²).

    `spread_m_s2` is the largest standard deviation of an axis over the record, `seconds` its length.
    """

    force_unit_m_s2: tuple[float, float, float]
    force_vehicle_m_s2: tuple[float, float, float]
    spread_m_s2: float = 0.0
    seconds: float | None = None
    moving_deck: bool = False
    name: str = "pose"

    @property
    def tilt_deg(self) -> float:
        x, y, z = self.force_vehicle_m_s2
        return math.degrees(math.atan2(math.hypot(x, y), abs(z)))


def pose(
    force_unit_m_s2: Numbers,
    pitch_deg: float,
    roll_deg: float,
    *,
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2,
    spread_m_s2: float = 0.0,
    seconds: float | None = None,
    moving_deck: bool = False,
) -> Pose:
    """A pose from the vehicle's attitude (bow up +, starboard down +), as a level or an inclinometer shows it.

    `force_unit_m_s2` (3,) is mean specific force in unit axes; a level FRD unit reads (0, 0, -g).
    """
    g = number(gravity_m_s2, "Gravity in m/s²", least=9.7, most=9.9)
    pitch, roll = (number(a, "Pitch and roll in degrees", least=-90, most=90) for a in (pitch_deg, roll_deg))
    down = matrix_from_ypr(0.0, pitch, roll).T @ (0.0, 0.0, -g)
    tilts = [
        f"{abs(a):g}° {up if a > 0 else low}"
        for a, up, low in ((pitch, "bow up", "bow down"), (roll, "starboard down", "port down"))
        if abs(a) >= 0.5
    ]
    return Pose(
        floats(vector(force_unit_m_s2, "The mean specific force")),
        floats(down),
        float(spread_m_s2),
        seconds,
        moving_deck,
        " and ".join(tilts) or "level",
    )


class Entry(StrEnum):
    """What the poses say of the entered mounting."""

    CONFIRMED = "confirmed"
    WRONG_ENTRY = "wrong entry"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class MountingCheck:
    """Verdict on an entry. `fitted` is None while more than one mounting is left; `candidates` holds those left.

    `residual_m_s2` belongs to the best mounting, `runner_up` is the next one and its residual; all are the largest
    over the poses. `threshold_m_s2` is what a residual may reach.
    """

    status: Entry
    entered: Mounting
    entered_residual_m_s2: float
    fitted: Mounting | None
    residual_m_s2: float
    runner_up: Mounting
    runner_up_residual_m_s2: float
    candidates: tuple[Mounting, ...]
    threshold_m_s2: float
    turn_from_entry_deg: float | None
    tilt_deg: float
    frame: str
    verdict: str
    next: str
    method: str
    limits: MountingLimits


def separation_m_s2(tilt_deg: float, apart_deg: float = 90, gravity_m_s2: float = STANDARD_GRAVITY_M_S2) -> float:
    """Force that separates two mountings turned about the vertical, at a tilt: sqrt(2) g sin t or 2 g sin t."""
    return 2 * math.sin(math.radians(apart_deg) / 2) * gravity_m_s2 * math.sin(math.radians(tilt_deg))


def residuals_m_s2(poses: list[Pose], matrices: np.ndarray | None = None) -> np.ndarray:
    """Largest |C f_unit - f_vehicle| over the poses for each of the 24 (or the given matrices), shape (24,)."""
    unit = np.array([each.force_unit_m_s2 for each in poses])
    vehicle = np.array([each.force_vehicle_m_s2 for each in poses])
    turned = np.einsum("nij,pj->npi", mounting_matrices() if matrices is None else matrices, unit)
    return np.linalg.norm(turned - vehicle, axis=2).max(axis=1)


def nearest_to_poses(poses: list[Pose]) -> Mounting:
    """Of the 24 the one with the smallest residual; of those that fit alike the first."""
    return mountings()[int(np.argmin(residuals_m_s2(poses)))]


def poses_separate_m_s2(poses: list[Pose]) -> float:
    """The least that these poses separate any two of the 24: zero when all are level, sqrt(2) g sin t at one tilt t."""
    # |C_i^T f - C_j^T f| = |f - C_k f| with C_k = C_i C_j^T, one of the 24 again: 23 turns stand for 276 pairs.
    vehicle = np.array([each.force_vehicle_m_s2 for each in poses])
    turned = np.einsum("nij,pj->npi", mounting_matrices()[1:], vehicle)
    return float(np.linalg.norm(turned - vehicle, axis=2).max(axis=1).min())


def threshold_m_s2(poses: list[Pose], limits: MountingLimits = MountingLimits()) -> float:
    """A third of what the poses separate, at most 1 m/s²; a fixed figure while they separate less than a 5° tilt."""
    apart = poses_separate_m_s2(poses)
    if apart < separation_m_s2(limits.least_tilt_deg) * 0.99:
        return limits.level_residual_m_s2
    return min(limits.share_of_separation * apart, limits.most_residual_m_s2)


def candidates(poses: list[Pose], limits: MountingLimits = MountingLimits()) -> tuple[Mounting, ...]:
    """The mountings whose residual stays under the threshold in every pose; one level pose leaves four."""
    left = residuals_m_s2(poses) < threshold_m_s2(poses, limits)
    return tuple(each for each, fits in zip(mountings(), left, strict=True) if fits)


def check_mounting(poses: list[Pose], entered: Mounting, limits: MountingLimits = MountingLimits()) -> MountingCheck:
    """Judge an entered mounting against the poses: confirmed, wrong entry (with the true one), or cannot tell.

    Raises CannotCompute when there is no pose, when a pose was not at rest, when |f| is not gravity (wrong unit of
    force), and when no mounting fits (reversed signs, a left-handed export, or a bad record).
    """
    _refuse_poor_poses(poses, limits)
    residuals, threshold = residuals_m_s2(poses), threshold_m_s2(poses, limits)
    order = np.argsort(residuals, kind="stable")
    left = candidates(poses, limits)
    if not left:
        raise _nothing_fits(poses, mountings()[order[0]], float(residuals[order[0]]), threshold)
    fitted = left[0] if len(left) == 1 else None
    status = Entry.WRONG_ENTRY if entered not in left else Entry.CONFIRMED if fitted else Entry.CANNOT_TELL
    verdict, then = _say(status, entered, fitted, left, limits)
    reversed_entry = -np.array([entered.matrix], dtype=float)
    if status is Entry.WRONG_ENTRY and residuals_m_s2(poses, reversed_entry)[0] < threshold:
        then += (
            " Or the export holds acceleration: with all signs reversed, the entry fits. A level unit reads -9.8 down."
        )
    return MountingCheck(
        status=status,
        entered=entered,
        entered_residual_m_s2=float(residuals[mountings().index(entered)]),
        fitted=fitted,
        residual_m_s2=float(residuals[order[0]]),
        runner_up=mountings()[order[1]],
        runner_up_residual_m_s2=float(residuals[order[1]]),
        candidates=left,
        threshold_m_s2=threshold,
        turn_from_entry_deg=entered.turn_to_deg(fitted) if fitted else None,
        tilt_deg=max(each.tilt_deg for each in poses),
        frame="vehicle FRD: x forward, y to starboard, z down",
        verdict=verdict,
        next=then,
        method=method("mounting-check"),
        limits=limits,
    )


def _say(status: Entry, entered: Mounting, fitted: Mounting | None, left: tuple, limits: MountingLimits):
    tilt = f"Make {TILT_NEEDED.format(least=limits.least_tilt_deg)}, and record 60 s."
    if status is Entry.CONFIRMED:
        return f"The unit sits {entered.words}, as entered.", "Nothing to change."
    if status is Entry.WRONG_ENTRY and fitted:
        return (
            f"Entered: {entered.words}. Found: {fitted.words}.",
            f"Change the entry to {fitted.words}, and load the settings again.",
        )
    choices = "; ".join(each.words for each in left)
    if status is Entry.WRONG_ENTRY:
        return f"Entered: {entered.words}, which the record rules out. Left: {choices}.", tilt
    return f"The poses leave {len(left)} mountings: {choices}.", tilt


def _refuse_poor_poses(poses: list[Pose], limits: MountingLimits) -> None:
    if not poses:
        raise CannotCompute("No pose was recorded.", "Record 60 s level and 60 s with the bow raised 5° or more.")
    for each in poses:
        vector(each.force_unit_m_s2, "The mean specific force")
        most = limits.most_spread_moving_m_s2 if each.moving_deck else limits.most_spread_m_s2
        if not 0 <= each.spread_m_s2 <= most:
            raise CannotCompute(
                f"The {each.name} record moved: its specific force varies by {each.spread_m_s2:.2f} m/s²;"
                f" the limit is {most:g}.",
                "Hold the vehicle still and record again."
                if each.moving_deck
                else "Record again at rest, or average 120 s and mark the deck as moving.",
            )
        if each.moving_deck and (each.seconds is None or each.seconds < limits.least_seconds_moving):
            raise CannotCompute(
                f"A pose on a moving deck is averaged over at least {limits.least_seconds_moving:g} s.",
                "Record longer.",
            )
        _refuse_wrong_force(each, limits)


def _refuse_wrong_force(each: Pose, limits: MountingLimits) -> None:
    norm, expected = (float(np.linalg.norm(f)) for f in (each.force_unit_m_s2, each.force_vehicle_m_s2))
    if abs(norm / expected - 1) <= limits.most_norm_share or (each.moving_deck and abs(norm / expected - 1) <= 0.1):
        return
    if abs(norm - 1) < 0.05:
        raise CannotCompute("The specific force is about 1: it is in g, not in m/s².", "Declare the unit g.")
    raise CannotCompute(
        f"The {each.name} record holds a specific force of {norm:.3f} m/s²; at rest it is {expected:.3f}.",
        "Record at rest, with the unit of force declared.",
    )


def _nothing_fits(poses: list[Pose], best: Mounting, residual: float, threshold: float) -> CannotCompute:
    so = (
        f"No mounting fits all poses: the nearest, {best.words}, is {residual:.2f} m/s² off;"
        f" the limit is {threshold:.2f}."
    )
    if (residuals_m_s2(poses, -mounting_matrices()) < threshold).any():
        return CannotCompute(
            so + " With every sign reversed, or one axis reversed, one does fit: the record holds acceleration instead"
            " of specific force, or a left-handed set of axes.",
            "At rest and level a unit with z down reads (0, 0, -9.8). Correct the export and read it again.",
        )
    return CannotCompute(so, "See that each pose has its own record, then record again.")


@dataclass(frozen=True, slots=True)
class TurnCheck:
    """What a turn says of an entry: the sign of the vertical axis only."""

    vertical_agrees: bool
    rate_expected_unit_deg_s: tuple[float, float, float]
    rate_unit_deg_s: tuple[float, float, float]
    verdict: str
    next: str
    method: str


def rate_in_unit_deg_s(entered: Mounting, turn_deg_s: float) -> tuple[float, float, float]:
    """What a level turn (to starboard +) reads in unit axes: C_vu^T (0, 0, r)."""
    return floats(np.array(entered.matrix, dtype=float).T @ (0.0, 0.0, number(turn_deg_s, "The turn in deg/s")))


def check_turn(
    entered: Mounting, turn_deg_s: float, rate_unit_deg_s: Numbers, limits: MountingLimits = MountingLimits()
) -> TurnCheck:
    """Compare a level turn with the unit's mean rates (3,) in deg/s; turns never separate the four level candidates.

    Raises CannotCompute for a turn slower than 0.5 deg/s.
    """
    measured = vector(rate_unit_deg_s, "The mean rates in deg/s")
    expected = np.array(rate_in_unit_deg_s(entered, turn_deg_s))
    size = abs(float(turn_deg_s))
    if size < limits.least_turn_deg_s:
        raise CannotCompute(f"A turn of {size:g} deg/s is too slow to show a sign.", "Turn faster than 0.5 deg/s.")
    agrees = bool(np.linalg.norm(measured - expected) < size / 2)
    return TurnCheck(
        vertical_agrees=agrees,
        rate_expected_unit_deg_s=floats(expected),
        rate_unit_deg_s=floats(measured),
        verdict=(
            "The vertical axis turns as entered."
            if agrees
            else "The vertical axis does not turn as entered: its sign or its name is wrong."
        ),
        next="The level axes are not checked by a turn: raise the bow 5° and record 60 s.",
        method=method("turn-check"),
    )
