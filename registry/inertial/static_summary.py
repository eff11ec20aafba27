"""A resting record in few numbers: means, spreads, errors of the means, and whether it stayed as it was."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.inertial.inputs import number
from registry.inertial.limits import StaticLimits
from registry.inertial.quantiles import chi_square_limit
from registry.inertial.records import floats
from registry.inertial.refusal import CannotCompute

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class StaticSummary:
    """Means over a record at rest, unit axes. Sigmas of means are the larger of white noise and of the parts' scatter.

    `part_*` are the means of five equal parts; `steady` says that they agree.
    """

    seconds: float
    rate_hz: float
    samples: int
    mean_force_m_s2: Triple
    mean_rate_deg_h: Triple
    spread_force_m_s2: Triple
    spread_rate_deg_h: Triple
    sigma_force_m_s2: Triple
    sigma_rate_deg_h: Triple
    part_force_m_s2: tuple[Triple, ...]
    part_rate_deg_h: tuple[Triple, ...]
    steady: bool
    unsteady: str


def summarise(
    force_m_s2: NDArray[np.float64],
    rate_deg_h: NDArray[np.float64],
    rate_hz: float,
    limits: StaticLimits = StaticLimits(),
    *,
    floor_deg_h: float = 0.0,
) -> StaticSummary:
    """Summary of force (n, 3) and rate (n, 3) sampled together at `rate_hz`.

    `floor_deg_h` is the gyro's bias instability by its class: parts may differ by it and still be steady. Raises
    CannotCompute for unlike shapes, for fewer than 50 samples, and for motion (spread of force over 0.2 m/s²).
    """
    force, rate = (np.asarray(each, dtype=float) for each in (force_m_s2, rate_deg_h))
    if force.ndim != 2 or force.shape[1:] != (3,) or force.shape != rate.shape or len(force) < 50:
        raise CannotCompute("Force and rate are each three columns of one length, 50 rows or more.")
    f = number(rate_hz, "The sample rate in Hz", above=0)
    stats = [_means(each, limits.parts) for each in (force, rate)]
    (mean_f, sd_f, parts_f, sigma_f), (mean_w, sd_w, parts_w, sigma_w) = stats
    if not np.isfinite(mean_f).all() or not np.isfinite(mean_w).all():
        raise CannotCompute("The record holds a number that is not finite.", "Cut it where it is whole.")
    if sd_f.max() > limits.most_spread_m_s2:
        raise CannotCompute(
            f"The unit moved: specific force varies by {sd_f.max():.2f} m/s²;"
            f" the limit is {limits.most_spread_m_s2:g}.",
            "Record again at rest.",
        )
    unsteady = _unsteady(parts_f, sd_f, parts_w, sd_w, len(force), floor_deg_h, limits)
    return StaticSummary(
        seconds=len(force) / f,
        rate_hz=f,
        samples=len(force),
        mean_force_m_s2=floats(mean_f),
        mean_rate_deg_h=floats(mean_w),
        spread_force_m_s2=floats(sd_f),
        spread_rate_deg_h=floats(sd_w),
        sigma_force_m_s2=floats(sigma_f),
        sigma_rate_deg_h=floats(sigma_w),
        part_force_m_s2=floats(parts_f),
        part_rate_deg_h=floats(parts_w),
        steady=not unsteady,
        unsteady=unsteady,
    )


def _means(values: NDArray, parts: int) -> tuple[NDArray, NDArray, NDArray, NDArray]:
    mean, sd = values.mean(axis=0), values.std(axis=0, ddof=1)
    pieces = np.array([piece.mean(axis=0) for piece in np.array_split(values, parts)])
    white, scatter = sd / math.sqrt(len(values)), pieces.std(axis=0, ddof=1) / math.sqrt(parts)
    return mean, sd, pieces, np.maximum(white, scatter)


def _unsteady(parts_f, sd_f, parts_w, sd_w, count: int, floor_deg_h: float, limits: StaticLimits) -> str:
    """Name the axis whose parts differ more than noise (and the class' floor) allows; all six axes share the level."""
    limit = chi_square_limit(1 - (1 - limits.stationarity_level) / 6, limits.parts - 1)
    worst, name = 0.0, ""
    for kind, parts, sd, floor in (("force", parts_f, sd_f, 0.0), ("rate", parts_w, sd_w, floor_deg_h)):
        variance = np.maximum(sd**2 * limits.parts / count + floor**2, 1e-300)
        chi2 = np.sum((parts - parts.mean(axis=0)) ** 2, axis=0) / variance
        axis = int(np.argmax(chi2))
        if chi2[axis] > max(limit, worst):
            worst, name = float(chi2[axis]), f"{kind} {'xyz'[axis]}"
    return f"The parts of the record differ in {name}: warming up, a bump, or drift." if name else ""
