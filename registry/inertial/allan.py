"""Allan deviation and its relatives, of a rate record or of its integral, with the error of every point.

Source: Riley, NIST SP 1065 (2008); IEEE 952 Annex C. A rate in deg/h gives deviations in deg/h, and so on.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.inertial.inputs import Numbers, number, series
from registry.inertial.limits import AllanLimits
from registry.inertial.methods import method
from registry.inertial.quantiles import normal_factor
from registry.inertial.refusal import CannotCompute

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class AllanCurve:
    """Deviation over averaging time. `relative_sigma` is 1/sqrt(2(N/m - 1)), the error of clusters that do not overlap.

    `half_width` is k times that, or times the error of white noise by its degrees of freedom where that is larger (at
    the shortest times). `unit` is that of the rate.
    """

    kind: str
    tau_s: tuple[float, ...]
    deviation: tuple[float, ...]
    relative_sigma: tuple[float, ...]
    half_width: tuple[float, ...]
    pairs: tuple[int, ...]
    coverage: float
    rate_hz: float
    samples: int
    unit: str
    verdict: str
    next: str
    method: str

    def at(self, tau_s: float) -> float:
        """Deviation at the averaging time nearest to `tau_s`."""
        return self.deviation[min(range(len(self.tau_s)), key=lambda n: abs(self.tau_s[n] - tau_s))]


def relative_error(samples: int, cluster: float) -> float:
    """1-sigma error of an Allan deviation as a share of it: 1/sqrt(2(N/n - 1)) (IEEE 952 Annex C)."""
    clusters = number(samples, "The samples", least=2) / number(cluster, "The cluster", above=0)
    if clusters <= 1:
        raise CannotCompute("The averaging time is as long as the record.", "Ask for a shorter one.")
    return 1 / math.sqrt(2 * (clusters - 1))


def white_noise_error(samples: int, cluster: float) -> float:
    """Relative sigma of an overlapping deviation of white rate noise, by its degrees of freedom (NIST SP 1065)."""
    n, m = samples + 1, cluster
    dof = (3 * (n - 1) / (2 * m) - 2 * (n - 2) / n) * 4 * m**2 / (4 * m**2 + 5)
    return 1 / math.sqrt(2 * max(dof, 1.0))


def _second(x: Array, m: int) -> Array:
    difference = x[2 * m :] - x[m:-m]
    difference -= x[m:-m]
    difference += x[: -2 * m]
    return difference


def _adev(x: Array, m: int) -> tuple[float, int]:
    found = _second(x, m)[::m]
    return math.sqrt(found @ found / (2 * len(found))) / m, len(found)


def _oadev(x: Array, m: int) -> tuple[float, int]:
    found = _second(x, m)
    return math.sqrt(found @ found / (2 * len(found))) / m, len(found)


def _mdev(x: Array, m: int) -> tuple[float, int]:
    total = np.concatenate([[0.0], np.cumsum(_second(x, m))])
    found = total[m:] - total[:-m]
    return math.sqrt(found @ found / (2 * len(found))) / m**2, len(found)


def _third(x: Array, m: int) -> Array:
    return x[3 * m :] - 3 * x[2 * m : -m] + 3 * x[m : -2 * m] - x[: -3 * m]


def _hdev(x: Array, m: int) -> tuple[float, int]:
    found = _third(x, m)[::m]
    return math.sqrt(found @ found / (6 * len(found))) / m, len(found)


def _ohdev(x: Array, m: int) -> tuple[float, int]:
    found = _third(x, m)
    return math.sqrt(found @ found / (6 * len(found))) / m, len(found)


#: Name -> function of (angle in units of rate x sample time, m) and the clusters it spans.
KINDS: dict[str, tuple[Callable[[Array, int], tuple[float, int]], int]] = {
    "adev": (_adev, 2),
    "oadev": (_oadev, 2),
    "mdev": (_mdev, 3),
    "hdev": (_hdev, 3),
    "ohdev": (_ohdev, 3),
    "tdev": (_mdev, 3),
}


def averaging_counts(samples: int, longest_share: float = 1 / 9, per_decade: int = 10) -> list[int]:
    """Cluster sizes on a logarithmic grid from one sample to a ninth of the record."""
    longest = max(1, int(samples * longest_share))
    grid = np.unique(np.round(10 ** np.arange(0, math.log10(longest) + 1e-9, 1 / per_decade)).astype(int))
    return [int(m) for m in grid if m <= longest]


def allan_deviation(
    rate: Numbers,
    rate_hz: float,
    tau_s: Numbers | None = None,
    *,
    kind: str = "oadev",
    unit: str = "deg/h",
    integrated: bool = False,
    limits: AllanLimits = AllanLimits(),
) -> AllanCurve:
    """Deviation of a record (n,) sampled at `rate_hz`; `integrated` when it is angle (phase) instead of rate.

    Kinds: adev, oadev (overlapping, the default), mdev, tdev, hdev, ohdev. `tau_s` are whole multiples of the sample
    time; None takes ten a decade up to a ninth of the record. No trend is removed: a ramp R shows as R tau/sqrt 2.
    Raises CannotCompute for a short or non-finite record and times that do not fit into it.
    """
    if kind not in KINDS:
        raise CannotCompute(f"“{kind}” is no deviation.", f"Choose one of {', '.join(KINDS)}.")
    f = number(rate_hz, "The sample rate in Hz", above=0)
    x = _angle(series(rate, "The record", least=3), f, integrated)
    samples = len(x) - 1
    compute, spans = KINDS[kind]
    counts = averaging_counts(samples, limits.longest_share) if tau_s is None else _counts(tau_s, f, samples, spans)
    found = [compute(x, m) for m in counts]
    taus = [m / f for m in counts]
    # A time deviation is the modified one times tau/sqrt 3, in the unit of the record times seconds.
    deviations = [d * (t / math.sqrt(3) if kind == "tdev" else 1.0) for (d, _), t in zip(found, taus, strict=True)]
    errors = [relative_error(samples, m) for m in counts]
    widths = zip(deviations, errors, counts, strict=True)
    return AllanCurve(
        kind=kind,
        tau_s=tuple(taus),
        deviation=tuple(deviations),
        relative_sigma=tuple(errors),
        half_width=tuple(normal_factor(0.95) * d * max(e, white_noise_error(samples, m)) for d, e, m in widths),
        pairs=tuple(n for _, n in found),
        coverage=0.95,
        rate_hz=f,
        samples=samples,
        unit=unit,
        verdict=f"{len(counts)} averaging times from {taus[0]:g} to {taus[-1]:g} s; the last is good to"
        f" {errors[-1]:.0%}.",
        next="Read the terms off the slopes; record longer for a sharper tail.",
        method=method("allan"),
    )


def _angle(record: Array, rate_hz: float, integrated: bool) -> Array:
    """The integral in units of rate times sample time. A constant rate cancels in the differences, so it goes first."""
    if integrated:
        return record * rate_hz
    return np.concatenate([[0.0], np.cumsum(record - record.mean())])


def _counts(tau_s: Numbers, rate_hz: float, samples: int, spans: int) -> list[int]:
    counts = []
    for tau in series(tau_s, "The averaging times"):
        m = round(float(tau) * rate_hz)
        if m < 1 or abs(m / rate_hz - tau) > 1e-6 * tau:
            raise CannotCompute(f"{tau:g} s is no whole number of samples at {rate_hz:g} Hz.")
        if spans * m > samples:
            raise CannotCompute(
                f"An averaging time of {tau:g} s needs {spans * m} samples; the record has {samples}.", "Record longer."
            )
        counts.append(m)
    return counts


@dataclass(frozen=True, slots=True)
class Slopes:
    """Allan deviation of one pure term at averaging times: what each coefficient draws on the curve."""

    white: tuple[float, ...]
    rate_random_walk: tuple[float, ...]
    ramp: tuple[float, ...]
    quantisation: tuple[float, ...]
    flicker: float
    sinusoid: tuple[float, ...]


#: sqrt(2 ln 2 / pi): the floor of flicker noise over its coefficient.
FLICKER_FACTOR = math.sqrt(2 * math.log(2) / math.pi)


def pure_slopes(
    tau_s: Numbers, *, n: float = 0, k: float = 0, r: float = 0, q: float = 0, b: float = 0, a: float = 0, f: float = 0
) -> Slopes:
    """N/sqrt tau, K sqrt(tau/3), R tau/sqrt 2, sqrt 3 Q/tau, 0.664 B, A sin²(pi f tau)/(pi f tau) (IEEE 952)."""
    tau = series(tau_s, "The averaging times")
    turn = math.pi * f * tau
    wave = a * np.sin(turn) ** 2 / np.where(turn > 0, turn, 1.0)
    terms = (n / np.sqrt(tau), k * np.sqrt(tau / 3), r * tau / math.sqrt(2), math.sqrt(3) * q / tau)
    return Slopes(
        *(tuple(map(float, term)) for term in terms), flicker=b * FLICKER_FACTOR, sinusoid=tuple(map(float, wave))
    )
