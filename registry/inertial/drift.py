"""Free-inertial drift: what gyro and accelerometer bias do to position, with the Schuler swing and without."""

import math
from dataclasses import dataclass

from registry.inertial.earth import MEAN_RADIUS_M
from registry.inertial.inputs import number
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute
from registry.inertial.units import DEG_H_TO_RAD_S, NAUTICAL_MILE_M, STANDARD_GRAVITY_M_S2


def schuler_rate_rad_s(radius_m: float = MEAN_RADIUS_M, gravity_m_s2: float = STANDARD_GRAVITY_M_S2) -> float:
    """sqrt(g / R)."""
    return math.sqrt(number(gravity_m_s2, "Gravity", above=0) / number(radius_m, "The radius", above=0))


def schuler_period_s(radius_m: float = MEAN_RADIUS_M, gravity_m_s2: float = STANDARD_GRAVITY_M_S2) -> float:
    """2 pi sqrt(R / g): 84.4 minutes."""
    return 2 * math.pi / schuler_rate_rad_s(radius_m, gravity_m_s2)


def drift_nmi_h(gyro_bias_deg_h: float) -> float:
    """The rule 0.01 deg/h <-> 0.6 nmi/h: an arc-minute of longitude or tilt is a nautical mile."""
    return 60 * number(gyro_bias_deg_h, "The gyro bias in deg/h")


def drift_m_h(gyro_bias_deg_h: float, radius_m: float | None = None) -> float:
    """The same rule in metres per hour, by the nautical mile or by a radius."""
    if radius_m is None:
        return drift_nmi_h(gyro_bias_deg_h) * NAUTICAL_MILE_M
    return math.radians(number(gyro_bias_deg_h, "The gyro bias in deg/h")) * number(radius_m, "The radius", above=0)


@dataclass(frozen=True, slots=True)
class FreeInertialDrift:
    """Position error of one level channel after a time without aid, metres. Biases are one sigma, so are these.

    `ramp_m` is the rule of thumb beside it, None under an hour, where it is up to ten times too large.
    """

    seconds: float
    gyro_m: float
    acc_m: float
    sigma_m: float
    half_width_m: float
    coverage: float
    ramp_m: float | None
    verdict: str
    next: str
    method: str


def gyro_drift_m(
    seconds: float, bias_deg_h: float, radius_m: float = MEAN_RADIUS_M, gravity_m_s2: float = STANDARD_GRAVITY_M_S2
) -> float:
    """R b (t - sin(ws t)/ws): 0.01 deg/h is 17 m after 10 min and 1353 m after an hour."""
    ws = schuler_rate_rad_s(radius_m, gravity_m_s2)
    return radius_m * bias_deg_h * DEG_H_TO_RAD_S * (seconds - math.sin(ws * seconds) / ws)


def acc_drift_m(
    seconds: float, bias_m_s2: float, radius_m: float = MEAN_RADIUS_M, gravity_m_s2: float = STANDARD_GRAVITY_M_S2
) -> float:
    """b / ws² (1 - cos(ws t)): bounded, back at zero after each Schuler period."""
    ws = schuler_rate_rad_s(radius_m, gravity_m_s2)
    # 2 sin²(x/2) keeps its digits where 1 - cos(x) loses them.
    return bias_m_s2 / ws**2 * 2 * math.sin(ws * seconds / 2) ** 2


def ramp_m(seconds: float, bias_deg_h: float, radius_m: float = MEAN_RADIUS_M) -> float:
    """R b t, the rule of thumb, at any time: sound only from about an hour on."""
    return radius_m * bias_deg_h * DEG_H_TO_RAD_S * seconds


def free_inertial_drift(
    seconds: float,
    *,
    gyro_bias_deg_h: float,
    acc_bias_m_s2: float = 0.0,
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2,
    radius_m: float = MEAN_RADIUS_M,
) -> FreeInertialDrift:
    """Drift of one level channel from its biases (one sigma), with the Schuler term (Titterton & Weston ch. 12).

    Raises CannotCompute for a time that is not over zero or over a day (the single channel is no longer a fair
    picture: the 24-hour term is missing).
    """
    t = number(seconds, "The time in seconds", above=0)
    if t > 86_400:
        raise CannotCompute("Over a day the single channel is no fair picture.", "Ask for a time within 24 hours.")
    gyro = abs(gyro_drift_m(t, number(gyro_bias_deg_h, "The gyro bias in deg/h"), radius_m, gravity_m_s2))
    acc = abs(acc_drift_m(t, number(acc_bias_m_s2, "The accelerometer bias in m/s²"), radius_m, gravity_m_s2))
    sigma = math.hypot(gyro, acc)
    return FreeInertialDrift(
        seconds=t,
        gyro_m=gyro,
        acc_m=acc,
        sigma_m=sigma,
        half_width_m=normal_factor(0.95) * sigma,
        coverage=0.95,
        ramp_m=ramp_m(t, abs(gyro_bias_deg_h), radius_m) if t >= 3600 else None,
        verdict=f"Without aid, {sigma:.0f} m (1 sigma) after {t / 60:.0f} min.",
        next="Plan the next fix before this is more than the mission may lose.",
        method=method("free-inertial-drift"),
    )
