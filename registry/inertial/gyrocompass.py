"""Gyrocompassing: what bias, noise, level and speed do to a heading found from the earth's rotation."""

import math
from dataclasses import dataclass

from registry.inertial.earth import EARTH_RATE_DEG_H, EARTH_RATE_RAD_S, WGS84, level_from_force
from registry.inertial.inputs import latitude, number
from registry.inertial.limits import GyrocompassLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute

#: IMO A.821(19) section 4.1, gyrocompasses of high-speed craft, in degrees times secant latitude; hours to settle.
IMO_SETTLE_DEG, IMO_RMS_DEG, IMO_REPEAT_DEG = 0.75, 0.25, 0.25
IMO_SETTLE_H, IMO_MOST_LAT_DEG = 6.0, 70.0
#: UK S.I. 1993 No. 69, regulation 17(1): the datum of the master compass against the ship's fore-and-aft line.
SHIP_DATUM_LIMIT_DEG = 0.5


def level_rate_deg_h(lat_deg: float) -> float:
    """Horizontal earth rate, the whole signal of a gyrocompass (deg/h)."""
    return EARTH_RATE_DEG_H * math.cos(math.radians(latitude(lat_deg)))


def secant(lat_deg: float) -> float:
    """1 / cos lat: 2.9 at 70 degrees, 5.8 at 80, 11.5 at 85."""
    return 1 / math.cos(math.radians(latitude(lat_deg)))


def first_order_error_deg(bias_deg_h: float, lat_deg: float) -> float:
    """b / (W cos lat), the secant law."""
    return math.degrees(number(bias_deg_h, "The gyro bias in deg/h") / level_rate_deg_h(lat_deg))


def exact_error_deg(bias_deg_h: float, lat_deg: float) -> float | None:
    """asin(b / (W cos lat)) for a bias across the level earth rate; None when the bias drowns it: no heading."""
    ratio = number(bias_deg_h, "The gyro bias in deg/h") / level_rate_deg_h(lat_deg)
    return math.degrees(math.asin(ratio)) if abs(ratio) < 1 else None


@dataclass(frozen=True, slots=True)
class HeadingError:
    """What a gyro bias of one sigma leaves in the heading at a latitude."""

    bias_deg_h: float
    lat_deg: float
    level_rate_deg_h: float
    first_order_deg: float
    sigma_heading_deg: float
    half_width_deg: float
    coverage: float
    secant: float
    verdict: str
    next: str
    method: str
    limits: GyrocompassLimits


def refuse_latitude(lat_deg: float, limits: GyrocompassLimits) -> str:
    """Raise CannotCompute near the poles; return the caution that holds from 70 degrees on, or an empty text."""
    lat = abs(latitude(lat_deg))
    if lat >= limits.refuse_lat_deg:
        raise CannotCompute(
            f"At {lat:.1f}° the level earth rate is too small to gyrocompass; the limit is {limits.refuse_lat_deg:g}°.",
            "Take the heading from a dual-antenna or a transit bearing.",
        )
    if lat >= limits.warn_lat_deg:
        return f"At {lat:.0f}° every heading sigma is {secant(lat):.1f} times that of the equator."
    return ""


def heading_error(bias_deg_h: float, lat_deg: float, limits: GyrocompassLimits = GyrocompassLimits()) -> HeadingError:
    """Heading error of a gyrocompassing unit from an east gyro bias (deg/h, one sigma): 0.01 at 45° gives 0.054°.

    Raises CannotCompute from 85 degrees of latitude on, and for a bias that reaches the level earth rate.
    """
    bias = abs(number(bias_deg_h, "The gyro bias in deg/h"))
    caution = refuse_latitude(lat_deg, limits)
    exact = exact_error_deg(bias, lat_deg)
    if exact is None:
        raise CannotCompute(
            f"A gyro bias of {bias:g} deg/h drowns the level earth rate of {level_rate_deg_h(lat_deg):.2f} deg/h:"
            " this unit cannot gyrocompass.",
            "Give it a heading from elsewhere.",
        )
    return HeadingError(
        bias_deg_h=bias,
        lat_deg=float(lat_deg),
        level_rate_deg_h=level_rate_deg_h(lat_deg),
        first_order_deg=first_order_error_deg(bias, lat_deg),
        sigma_heading_deg=exact,
        half_width_deg=normal_factor(0.95) * exact,
        coverage=0.95,
        secant=secant(lat_deg),
        verdict=f"A bias of {bias:g} deg/h leaves {exact:.3f}° of heading at {abs(lat_deg):g}°."
        + (f" {caution}" if caution else ""),
        next="Compare it with the heading class of the unit’s data sheet.",
        method=method("gyrocompass-error"),
        limits=limits,
    )


def class_bias_deg_h(class_deg_seclat: float) -> float:
    """East gyro bias of a class of so many degrees secant latitude: X W (0.1 -> 0.0263 deg/h)."""
    return math.radians(number(class_deg_seclat, "The class in degrees secant latitude", least=0)) * EARTH_RATE_DEG_H


def class_heading_deg(class_deg_seclat: float, lat_deg: float) -> float:
    """What a class of so many degrees secant latitude comes to at a latitude."""
    return number(class_deg_seclat, "The class in degrees secant latitude", least=0) * secant(lat_deg)


def rate_noise_deg_h(walk_deg_sqrt_h: float, seconds: float) -> float:
    """Standard deviation of a mean rate from angle random walk alone: N / sqrt(T)."""
    hours = number(seconds, "The averaging time in seconds", above=0) / 3600
    return number(walk_deg_sqrt_h, "The angle random walk in deg/sqrt(h)", least=0) / math.sqrt(hours)


def heading_noise_deg(walk_deg_sqrt_h: float, seconds: float, lat_deg: float) -> float:
    """Heading noise left after averaging at rest: N / (sqrt(T) W cos lat)."""
    return math.degrees(rate_noise_deg_h(walk_deg_sqrt_h, seconds) / level_rate_deg_h(lat_deg))


@dataclass(frozen=True, slots=True)
class LevelError:
    """What an accelerometer bias does: a tilt, and with it earth rate of the vertical leaking into heading."""

    tilt_rad: float
    tilt_arcsec: float
    heading_deg: float
    exact_heading_deg: float
    method: str


def level_error(acc_bias_m_s2: float, lat_deg: float, gravity_m_s2: float) -> LevelError:
    """tilt = b / g; about the north axis it turns the heading by tilt tan(lat): 50 ug at 60° is 0.005°."""
    b, g = number(acc_bias_m_s2, "The accelerometer bias"), number(gravity_m_s2, "Gravity", above=0)
    lat = math.radians(latitude(lat_deg))
    roll = math.radians(level_from_force((0.0, -b, -g))[1])
    return LevelError(
        tilt_rad=b / g,
        tilt_arcsec=math.degrees(b / g) * 3600,
        heading_deg=math.degrees(b / g * math.tan(lat)),
        exact_heading_deg=abs(math.degrees(math.atan2(math.sin(lat) * math.sin(roll), math.cos(lat)))),
        method=method("gyrocompass-error"),
    )


def eastward_earth_speed_m_s(lat_deg: float) -> float:
    """Speed of the turning earth's surface on a sphere of equatorial radius."""
    return EARTH_RATE_RAD_S * WGS84.a_m * math.cos(math.radians(latitude(lat_deg)))


def speed_error_deg(speed_m_s: float, course_deg: float, lat_deg: float) -> float:
    """Course-speed error of an uncorrected gyrocompass: tan d = V cos C / (W R cos lat + V sin C) (Bowditch)."""
    v, c = number(speed_m_s, "The speed in m/s", least=0), math.radians(number(course_deg, "The course"))
    return math.degrees(math.atan(v * math.cos(c) / (eastward_earth_speed_m_s(lat_deg) + v * math.sin(c))))


def unaided_north_speed_deg(north_m_s: float, lat_deg: float) -> float:
    """What a north speed nobody told the unit costs: v / (W R cos lat); 1 m/s is 0.12° at the equator, 0.25° at 60°."""
    return math.degrees(number(north_m_s, "The north speed in m/s") / eastward_earth_speed_m_s(lat_deg))


def settling_minutes(rated_min: float, rated_lat_deg: float, lat_deg: float) -> float:
    """Settling when noise limits it: it grows with sec² of latitude. `rated_min` comes from the type's record."""
    ratio = secant(lat_deg) / secant(rated_lat_deg)
    return number(rated_min, "The rated settling time in minutes", above=0) * ratio**2


@dataclass(frozen=True, slots=True)
class ShipLimits:
    """Limits of ships' gyrocompasses at a latitude: ceilings of the law, far wider than an inertial pair's class."""

    settle_deg: float
    rms_deg: float
    repeat_deg: float
    settle_h: float
    datum_deg: float
    source: str


def ship_limits(lat_deg: float) -> ShipLimits:
    """IMO A.821(19) section 4.1 at a latitude (settling up to 70°), and the fore-and-aft datum of S.I. 1993/69."""
    if abs(latitude(lat_deg)) > IMO_MOST_LAT_DEG:
        raise CannotCompute(
            f"The resolution states its limits up to {IMO_MOST_LAT_DEG:g}° of latitude.", "Use the unit’s own class."
        )
    s = secant(lat_deg)
    return ShipLimits(
        IMO_SETTLE_DEG * s,
        IMO_RMS_DEG * s,
        IMO_REPEAT_DEG * s,
        IMO_SETTLE_H,
        SHIP_DATUM_LIMIT_DEG,
        "IMO A.821(19) 4.1.1-4.1.3; S.I. 1993 No. 69 reg. 17(1)",
    )
