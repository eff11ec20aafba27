"""Bench static test: gravity, earth rate and its vertical part, against what the place and the class allow."""

import math
from dataclasses import dataclass

import numpy as np

from registry.inertial.bias import NOT_SEPARABLE
from registry.inertial.earth import EARTH_RATE_DEG_H, normal_gravity
from registry.inertial.inputs import latitude
from registry.inertial.limits import StaticLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute
from registry.inertial.static_summary import StaticSummary
from registry.inertial.unit_class import UnitClass


@dataclass(frozen=True, slots=True)
class Check:
    """One check: measured against expected, with the sigma of the measurement and what the difference may be.

    `agrees` is None when the class holds no limit for it; the difference is then shown and not judged.
    """

    name: str
    measured: float
    expected: float
    difference: float
    sigma: float
    half_width: float
    allowed: float | None
    agrees: bool | None
    unit: str
    sentence: str


@dataclass(frozen=True, slots=True)
class StaticTest:
    """The three checks that need no heading, and what a pass proves.

    `detection_deg` is the smallest turn between gyros and accelerometers that this record could show: a static pass
    does not prove a pair, and a crossed pair may differ by tenths of a degree.
    """

    gravity: Check
    earth_rate: Check
    vertical_rate: Check
    detection_deg: float
    bias_note: str
    passed: bool | None
    coverage: float
    lat_deg: float
    height_m: float
    seconds: float
    frame: str
    verdict: str
    next: str
    method: str
    limits: StaticLimits

    @property
    def checks(self) -> tuple[Check, Check, Check]:
        return self.gravity, self.earth_rate, self.vertical_rate


def static_test(
    summary: StaticSummary,
    lat_deg: float,
    *,
    height_m: float = 0.0,
    unit_class: UnitClass = UnitClass(),
    warm_up_min: float | None = None,
    limits: StaticLimits = StaticLimits(),
) -> StaticTest:
    """|f| against normal gravity, |w| against the earth's rate, and w on the vertical against W sin lat (deg/h).

    Tolerances: 1e-3 m/s² (anomaly) or the class' accelerometer bias at 95 %, whichever is larger; the class' gyro
    bias at 95 % with the noise of the record. The vertical is that of the unit's own force, so no attitude is asked
    for. Raises CannotCompute without a latitude, under 10 minutes, and under the sea surface.
    """
    lat = latitude(lat_deg)
    if summary.seconds < limits.least_bias_s:
        raise CannotCompute(
            f"The record is {summary.seconds / 60:.1f} min long; a bias takes {limits.least_bias_s / 60:.0f}.",
            "Record longer.",
        )
    if height_m < -500:
        raise CannotCompute("Under water normal gravity is not known well enough.", "Test at the surface.")
    k = normal_factor(limits.coverage)
    gravity, earth, vertical = _checks(summary, lat, float(height_m), unit_class, k, limits)
    passed = _all_agree(gravity, earth, vertical)
    detection = _detection_deg(summary, unit_class, lat, k)
    verdict, then = _say((gravity, earth, vertical), passed, detection, summary, warm_up_min, limits)
    return StaticTest(
        gravity=gravity,
        earth_rate=earth,
        vertical_rate=vertical,
        detection_deg=detection,
        bias_note=NOT_SEPARABLE,
        passed=passed,
        coverage=limits.coverage,
        lat_deg=lat,
        height_m=float(height_m),
        seconds=summary.seconds,
        frame="unit axes; vertical by the unit’s own specific force",
        verdict=verdict,
        next=then,
        method=method("static-test"),
        limits=limits,
    )


def _all_agree(*checks: Check) -> bool | None:
    """False when any is outside, None when one could not be judged."""
    judged = [each.agrees for each in checks]
    return False if False in judged else None if None in judged else True


def _checks(summary: StaticSummary, lat: float, height_m: float, unit_class: UnitClass, k: float, limits: StaticLimits):
    """Gravity, earth rate, and earth rate on the vertical."""
    force, rate = np.array(summary.mean_force_m_s2), np.array(summary.mean_rate_deg_h)
    up = force / np.linalg.norm(force)
    size = float(np.linalg.norm(rate))
    along = rate / size if size else up
    sigma_f, sigma_w, sigma_v = (
        float(np.linalg.norm(axis * sigma))
        for axis, sigma in (
            (up, summary.sigma_force_m_s2),
            (along, summary.sigma_rate_deg_h),
            (up, summary.sigma_rate_deg_h),
        )
    )
    acc = unit_class.acc_bias_m_s2
    allowed = max(limits.gravity_floor_m_s2, acc.at_95 if acc else 0.0) + k * sigma_f
    on_vertical = -EARTH_RATE_DEG_H * math.sin(math.radians(lat))
    return (
        _check("gravity", float(np.linalg.norm(force)), normal_gravity(lat, height_m), sigma_f, k, allowed, "m/s2"),
        _check("earth rate", size, EARTH_RATE_DEG_H, sigma_w, k, _gyro_allowed(unit_class, k, sigma_w), "deg/h"),
        _check(
            "earth rate on the vertical (down)",
            -float(rate @ up),
            on_vertical,
            sigma_v,
            k,
            _gyro_allowed(unit_class, k, sigma_v),
            "deg/h",
        ),
    )


def _gyro_allowed(unit_class: UnitClass, k: float, sigma: float) -> float | None:
    bias = unit_class.gyro_bias_deg_h
    return None if bias is None else math.hypot(bias.at_95, k * sigma)


def _check(name: str, measured, expected, sigma: float, k: float, allowed: float | None, unit: str) -> Check:
    difference = measured - expected
    agrees = None if allowed is None else bool(abs(difference) <= allowed)
    so = f"{name.capitalize()}: {measured:.5g} {unit}, expected {expected:.5g}; {difference:+.2g} ± {k * sigma:.1g}"
    tail = ", no limit on record" if allowed is None else f", allowed {allowed:.2g}" + ("" if agrees else ": outside")
    return Check(name, measured, expected, difference, sigma, k * sigma, allowed, agrees, unit, f"{so}{tail}.")


def _detection_deg(summary: StaticSummary, unit_class: UnitClass, lat: float, k: float) -> float:
    """A turn shows on the vertical rate by W cos lat times its sine, under the class' bias and the noise."""
    bias = unit_class.gyro_bias_deg_h.one_sigma if unit_class.gyro_bias_deg_h else 0.0
    hidden = k * math.hypot(bias, max(summary.sigma_rate_deg_h))
    return math.degrees(math.asin(min(1.0, hidden / max(EARTH_RATE_DEG_H * math.cos(math.radians(lat)), 1e-9))))


def _say(checks, passed: bool | None, detection: float, summary: StaticSummary, warm_up_min, limits: StaticLimits):
    outside = [each.sentence for each in checks if each.agrees is False]
    open_ = [each.name for each in checks if each.agrees is None]
    said = " ".join(outside) if outside else "Gravity and earth rate agree." if passed else checks[0].sentence
    if open_:
        said += f" Not judged, because the class holds no limit: {', '.join(open_)}."
    if not summary.steady:
        said += f" {summary.unsteady}"
    if warm_up_min is None or warm_up_min < limits.warm_up_min:
        stated = "not stated" if warm_up_min is None else f"{warm_up_min:g} min"
        said += f" Warm-up: {stated}; {limits.warm_up_min:g} is usual."
    unknown = ", and a larger one may not either: the gyro bias is not on record" if checks[1].allowed is None else ""
    then = (
        "Check units, signs and the latitude, then repeat after warming up."
        if outside
        else f"This does not prove the pair: a turn under {detection:.2f}° between the halves would not show{unknown}."
        f" Acceptance takes {limits.headings} headings of {limits.minutes_each:g} min and {limits.power_ups} power-ups."
    )
    return said, then
