"""Noise terms off an Allan curve: random walk from a whole stretch of slope, the floor only where it was reached."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.inertial.allan import FLICKER_FACTOR, AllanCurve, white_noise_error
from registry.inertial.limits import AllanLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor, t_factor
from registry.inertial.refusal import CannotCompute


@dataclass(frozen=True, slots=True)
class AllanTerms:
    """What one axis' curve says. `white` is in unit x sqrt(s): `walk` gives it as people quote it.

    `walk` is deg/sqrt(h) for a rate in deg/h and m/s/sqrt(h) for m/s². `floor` is the lowest deviation and
    `bias_instability` floor/0.664, both None when the floor was not reached: `floor_at_most` holds then. `white`,
    `random_walk_k` (unit/sqrt(s)) and `ramp` (unit/s) are None where the curve shows no stretch of their slope.
    """

    unit: str
    white: float | None
    walk: float | None
    walk_unit: str
    sigma_walk: float | None
    half_width_walk: float | None
    floor: float | None
    floor_tau_s: float
    floor_relative_sigma: float
    half_width_floor: float | None
    bias_instability: float | None
    floor_at_most: float | None
    random_walk_k: float | None
    ramp: float | None
    coverage: float
    verdict: str
    next: str
    method: str
    limits: AllanLimits


#: Worth of one unit x sqrt(s) in what people quote, and its name.
_WALK = {"deg/h": (1 / 60, "deg/sqrt(h)"), "m/s2": (60.0, "m/s/sqrt(h)")}


def read_terms(curve: AllanCurve, limits: AllanLimits = AllanLimits()) -> AllanTerms:
    """Terms of an overlapping curve with at least ten averaging times.

    N only where the curve has a stretch of slope -1/2, from a fit of all slopes together over all its times, so that
    the floor does not leak into it; K and R from stretches of +1/2 and +1. The floor is the minimum unless its error
    is over 25 %, it lies at the end, or white noise alone would draw it. Raises CannotCompute for other kinds of
    curve and for fewer times. Source: IEEE 952 Annex C; the fit is a non-negative least squares on variances.
    """
    tau, dev, err = _usable(curve)
    slope, good = _local_slopes(tau, dev), err <= limits.most_floor_error
    lowest = int(np.flatnonzero(good)[np.argmin(dev[good])])
    white, sigma_white = _white(curve, tau, dev, slope, lowest, limits)
    left = np.sqrt(np.maximum(dev**2 - (white or 0.0) ** 2 / tau, 0.0))
    later = np.arange(len(tau)) >= lowest
    k = _stretch(tau, left * math.sqrt(3), err, slope, 0.5, later, limits)
    ramp = _stretch(tau, left * math.sqrt(2), err, slope, 1.0, later, limits)
    reached = _floor_reached(tau, dev, err, slope, good, lowest, white, limits)
    factor, walk_unit = _WALK.get(curve.unit, (1.0, f"{curve.unit} sqrt(s)"))
    z = normal_factor(limits.coverage)
    walk, sigma = (None, None) if white is None else (white * factor, sigma_white * factor)
    floor, error = float(dev[lowest]), float(err[lowest])
    # Few clusters lie behind a floor (so t), and the lowest of many points was chosen (so a seventh more, measured).
    half_floor = 1.15 * floor * error * t_factor(limits.coverage, max(1.0, 1 / (2 * error**2)))
    return AllanTerms(
        unit=curve.unit,
        white=white,
        walk=walk,
        walk_unit=walk_unit,
        sigma_walk=sigma,
        half_width_walk=None if sigma is None else z * sigma,
        floor=floor if reached else None,
        floor_tau_s=float(tau[lowest]),
        floor_relative_sigma=error,
        half_width_floor=half_floor if reached else None,
        bias_instability=floor / FLICKER_FACTOR if reached else None,
        floor_at_most=None if reached else floor + half_floor,
        random_walk_k=k,
        ramp=ramp,
        coverage=limits.coverage,
        verdict=_say(walk, sigma, z, walk_unit, floor, half_floor, float(tau[lowest]), reached, curve.unit),
        next="Keep it with the record." if reached else "The floor takes 8 to 12 h at rest; one hour reaches 400 s.",
        method=method("allan-terms"),
        limits=limits,
    )


def _usable(curve: AllanCurve) -> tuple[NDArray, NDArray, NDArray]:
    """Times, deviations and relative errors of a curve that terms can be read off."""
    if curve.kind not in ("oadev", "adev") or len(curve.tau_s) < 10:
        raise CannotCompute(
            "Terms are read off an Allan curve of ten averaging times or more.", "Compute oadev without naming times."
        )
    dev = np.array(curve.deviation)
    if not (dev > 0).all():
        raise CannotCompute("The record repeats itself: a deviation is zero.", "See that the output is not frozen.")
    return np.array(curve.tau_s), dev, np.array(curve.relative_sigma)


def _white(curve: AllanCurve, tau, dev, slope, lowest: int, limits: AllanLimits) -> tuple[float | None, float]:
    """N (unit x sqrt(s)) and its sigma; None without a stretch of slope -1/2 before the minimum."""
    on = (np.abs(slope + 0.5) <= limits.slope_play) & (np.arange(len(tau)) <= lowest)
    if not _longest(on):
        return None, 0.0
    n2, b2 = _variances(curve, tau, dev)[:2]
    if not n2 > 0:
        return None, 0.0
    white = math.sqrt(n2)
    # Sampled flicker is not flat at its shortest times: a fifth of it may sit in N (measured on simulated flicker).
    leak = 0.2 * b2 * FLICKER_FACTOR**2 * float(tau[0]) / (2 * white)
    return white, math.hypot(white * white_noise_error(curve.samples, float(tau[0]) * curve.rate_hz), leak)


def _variances(curve: AllanCurve, tau: NDArray, dev: NDArray) -> NDArray:
    """N², B², K², R² of the sum of all slopes, each at least zero: weighted by the error of each variance."""
    from scipy.optimize import nnls

    clusters = tau * curve.rate_hz
    err = np.maximum(curve.relative_sigma, [white_noise_error(curve.samples, m) for m in clusters])
    columns = np.column_stack([1 / tau, np.full(len(tau), FLICKER_FACTOR**2), tau / 3, tau**2 / 2])
    model = dev**2
    for _ in range(4):
        weight = 1 / (2 * err * model)
        scale = np.linalg.norm(columns * weight[:, None], axis=0)
        found = nnls(columns * weight[:, None] / scale, dev**2 * weight)[0] / scale
        model = columns @ found
    return found


def _local_slopes(tau: NDArray, dev: NDArray, reach: int = 3) -> NDArray:
    """Log-log slope through each point and its neighbours up to `reach` away; steep where the deviation is zero."""
    x, y = np.log(tau), np.log(np.maximum(dev, 1e-300))
    slopes = np.empty(len(tau))
    for i in range(len(tau)):
        near = slice(max(0, i - reach), i + reach + 1)
        slopes[i] = np.polyfit(x[near], y[near], 1)[0]
    return slopes


def _longest(on: NDArray, least: int = 4) -> slice | None:
    """The longest run of True with at least `least` members."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    runs = sorted(zip(edges[::2], edges[1::2], strict=True), key=lambda run: run[0] - run[1])
    return slice(*runs[0]) if runs and runs[0][1] - runs[0][0] >= least else None


def _stretch(tau, dev, err, slope, wanted: float, allowed: NDArray, limits: AllanLimits) -> float | None:
    """Coefficient dev x tau^-wanted, a weighted mean over the longest run on the slope; None without one."""
    run = _longest(allowed & (np.abs(slope - wanted) <= limits.slope_play))
    if run is None:
        return None
    weight = 1 / err[run] ** 2
    return float(np.sum(weight * dev[run] * tau[run] ** -wanted) / weight.sum())


def _floor_reached(tau, dev, err, slope, good, lowest: int, white, limits: AllanLimits) -> bool:
    """A floor is flat there, rises after, is not the last time that counts, and is more than white noise alone."""
    after = np.flatnonzero(good & (np.arange(len(dev)) > lowest))
    if len(after) < 2 or slope[lowest] < -limits.slope_play:
        return False
    if white is not None and dev[lowest] < white / math.sqrt(tau[lowest]) * (1 + 2 * err[lowest]):
        return False
    return bool(err[lowest] <= limits.most_floor_error)


def _say(walk, sigma, z: float, walk_unit: str, floor, half, tau, reached: bool, unit: str) -> str:
    so = (
        "No stretch of white noise is seen."
        if walk is None
        else f"Random walk {walk:.4g} ± {z * sigma:.1g} {walk_unit}."
    )
    if reached:
        return (
            f"{so} Floor {floor:.3g} ± {half:.1g} {unit} at {tau:.0f} s; bias instability {floor / FLICKER_FACTOR:.3g}."
        )
    return f"{so} Floor not reached, at most {floor + half:.3g} {unit} at {tau:.0f} s."
