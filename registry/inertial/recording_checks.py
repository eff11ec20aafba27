"""What a recording must satisfy before anything is computed from it: its clock, and units that fit the earth."""

import numpy as np
from numpy.typing import NDArray

from registry.inertial.earth import EARTH_RATE_DEG_H
from registry.inertial.limits import RecordingLimits
from registry.inertial.refusal import CannotCompute
from registry.inertial.units import FORCE_IN_M_S2, RATE_IN_DEG_H, STANDARD_GRAVITY_M_S2

Array = NDArray[np.float64]


def refuse_holes(arrays: dict[str, Array]) -> None:
    """Refuse cells that are NaN or infinite, naming the first row (counted from 1 after the header)."""
    for name, values in arrays.items():
        # A sum is finite exactly when no cell is bad (barring overflow), and takes no extra array.
        if not np.isfinite(values.sum()):
            bad = np.flatnonzero(~np.isfinite(values))
            if len(bad):
                raise CannotCompute(
                    f"Row {bad[0] + 1:,} has no {name} ({len(bad):,} rows in all).",
                    "Cut the recording where it is whole.",
                )


def sample_rate_hz(t_s: Array, limits: RecordingLimits = RecordingLimits()) -> float:
    """Rate from the times (n,), after refusing a clock that steps back or stands, and gaps.

    A gap is a step over 1.5 usual ones that later samples do not make up for: stamps that jitter are no gap.
    """
    if len(t_s) < 3:
        raise CannotCompute(f"The recording holds {len(t_s)} rows.", "Record longer.")
    steps = np.diff(t_s)
    back = np.flatnonzero(steps <= 0)
    if len(back):
        n = int(back[0])
        how = "stands still" if steps[n] == 0 else f"steps back by {-steps[n]:.4g} s"
        raise CannotCompute(
            f"The clock {how} at row {n + 2:,} (after {t_s[n] - t_s[0]:.3f} s).",
            "Cut the recording there, or export it with the unit’s own time.",
        )
    usual = float(np.median(steps))
    for n in np.flatnonzero(steps > limits.gap_steps * usual):
        ahead = min(len(t_s) - 1, n + 6)
        behind = max(0, n - 5)
        lost = (t_s[ahead] - t_s[behind]) / usual - (ahead - behind)
        if lost > limits.gap_steps - 1:
            raise CannotCompute(
                f"The recording has a gap of {steps[n]:.4g} s at row {n + 2:,} (after {t_s[n] - t_s[0]:.3f} s);"
                f" its usual step is {usual:.4g} s.",
                "Cut the recording there and use the longer part, or record again.",
            )
    return float((len(t_s) - 1) / (t_s[-1] - t_s[0]))


def refuse_wrong_rate_unit(mean_deg_h: Array, declared: str, limits: RecordingLimits = RecordingLimits()) -> str:
    """Refuse mean rates (3,) of a unit at rest that can only be the earth's rate in another unit than the declared one.

    Returns a doubt in words when the declared unit is possible and another fits the earth better, else an empty text.
    """
    size = float(np.linalg.norm(mean_deg_h))
    raw = size / RATE_IN_DEG_H[declared]
    other = next(
        (unit for unit, worth in RATE_IN_DEG_H.items() if abs(raw * worth / EARTH_RATE_DEG_H - 1) < limits.unit_match),
        None,
    )
    # No gyro at rest reads under 1 deg/h (the earth alone makes 15), and none is so far off as the upper bound.
    possible = limits.least_resting_deg_h < size < limits.most_resting_deg_h
    if possible:
        if other in (None, declared):
            return ""
        return f"In {other} the rates would be those of the earth: is the unit {declared}?"
    if other not in (None, declared):
        raise CannotCompute(
            f"The rates say {declared}, but at rest their size is {raw:.4g}: that is the earth’s"
            f" {EARTH_RATE_DEG_H:.2f} deg/h in {other}.",
            f"Correct the unit in the headers to {other}.",
        )
    raise CannotCompute(
        f"The mean rate is {raw:.4g} {declared}, which no unit at rest shows: it turned,"
        " or the unit of rate is another.",
        "Record at rest, with the unit of rate in the headers.",
    )


def refuse_wrong_force_unit(mean_m_s2: Array, declared: str, limits: RecordingLimits = RecordingLimits()) -> None:
    """Refuse a mean specific force (3,) that is not gravity, naming the unit in which it would be."""
    size = float(np.linalg.norm(mean_m_s2))
    if abs(size / STANDARD_GRAVITY_M_S2 - 1) < 0.05:
        return
    raw = size / FORCE_IN_M_S2[declared]
    for unit, worth in FORCE_IN_M_S2.items():
        if abs(raw * worth / STANDARD_GRAVITY_M_S2 - 1) < 0.05:
            raise CannotCompute(
                f"The specific force says {declared}, but its size is {raw:.4g}: that is gravity in {unit}.",
                f"Correct the unit in the headers to {unit}.",
            )
    raise CannotCompute(
        f"The mean specific force is {raw:.4g} {declared}; at rest it is {STANDARD_GRAVITY_M_S2:.2f} m/s².",
        "Record at rest; specific force, not acceleration with gravity taken out.",
    )
