"""DVL angle and scale from the ends of a track alone."""

import math
from cmath import phase
from dataclasses import dataclass

import numpy as np

from registry.inertial.dvl_refusals import shortest_baseline_m
from registry.inertial.inputs import Numbers, series, vector
from registry.inertial.limits import DvlLimits
from registry.inertial.methods import method
from registry.inertial.north import North, declared
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute


@dataclass(frozen=True, slots=True)
class EndFix:
    """Angle and scale from net displacements, with what the two fixes leave open."""

    alpha_deg: float
    scale: float
    sigma_alpha_deg: float
    half_width_alpha_deg: float
    half_width_scale: float
    coverage: float
    net_m: float
    end_error_m: float
    shortest_m: float
    north: North
    frame: str
    verdict: str
    next: str
    method: str
    limits: DvlLimits


def fit_end_fix(
    ref_end_ne_m: Numbers,
    dvl_end_ne_m: Numbers,
    *,
    fix_sigma_m: float,
    north: North | None,
    limits: DvlLimits = DvlLimits(),
) -> EndFix:
    """From the end of the reference and of the dead-reckoned track, both (2,) north and east from one start.

    A constant level misalignment turns and scales the whole track about its start, whatever the manoeuvre. Raises
    CannotCompute for a net displacement under the length rule (a closed box has none) and an angle over 15 degrees.
    """
    basis = declared(north)
    ref = complex(*vector(ref_end_ne_m, "The end of the reference track", 2)) / basis.distance_scale
    dvl = complex(*vector(dvl_end_ne_m, "The end of the DVL track", 2))
    shortest = shortest_baseline_m(fix_sigma_m, limits.wanted_half_width_deg)
    if min(abs(ref), abs(dvl)) < shortest:
        raise CannotCompute(
            f"From start to end the track makes {abs(ref):.0f} m; fixes of {fix_sigma_m:g} m need {shortest:.0f} m"
            f" for ± {limits.wanted_half_width_deg:g}°.",
            "Use the legs or the velocities of a closed run, or make the run longer in one direction.",
        )
    c = ref / dvl
    alpha = math.degrees(phase(c))
    if abs(alpha) > limits.most_angle_deg:
        raise CannotCompute(f"The angle is {alpha:.1f}°: that is a mounting entry.", "Check the mounting first.")
    sigma, k = math.sqrt(2) * fix_sigma_m / abs(ref), normal_factor(limits.coverage)
    return EndFix(
        alpha_deg=alpha,
        scale=abs(c) - 1,
        sigma_alpha_deg=math.degrees(sigma),
        half_width_alpha_deg=math.degrees(k * sigma),
        half_width_scale=k * sigma * abs(c),
        coverage=limits.coverage,
        net_m=abs(ref),
        end_error_m=abs(dvl - ref),
        shortest_m=shortest,
        north=basis,
        frame="NED, angle to starboard +",
        verdict=_say(alpha, math.degrees(k * sigma)),
        next="The ends hide a current and drift of heading: confirm it with legs both ways.",
        method=method("dvl-end-fix"),
        limits=limits,
    )


def _say(alpha_deg: float, half_width_deg: float) -> str:
    side = "starboard" if alpha_deg >= 0 else "port"
    return f"The DVL points {abs(alpha_deg):.2f}° ± {half_width_deg:.2f}° to {side}, by the ends of the track."


def net_and_path_m(headings_deg: Numbers, lengths_m: Numbers) -> tuple[float, float]:
    """Distance from start to end and distance run, of legs with these headings (deg) and lengths (m)."""
    lengths = series(lengths_m, "The lengths")
    legs = np.exp(1j * np.radians(series(headings_deg, "The headings", len(lengths)))) * lengths
    return abs(complex(legs.sum())), float(np.abs(legs).sum())
