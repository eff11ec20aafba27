"""Bias of each axis at rest: on a fixture of known attitude, or from two headings 180 degrees apart."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.earth import static_reading
from registry.inertial.gyrocompass import level_rate_deg_h
from registry.inertial.inputs import Numbers, latitude, number, vector
from registry.inertial.limits import StaticLimits
from registry.inertial.methods import method
from registry.inertial.north import North, TrueAzimuth, to_true
from registry.inertial.quantiles import normal_factor
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute

Triple = tuple[float, float, float]
#: What one pose cannot say: level accelerometer bias and tilt look the same there, and so do gyro bias and heading.
NOT_SEPARABLE = (
    "Per-axis bias is not separable in one pose: record on a surveyed fixture, or at two headings 180° apart."
)


@dataclass(frozen=True, slots=True)
class FixtureBias:
    """Bias of each axis in unit FRD axes; sigma holds the noise and what the surveyed attitude leaves open."""

    gyro_bias_deg_h: Triple
    acc_bias_m_s2: Triple
    sigma_gyro_deg_h: Triple
    sigma_acc_m_s2: Triple
    half_width_gyro_deg_h: Triple
    half_width_acc_m_s2: Triple
    coverage: float
    azimuth_true_deg: float
    frame: str
    verdict: str
    next: str
    method: str


def bias_on_fixture(
    mean_force_m_s2: Numbers,
    mean_rate_deg_h: Numbers,
    *,
    lat_deg: float,
    azimuth_deg: float,
    pitch_deg: float,
    roll_deg: float,
    north: North | None,
    sigma_azimuth_deg: float,
    sigma_level_deg: float,
    height_m: float = 0.0,
    sigma_force_m_s2: Numbers = (0.0, 0.0, 0.0),
    sigma_rate_deg_h: Numbers = (0.0, 0.0, 0.0),
    heading_class_deg: float | None = None,
    limits: StaticLimits = StaticLimits(),
) -> FixtureBias:
    """Bias = mean - C_nb^T truth, means (3,) in unit FRD axes on a fixture of surveyed azimuth, pitch and roll.

    The sigmas hold what an attitude error leaks into each axis, and the anomaly of gravity (1e-3 m/s²) in the vertical.
    Raises CannotCompute for undeclared north, no latitude, and a mark known worse than a third of the heading class.
    """
    bearing = _bench_mark(azimuth_deg, north, sigma_azimuth_deg, heading_class_deg, limits)
    truth = static_reading(latitude(lat_deg), bearing.azimuth_deg, pitch_deg, roll_deg, height_m)
    force, rate = np.array(truth.force_m_s2), np.array(truth.rate_deg_h)
    noise = vector(sigma_force_m_s2, "Sigma of force"), vector(sigma_rate_deg_h, "Sigma of rate")
    sigma_f, sigma_w = _fixture_sigmas(force, rate, sigma_level_deg, bearing.sigma_deg, noise, limits)
    gyro = vector(mean_rate_deg_h, "The mean rate") - rate
    k = normal_factor(limits.coverage)
    return FixtureBias(
        gyro_bias_deg_h=floats(gyro),
        acc_bias_m_s2=floats(vector(mean_force_m_s2, "The mean specific force") - force),
        sigma_gyro_deg_h=floats(sigma_w),
        sigma_acc_m_s2=floats(sigma_f),
        half_width_gyro_deg_h=floats(k * sigma_w),
        half_width_acc_m_s2=floats(k * sigma_f),
        coverage=limits.coverage,
        azimuth_true_deg=bearing.azimuth_deg,
        frame="unit FRD",
        verdict="Gyro bias "
        + ", ".join(f"{axis} {b:+.4f} ± {k * s:.4f}" for axis, b, s in zip("xyz", gyro, sigma_w, strict=True))
        + " deg/h.",
        next="Compare it with the class; a level accelerometer bias and a tilt of the fixture look the same.",
        method=method("bias-on-fixture"),
    )


def _bench_mark(azimuth_deg, north, sigma_deg, heading_class_deg: float | None, limits: StaticLimits) -> TrueAzimuth:
    """The mark made true; refused when it is known worse than a third of the class that is to be shown."""
    bearing = to_true(azimuth_deg, north, sigma_deg)
    if heading_class_deg is not None and bearing.sigma_deg > limits.mark_share_of_class * heading_class_deg:
        raise CannotCompute(
            f"The bench mark is known to {bearing.sigma_deg:.3f}°; a class of {heading_class_deg:g}° needs"
            f" {limits.mark_share_of_class * heading_class_deg:.3f}°.",
            "Have the mark surveyed to a third of the class, true north.",
        )
    return bearing


def _fixture_sigmas(force, rate, sigma_level_deg, sigma_yaw_deg, noise, limits: StaticLimits):
    """Sigmas (3,) of force and rate: what the fixture’s tilt and azimuth leak into each axis, noise, and the anomaly."""
    level, yaw = (math.radians(number(s, "Sigma in degrees", least=0)) for s in (sigma_level_deg, sigma_yaw_deg))
    up = -force / np.linalg.norm(force)
    leak_f = [np.cross(axis * level, force) for axis in np.eye(3)]
    leak_w = [np.cross(axis * level, rate) for axis in np.eye(3)] + [np.cross(up * yaw, rate)]
    anomaly = limits.gravity_floor_m_s2 / 3 * np.abs(up)
    sigma_f = np.sqrt(sum(each**2 for each in leak_f) + noise[0] ** 2 + anomaly**2)
    return sigma_f, np.sqrt(sum(each**2 for each in leak_w) + noise[1] ** 2)


@dataclass(frozen=True, slots=True)
class TwoHeadings:
    """Level gyro bias and heading from two records of a level unit, the second turned by 180 degrees."""

    bias_deg_h: tuple[float, float]
    sigma_bias_deg_h: float
    half_width_bias_deg_h: float
    heading_deg: float
    sigma_heading_deg: float
    single_heading_deg: float
    single_error_deg: float
    first_order_error_deg: float
    coverage: float
    north: str
    frame: str
    verdict: str
    next: str
    method: str


def bias_from_two_headings(
    first_rate_deg_h: Numbers,
    second_rate_deg_h: Numbers,
    lat_deg: float,
    *,
    sigma_rate_deg_h: float = 0.0,
    turn_deg: float = 180.0,
    limits: StaticLimits = StaticLimits(),
) -> TwoHeadings:
    """Half-sum is bias, half-difference earth rate; level mean rates x, y (2,) at both headings.

    The heading from the half-difference is free of constant bias, so it also separates bias from mounting. Raises
    CannotCompute when the turn is not 180 degrees to half a degree, and when the half-difference is not the level
    earth rate of the latitude to 10 %. Source: Titterton & Weston 2004 chapter 10.
    """
    if abs(number(turn_deg, "The turn in degrees") - 180.0) > 0.5:
        raise CannotCompute(f"The unit was turned by {turn_deg:g}°; half-sums need 180°.", "Turn it end for end.")
    one, two = vector(first_rate_deg_h, "The first rates", 2), vector(second_rate_deg_h, "The second rates", 2)
    bias, earth = (one + two) / 2, (one - two) / 2
    level = level_rate_deg_h(lat_deg)
    size = float(np.linalg.norm(earth))
    _refuse_other_level_rate(size, level)
    heading = math.degrees(math.atan2(-earth[1], earth[0])) % 360.0
    single = math.degrees(math.atan2(-one[1], one[0])) % 360.0
    sigma = number(sigma_rate_deg_h, "Sigma of a mean rate", least=0) / math.sqrt(2)
    to_east = math.radians(heading)
    east = float(bias @ (math.sin(to_east), math.cos(to_east)))
    k = normal_factor(limits.coverage)
    return TwoHeadings(
        bias_deg_h=floats(bias),
        sigma_bias_deg_h=sigma,
        half_width_bias_deg_h=k * sigma,
        heading_deg=heading,
        sigma_heading_deg=math.degrees(sigma / size),
        single_heading_deg=single,
        single_error_deg=(single - heading + 180.0) % 360.0 - 180.0,
        first_order_error_deg=-math.degrees(east / level),
        coverage=limits.coverage,
        north="true",
        frame="unit FRD, level",
        verdict=f"Gyro bias x {bias[0]:+.4f}, y {bias[1]:+.4f} ± {k * sigma:.4f} deg/h; heading {heading:.2f}° true.",
        next="Compare the bias with the class.",
        method=method("bias-two-headings"),
    )


def _refuse_other_level_rate(size_deg_h: float, level_deg_h: float) -> None:
    if not level_deg_h > 0 or abs(size_deg_h / level_deg_h - 1) > 0.1:
        raise CannotCompute(
            f"The half-difference is {size_deg_h:.3f} deg/h; the level earth rate here is {level_deg_h:.3f}.",
            "See that the unit was level, turned by 180°, and that latitude and unit of rate are right.",
        )
