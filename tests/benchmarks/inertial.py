"""What each computation costs beside the plain library call on the same input, and how it grows.

Run it with `python -m tests.benchmarks.inertial`.

Printed, not asserted: a ratio of two times taken in one run on one machine says more than either, and neither belongs
in a test. Growth is the time from 1e4 to 3e6 samples over the time that as many times more samples would take.
"""

import argparse
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import allantools
import numpy as np
from scipy import stats
from scipy.optimize import nnls  # noqa: F401 — loaded now, so that no timing holds an import
from scipy.spatial.transform import Rotation

from registry.inertial import (
    TRUE_NORTH,
    DvlRun,
    allan_deviation,
    fit_directions,
    fit_dvl,
    fit_trend,
    judge,
    mountings,
    pose,
    read_static,
    read_terms,
    summarise,
)
from registry.inertial.complex_fit import angle_scale
from registry.inertial.mounting_check import check_mounting

HEADER = "time_s,gyro_x_deg_h,gyro_y_deg_h,gyro_z_deg_h,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2"


def seconds(call: Callable[[], object], least: float = 0.2) -> float:
    """Best of several runs, repeated for at least `least` seconds in all."""
    call()
    best, spent = float("inf"), 0.0
    while spent < least:
        start = time.perf_counter()
        call()
        took = time.perf_counter() - start
        best, spent = min(best, took), spent + took
    return best


def resting(n: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(1)
    return rng.standard_normal((n, 3)) * 0.005 + (0, 0, -9.81), rng.standard_normal((n, 3)) + (7.5, 0, -13)


def recording(folder: Path, n: int) -> Path:
    path = folder / f"{n}.csv"
    force, rate = resting(min(n, 50_000))
    with path.open("w") as file:
        file.write(HEADER + "\n")
        for first in range(0, n, len(force)):
            count = min(len(force), n - first)
            t = (first + np.arange(count)) / 200
            np.savetxt(file, np.column_stack([t, rate[:count], force[:count]]), fmt="%.5f", delimiter=",")
    return path


def pairs(folder: Path):
    """(name, ours, plain call, what the plain call is) on input of one size, for inputs that do not grow."""
    rng = np.random.default_rng(2)
    unit = np.linalg.qr(rng.standard_normal((3, 3)))[0]
    turn = Rotation.from_euler("ZYX", [0.7, -0.4, 0.3], degrees=True)
    seen, sigma = turn.apply(unit), np.full(3, 0.05)
    weights = 1 / np.radians(sigma) ** 2
    days, values = np.arange(8) * 90.0, 0.5 + 0.001 * np.arange(8) * 90 + rng.standard_normal(8) * 0.01
    level = pose((0, 0, -9.80665), 0, 0)
    tilted = pose((1.7029, 0, -9.6577), 10, 0)
    matrices = Rotation.create_group("O").as_matrix()
    force = np.array([level.force_unit_m_s2, tilted.force_unit_m_s2])

    def enumerate_24():
        return np.linalg.norm(np.einsum("nij,pj->npi", matrices, force) - force, axis=2).max(axis=1).argmin()

    yield "mounting check", lambda: check_mounting([level, tilted], mountings()[0]), enumerate_24, "numpy, 24 residuals"
    yield (
        "mounting angles",
        lambda: fit_directions(unit, seen, sigma),
        lambda: Rotation.align_vectors(seen, unit, weights=weights, return_sensitivity=True),
        "scipy align_vectors",
    )
    yield (
        "trend",
        lambda: fit_trend(days, values, upper=2.0),
        lambda: stats.linregress(days, values),
        "scipy linregress",
    )
    yield (
        "decision",
        lambda: judge(0.004, lower=-0.01, upper=0.01, u=0.001),
        lambda: stats.norm.cdf(0.01, 0.004, 0.001) - stats.norm.cdf(-0.01, 0.004, 0.001),
        "scipy norm.cdf twice",
    )


def growing(folder: Path):
    """(name, maker of (ours, plain) for a size, what the plain call is)."""

    def allan(n):
        y = np.random.default_rng(3).standard_normal(n)
        taus = allan_deviation(y, 200.0).tau_s
        return (lambda: allan_deviation(y, 200.0)), (
            lambda: allantools.oadev(y, rate=200.0, data_type="freq", taus=taus)
        )

    def terms(n):
        curve = allan_deviation(np.random.default_rng(3).standard_normal(n), 200.0)
        tau, deviation = np.array(curve.tau_s), np.array(curve.deviation)
        return (lambda: read_terms(curve)), (lambda: np.polyfit(np.log(tau), np.log(deviation), 1))

    def summary(n):
        force, rate = resting(n)
        return (lambda: summarise(force, rate, 200.0)), (
            lambda: (force.mean(axis=0), rate.mean(axis=0), force.std(axis=0, ddof=1), rate.std(axis=0, ddof=1))
        )

    def dvl(n):
        rng = np.random.default_rng(4)
        ref, dvl_ = rng.standard_normal((n, 2)) * 0.02 + (1.3, 0), np.tile([1.3, 0.0], (n, 1))
        run = DvlRun(ref, dvl_, TRUE_NORTH, 1500.0)
        z, d = ref @ (1, 1j), (dvl_ @ (1, 1j))[:, None]
        return (lambda: fit_dvl(run)), (lambda: np.linalg.lstsq(d, z, rcond=None))

    def bare(n):
        rng = np.random.default_rng(4)
        ref, dvl_ = rng.standard_normal((n, 2)) * 0.02 + (1.3, 0), np.tile([1.3, 0.0], (n, 1))
        z, d = ref @ (1, 1j), (dvl_ @ (1, 1j))[:, None]
        return (lambda: angle_scale(ref, dvl_)), (lambda: np.linalg.lstsq(d, z, rcond=None))

    def reading(n):
        path = recording(folder, n)
        return (lambda: read_static(path)), (lambda: np.loadtxt(path, delimiter=",", skiprows=1))

    yield "Allan deviation", allan, "allantools oadev"
    yield "Allan terms", terms, "numpy polyfit of the curve"
    yield "static summary", summary, "numpy means and deviations"
    yield "DVL angle, bare", bare, "numpy lstsq"
    yield "DVL fit with bootstrap", dvl, "numpy lstsq, no error"
    yield "reading CSV, checked", reading, "numpy loadtxt, all at once"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "--largest", type=int, default=3_000_000, help="samples of the largest input (default 3,000,000)"
    )
    largest = parser.parse_args().largest
    sizes = [n for n in (10_000, 100_000, 1_000_000) if n < largest] + [largest]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        print(f"{'computation':26}{'ours':>12}{'plain':>12}{'ratio':>8}  beside")
        for what, ours, plain, beside in pairs(folder):
            mine, theirs = seconds(ours), seconds(plain)
            print(f"{what:26}{mine * 1e3:>9.3f} ms{theirs * 1e3:>9.3f} ms{mine / theirs:>8.2f}  {beside}")
        for what, make, beside in growing(folder):
            print(f"\n{what} beside {beside}")
            times = []
            for n in sizes:
                ours, plain = make(n)
                mine, theirs = seconds(ours), seconds(plain)
                times.append(mine)
                print(f"{n:>26,}{mine * 1e3:>9.2f} ms{theirs * 1e3:>9.2f} ms{mine / theirs:>8.2f}")
            print(f"{'growth over linear':>26}{times[-1] / times[0] / (sizes[-1] / sizes[0]):>12.2f}")


if __name__ == "__main__":
    main()
