"""When a DVL run gives no number: too slow, too short, too straight, too much in turns, or a wrong mounting entry."""

import math

import numpy as np
from numpy.typing import NDArray

from registry.inertial.dvl_run import DvlFit, DvlRun
from registry.inertial.inputs import number, series
from registry.inertial.limits import DvlLimits
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute


def refuse_poor_run(run: DvlRun, z_dvl: NDArray, offset: bool, limits: DvlLimits) -> float | None:
    """Refuse before fitting; return the heading change of the run in degrees when headings are given."""
    if run.frame not in ("vehicle", "ned"):
        raise CannotCompute("The frame of the velocities is not stated.", "State vehicle (forward, starboard) or ned.")
    if run.sound_speed_m_s is None:
        raise CannotCompute(
            "The sound speed the DVL used is not on record, so its scale means nothing.", "Read it from the DVL setup."
        )
    number(run.sound_speed_m_s, "The sound speed in m/s", least=1400, most=1650)
    if len(z_dvl) < limits.least_independent:
        raise _too_few(len(z_dvl), limits)
    speed = float(np.abs(z_dvl).mean())
    if speed < limits.least_speed_m_s:
        raise CannotCompute(
            f"The run made {speed:.2f} m/s; under {limits.least_speed_m_s:g} m/s noise is read as angle.",
            "Run at 1 to 1.5 m/s.",
        )
    if run.turn_deg_s is not None and not run.clock_known:
        fastest = float(np.abs(series(run.turn_deg_s, "The turn rates")).max())
        if fastest > limits.turn_rate_deg_s:
            raise CannotCompute(
                f"The run turns at up to {fastest:.1f} deg/s and the clock offset is not known: latency would be read"
                " as angle.",
                "Use straight legs only, or set both clocks from one source.",
            )
    change = None if run.heading_deg is None else heading_change_deg(series(run.heading_deg, "The headings"))
    if offset and (change is None or change < limits.least_heading_change_deg):
        so = "The headings are missing" if change is None else f"The headings differ by {change:.0f}°"
        raise CannotCompute(
            f"{so}; a constant offset needs {limits.least_heading_change_deg:g}° to be told from the angle.",
            "Run reciprocal legs on two headings.",
        )
    return change


def refuse_result(result: DvlFit, limits: DvlLimits) -> None:
    """Refuse after fitting: samples that depend on each other, and an angle that is a mounting entry."""
    if abs(result.alpha_deg) > limits.most_angle_deg:
        square = 90.0 * round(result.alpha_deg / 90.0)
        rest = result.alpha_deg - square
        found = f": a mounting turned {abs(square):.0f}° about the vertical, and {rest:+.2f}°" if square else ""
        raise CannotCompute(
            f"The angle is {result.alpha_deg:.1f}°{found}. That is no fine angle.",
            "Check the mounting entry of unit and DVL, and the sign of the bottom’s motion, then fit again.",
        )
    if result.independent_samples < limits.least_independent:
        raise _too_few(result.independent_samples, limits)


def _too_few(found: int, limits: DvlLimits) -> CannotCompute:
    return CannotCompute(
        f"The run holds {found} independent samples; an interval needs {limits.least_independent}.", "Run longer legs."
    )


def heading_change_deg(headings_deg: NDArray[np.float64]) -> float:
    """Largest angle between any two headings, 0..180 degrees, by whole degrees of heading."""
    present = np.unique(np.round(np.asarray(headings_deg, dtype=float) % 360.0, 1))
    if len(present) < 2:
        return 0.0
    opposite = (present + 180.0) % 360.0
    place = np.searchsorted(present, opposite) % len(present)
    gaps = [np.abs((present[(place - shift) % len(present)] - opposite + 180) % 360 - 180) for shift in (0, 1)]
    return float(180.0 - np.minimum(*gaps).min())


def shortest_baseline_m(fix_sigma_m: float, limit_deg: float) -> float:
    """L = 1.96 sqrt(2) sigma / limit: 0.1 degree needs 32 m at 2 cm, 794 m at 0.5 m, 3.2 km at 2 m."""
    sigma = number(fix_sigma_m, "Sigma of a fix in metres", above=0)
    return normal_factor(0.95) * math.sqrt(2) * sigma / math.radians(number(limit_deg, "The limit", above=0))
