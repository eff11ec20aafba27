"""Every interval that is printed, against simulation: how often it holds the truth it claims to hold 95 times in 100.

Seeded. Bounds are the claimed coverage less three standard errors of the count; intervals that are the larger of two
estimates may cover more, never less.
"""

import cmath
import math

import numpy as np
import pytest

from registry.inertial import (
    TRUE_NORTH,
    DvlRun,
    fit_directions,
    fit_dvl,
    fit_end_fix,
    fit_three_axis,
    fit_track,
    matrix_from_ypr,
)
from registry.inertial.limits import DirectionLimits
from tests.inertial.test_dvl import factor, pairs
from tests.inertial.test_dvl_track import record, track

#: Thousands of simulated runs: every interval is also held, case by case, in the everyday tests beside this file.
pytestmark = pytest.mark.long

LENIENT = DirectionLimits(refuse_level=1 - 1e-12)


def covers(hits, most=0.999):
    hits = np.asarray(hits, dtype=float)
    least = 0.95 - 3 * math.sqrt(0.95 * 0.05 / len(hits))
    assert least <= hits.mean() <= most, hits.mean(axis=0)


@pytest.fixture
def rng():
    return np.random.default_rng(11)


@pytest.mark.parametrize("two_vector", [False, True])
def test_fitted_mounting_angles(rng, two_vector):
    c = matrix_from_ypr(0.7, -12.0, 0.3)
    unit = np.array([[1, 0, 0], [0.2, 0.1, -1], [0.1, 1.0, 0.3]])[: 2 if two_vector else 3]
    unit = unit / np.linalg.norm(unit, axis=1, keepdims=True)
    sigma = np.array([0.02, 0.05, 0.1])[: len(unit)]
    truth, hits = (0.7, -12.0, 0.3), []
    for _ in range(400):
        seen = unit @ c.T + rng.standard_normal(unit.shape) * np.radians(sigma)[:, None]
        f = fit_directions(unit, seen, sigma, two_vector=two_vector, limits=LENIENT)
        found, half = (
            (f.yaw_deg, f.pitch_deg, f.roll_deg),
            (f.half_width_yaw_deg, f.half_width_pitch_deg, f.half_width_roll_deg),
        )
        hits.append([abs(a - b) < w for a, b, w in zip(found, truth, half, strict=True)])
    for axis in range(3):
        covers(np.array(hits)[:, axis])


def correlated(rng, n, sigma, samples):
    """Noise that forgets itself over `samples` rows."""
    keep = math.exp(-1 / samples) if samples else 0.0
    white = rng.standard_normal(n) + 1j * rng.standard_normal(n)
    # A first row as large as all others: the noise has been running before the record began.
    white[1:] *= math.sqrt(1 - keep**2)
    from scipy.signal import lfilter

    return sigma * lfilter([1.0], [1.0, -keep], white)


@pytest.mark.parametrize("samples", [0, 3])
def test_angle_and_scale_of_a_dvl_with_white_and_with_correlated_noise(rng, samples):
    c, hits = factor(0.8, 0.004), []
    for _ in range(250):
        z = np.full(400, 1.3 + 0j)
        ref = z + correlated(rng, 400, 0.03, samples)
        f = fit_dvl(DvlRun(pairs(ref), pairs(z / c), TRUE_NORTH, 1500.0))
        hits.append((abs(f.alpha_deg - 0.8) < f.half_width_alpha_deg, abs(f.scale - 0.004) < f.half_width_scale))
    covers(np.array(hits)[:, 0])
    covers(np.array(hits)[:, 1])


def test_the_plain_error_alone_would_be_too_small_for_correlated_noise(rng):
    hits = []
    for _ in range(100):
        z = np.full(400, 1.3 + 0j)
        f = fit_dvl(DvlRun(pairs(z + correlated(rng, 400, 0.03, 3)), pairs(z), TRUE_NORTH, 1500.0))
        hits.append(abs(f.alpha_deg) < 1.96 * f.plain_sigma_alpha_deg)
    assert np.mean(hits) < 0.75


@pytest.mark.parametrize("which", ["offset", "lever"])
def test_offset_and_lever_fits(rng, which):
    c, hits = factor(0.5, 0.0), []
    headings = np.repeat([0, 180, 90, 270], 60).astype(float)
    turn, rate = np.exp(1j * np.radians(headings)), np.tile([3.0, -3.0, 0.0, 2.0], 60)
    extra = 0.2 - 0.1j if which == "offset" else 1j * np.radians(rate) * 0.3 * turn
    for _ in range(200):
        dvl = 1.3 * turn
        ref = c * dvl + extra + correlated(rng, 240, 0.02, 0)
        run = DvlRun(
            pairs(ref),
            pairs(dvl),
            TRUE_NORTH,
            1500.0,
            frame="ned",
            heading_deg=headings,
            turn_deg_s=rate,
            leg=np.repeat(range(4), 60),
        )
        f = fit_dvl(run, **{which: True})
        hits.append(abs(f.alpha_deg - 0.5) < f.half_width_alpha_deg)
    covers(hits)


def test_a_recorded_run_from_end_to_end():
    hits = []
    for seed in range(40):
        f, _ = fit_track(track(record(seed=seed, noise=0.03, step=1.0)))
        hits.append((abs(f.alpha_deg - 0.8) < f.half_width_alpha_deg, abs(f.scale - 0.004) < f.half_width_scale))
    covers(np.array(hits)[:, 0], most=1.0)
    covers(np.array(hits)[:, 1], most=1.0)


def test_the_ends_of_a_track(rng):
    ref, c, hits = 100 + 80j, factor(0.4, -0.002), []
    for _ in range(1000):
        # Start and end each carry an error of the fix.
        fix = 0.02 * (rng.standard_normal(4) @ np.array([[1, 0], [0, 1], [-1, 0], [0, -1]]))
        f = fit_end_fix(
            (ref.real + fix[0], ref.imag + fix[1]), ((ref / c).real, (ref / c).imag), fix_sigma_m=0.02, north=TRUE_NORTH
        )
        hits.append((abs(f.alpha_deg - 0.4) < f.half_width_alpha_deg, abs(f.scale + 0.002) < f.half_width_scale))
    covers(np.array(hits)[:, 0])
    covers(np.array(hits)[:, 1])


def test_a_three_axis_fit(rng):
    c, hits = matrix_from_ypr(1.2, -0.7, 0.4), []
    ref = rng.uniform([0.9, -0.3, -0.25], [1.5, 0.3, 0.25], (50, 3))
    for _ in range(400):
        f = fit_three_axis(ref + rng.standard_normal((50, 3)) * 0.02, ref @ c / 1.003)
        found = (f.yaw_deg - 1.2, f.pitch_deg + 0.7, f.roll_deg - 0.4, f.scale - 0.003)
        half = (f.half_width_yaw_deg, f.half_width_pitch_deg, f.half_width_roll_deg, f.half_width_scale)
        hits.append([abs(a) < b for a, b in zip(found, half, strict=True)])
    for axis in range(4):
        covers(np.array(hits)[:, axis])


def test_a_three_axis_fit_of_a_straight_run(rng):
    c, hits = matrix_from_ypr(1.2, -0.7, 0.0), []
    ref = np.tile([1.4, 0.0, 0.0], (50, 1))
    for _ in range(400):
        f = fit_three_axis(ref, ref @ c + rng.standard_normal((50, 3)) * 0.01)
        hits.append((abs(f.yaw_deg - 1.2) < f.half_width_yaw_deg, abs(f.pitch_deg + 0.7) < f.half_width_pitch_deg))
    covers(np.array(hits)[:, 0])
    covers(np.array(hits)[:, 1])


def test_a_constant_heading_error_is_in_the_angle_and_no_interval_shows_it():
    # What the verdict of a DVL fit warns of: the sum is estimated.
    off = cmath.exp(1j * math.radians(0.3))
    z = np.full(60, 1.3 + 0j)
    f = fit_dvl(DvlRun(pairs(z * factor(0.8, 0.0)), pairs(z / off), TRUE_NORTH, 1500.0))
    assert f.alpha_deg == pytest.approx(1.1)
