"""Heading of a unit at rest from its own mean readings: levelling, then gyrocompassing."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.earth import EARTH_RATE_DEG_H, level_from_force, normal_gravity
from registry.inertial.gyrocompass import exact_error_deg, level_rate_deg_h, rate_noise_deg_h, refuse_latitude
from registry.inertial.inputs import Numbers, latitude, number, vector
from registry.inertial.limits import GyrocompassLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute
from registry.inertial.rotations import matrix_from_ypr


@dataclass(frozen=True, slots=True)
class StaticHeading:
    """Attitude of a resting FRD unit, NED, north true. `sigma_*` hold gyro bias, gyro noise and accelerometer bias."""

    heading_deg: float
    pitch_deg: float
    roll_deg: float
    sigma_heading_deg: float
    sigma_level_deg: float
    half_width_heading_deg: float
    coverage: float
    north: str
    frame: str
    verdict: str
    next: str
    method: str
    limits: GyrocompassLimits


def heading_from_rates_deg(force_m_s2: Numbers, rate_deg_h: Numbers) -> float:
    """Heading (deg, 0..360, true) from mean specific force (3,) and mean rate (3,) in FRD axes; no guards."""
    pitch, roll = level_from_force(force_m_s2)
    level = matrix_from_ypr(0.0, pitch, roll) @ vector(rate_deg_h, "The mean rate in deg/h")
    return math.degrees(math.atan2(-level[1], level[0])) % 360.0


def static_heading(
    force_m_s2: Numbers,
    rate_deg_h: Numbers,
    lat_deg: float,
    *,
    gyro_bias_deg_h: float,
    walk_deg_sqrt_h: float,
    seconds: float,
    acc_bias_m_s2: float = 0.0,
    spread_m_s2: float = 0.0,
    limits: GyrocompassLimits = GyrocompassLimits(),
    coverage: float = 0.95,
) -> StaticHeading:
    """Heading, pitch and roll from means over `seconds`, with sigma from bias (1 sigma), noise and level.

    Raises CannotCompute on a moving base, from 85 degrees of latitude on, without a latitude, and when the bias
    reaches the level earth rate. Source: Groves 2013 section 5.6.
    """
    caution = refuse_latitude(latitude(lat_deg), limits)
    _refuse_motion(number(spread_m_s2, "The spread of specific force", least=0), limits)
    force, rate = vector(force_m_s2, "The mean specific force"), vector(rate_deg_h, "The mean rate")
    noise = rate_noise_deg_h(walk_deg_sqrt_h, seconds)
    error = _heading_error_deg(math.hypot(number(gyro_bias_deg_h, "The gyro bias", least=0), noise), lat_deg)
    _refuse_other_rate(rate, gyro_bias_deg_h, noise)
    pitch, roll = level_from_force(force)
    tilt = math.degrees(number(acc_bias_m_s2, "The accelerometer bias", least=0) / normal_gravity(lat_deg))
    sigma = math.hypot(error, tilt * math.tan(math.radians(abs(lat_deg))))
    heading, half = heading_from_rates_deg(force, rate), normal_factor(coverage) * sigma
    return StaticHeading(
        heading_deg=heading,
        pitch_deg=pitch,
        roll_deg=roll,
        sigma_heading_deg=sigma,
        sigma_level_deg=tilt,
        half_width_heading_deg=half,
        coverage=coverage,
        north="true",
        frame="unit FRD to NED",
        verdict=f"Heading {heading:.2f}° ± {half:.2f}° true ({coverage:.0%})." + (f" {caution}" if caution else ""),
        next="Compare it with the bench mark, north declared.",
        method=method("static-heading"),
        limits=limits,
    )


def _refuse_motion(spread_m_s2: float, limits: GyrocompassLimits) -> None:
    if spread_m_s2 > limits.most_spread_m_s2:
        raise CannotCompute(
            f"The base moved: specific force varies by {spread_m_s2:.2f} m/s²;"
            f" the limit is {limits.most_spread_m_s2:g}.",
            "Record again at rest.",
        )


def _heading_error_deg(bias_and_noise_deg_h: float, lat_deg: float) -> float:
    error = exact_error_deg(bias_and_noise_deg_h, lat_deg)
    if error is None:
        raise CannotCompute(
            f"Bias and noise of this unit reach the level earth rate of {level_rate_deg_h(lat_deg):.2f} deg/h:"
            " it cannot gyrocompass.",
            "Give it a heading from elsewhere.",
        )
    return error


def _refuse_other_rate(rate: np.ndarray, bias_deg_h: float, noise_deg_h: float) -> None:
    size = float(np.linalg.norm(rate))
    allowed = 5 * math.sqrt(3) * math.hypot(bias_deg_h, noise_deg_h) + 0.02 * EARTH_RATE_DEG_H
    if abs(size - EARTH_RATE_DEG_H) > allowed:
        raise CannotCompute(
            f"The mean rate is {size:.3f} deg/h; the earth turns at {EARTH_RATE_DEG_H:.3f}, and the stated bias"
            f" allows {allowed:.3f} between them.",
            "See that the unit was at rest and that the unit of rate is the one declared.",
        )
