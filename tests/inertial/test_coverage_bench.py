"""Intervals of bench tests and calibrations against simulation, as in test_coverage."""

import math

import numpy as np
import pytest

from registry.inertial import (
    TRUE_NORTH,
    Part,
    allan_deviation,
    bias_from_two_headings,
    bias_on_fixture,
    combine,
    compare_alignments,
    fit_step,
    fit_trend,
    free_inertial_drift,
    heading_error,
    matrix_from_rotvec,
    matrix_from_ypr,
    misalignment_cost,
    pooled_repeatability,
    read_terms,
    static_heading,
    static_reading,
    static_test,
    summarise,
)
from tests.inertial.test_allan import noise
from tests.inertial.test_coverage import covers

#: Thousands of simulated runs: every interval is also held, case by case, in the everyday tests beside this file.
pytestmark = pytest.mark.long


@pytest.fixture
def rng():
    return np.random.default_rng(12)


def test_points_of_an_allan_curve_and_its_walk(rng):
    points, walks = [], []
    for _ in range(200):
        curve = allan_deviation(rng.standard_normal(3000), 1.0)
        true = 1 / np.sqrt(curve.tau_s)
        points.append(np.abs(np.array(curve.deviation) - true) < curve.half_width)
        terms = read_terms(curve)
        walks.append(abs(terms.walk - 1 / 60) < terms.half_width_walk)
    covers(np.array(points).mean(axis=1), most=1.0)
    for point in np.array(points).T:
        covers(point, most=1.0)
    covers(walks)


def test_a_walk_beside_a_floor_and_the_floor_itself():
    curves = [allan_deviation(noise(10_000, seed, white=3.0, flicker=1.0), 1.0) for seed in range(120)]
    # The true deviation of such noise at each time, as the mean over all of them.
    true = np.sqrt(np.mean([np.square(curve.deviation) for curve in curves], axis=0))
    walks, floors = [], []
    for curve in curves:
        terms = read_terms(curve)
        walks.append(abs(terms.white - 3.0) < terms.half_width_walk * 60)
        if terms.floor is not None:
            floors.append(abs(terms.floor - true[curve.tau_s.index(terms.floor_tau_s)]) < terms.half_width_floor)
    covers(walks, most=1.0)
    assert len(floors) > 40
    covers(floors, most=1.0)


def test_means_of_a_static_record(rng):
    truth, hits = static_reading(59.0, 75.0, 0.8, -0.4), []
    for _ in range(200):
        force = np.array(truth.force_m_s2) + rng.standard_normal((700, 3)) * 0.01
        rate = np.array(truth.rate_deg_h) + rng.standard_normal((700, 3))
        found = static_test(summarise(force, rate, 1.0), 59.0)
        hits.append([abs(check.difference) < check.half_width for check in found.checks])
    for check in range(3):
        covers(np.array(hits)[:, check], most=1.0)


def test_bias_from_two_headings_and_on_a_fixture(rng):
    two, fixture = [], []
    one, other = (np.array(static_reading(59.0, h, 0, 0).rate_deg_h[:2]) + (0.05, -0.03) for h in (40, 220))
    truth = static_reading(59.0, 75.0, 0.8, -0.4)
    for _ in range(600):
        f = bias_from_two_headings(
            one + rng.standard_normal(2) * 0.02, other + rng.standard_normal(2) * 0.02, 59.0, sigma_rate_deg_h=0.02
        )
        two.append(abs(f.bias_deg_h[0] - 0.05) < f.half_width_bias_deg_h)
        yaw, pitch, roll = rng.standard_normal(3) * (0.05, 0.02, 0.02)
        really = static_reading(59.0, 75.0 + yaw, 0.8 + pitch, -0.4 + roll)
        g = bias_on_fixture(
            np.array(really.force_m_s2),
            np.array(really.rate_deg_h) + rng.standard_normal(3) * 0.01,
            lat_deg=59.0,
            azimuth_deg=75.0,
            pitch_deg=0.8,
            roll_deg=-0.4,
            north=TRUE_NORTH,
            sigma_azimuth_deg=0.05,
            sigma_level_deg=0.02,
            sigma_rate_deg_h=(0.01,) * 3,
        )
        fixture.append(
            [
                abs(b) < w
                for b, w in zip(
                    g.gyro_bias_deg_h + g.acc_bias_m_s2[:2],
                    g.half_width_gyro_deg_h + g.half_width_acc_m_s2[:2],
                    strict=True,
                )
            ]
        )
    covers(two)
    for axis in range(5):
        covers(np.array(fixture)[:, axis])
    assert truth.rate_deg_h


def test_a_heading_at_rest_and_what_a_bias_leaves_of_it(rng):
    hits, plain = [], []
    truth = static_reading(59.0, 75.0, 0.5, -0.5)
    expected = heading_error(0.02, 59.0).half_width_deg
    for _ in range(600):
        rate = np.array(truth.rate_deg_h) + rng.standard_normal(3) * 0.02
        noisy = rate + rng.standard_normal(3) * 0.003 / math.sqrt(1 / 3)
        f = static_heading(truth.force_m_s2, noisy, 59.0, gyro_bias_deg_h=0.02, walk_deg_sqrt_h=0.003, seconds=1200)
        hits.append(abs(f.heading_deg - 75.0) < f.half_width_heading_deg)
        g = static_heading(truth.force_m_s2, rate, 59.0, gyro_bias_deg_h=0.02, walk_deg_sqrt_h=0.0, seconds=1200)
        plain.append(abs(g.heading_deg - 75.0) < expected)
    covers(hits)
    covers(plain)


def test_a_trend_its_day_and_a_step(rng):
    days = np.arange(6) * 90.0
    slopes, meets, steps = [], [], []
    for _ in range(800):
        y = 0.5 + 0.001 * days + rng.standard_normal(6) * 0.02
        f = fit_trend(days, y, upper=1.5)
        slopes.append(abs(f.slope_per_year - 0.36525) < f.half_width_per_year)
        if f.meets is not None:
            meets.append(f.meets.earliest < 1000 < (f.meets.latest or math.inf))
        s = fit_step(days, rng.standard_normal(6) * 0.02 + 0.3 * (days > 200), 3)
        steps.append(abs(s.step - 0.3) < s.half_width)
    covers(slopes)
    covers(meets)
    covers(steps)


def test_the_difference_of_two_alignments(rng):
    sigma, hits, flagged = np.radians([0.02, 0.03, 0.05]), [], []
    p, a = np.diag(sigma**2), matrix_from_ypr(0.8, 0.2, -0.1)
    for _ in range(800):
        one, two = (matrix_from_rotvec(np.degrees(rng.standard_normal(3) * sigma)) @ a for _ in range(2))
        f = compare_alignments(one, p, two, p)
        hits.append([abs(v) < w for v, w in zip(f.rotvec_deg, f.half_widths_deg, strict=True)])
        flagged.append(not f.changed)
    for axis in range(3):
        covers(np.array(hits)[:, axis])
    covers(flagged)


def test_an_expanded_uncertainty_with_few_readings_and_the_factor_two(rng):
    few, two = [], []
    for _ in range(1500):
        # Ten readings: with five, the guide's effective degrees of freedom are known to cover 93 in 100.
        x = rng.standard_normal(10)
        u = combine([Part("repeat", x.std(ddof=1) / math.sqrt(10), dof=9), Part("mark", 0.3)], coverage=0.95)
        few.append(abs(x.mean() + 0.3 * rng.standard_normal()) < u.expanded)
        known = combine([Part("a", 1.0), Part("b", 0.5)])
        two.append(abs(rng.standard_normal() + 0.5 * rng.standard_normal()) < known.expanded)
    covers(few)
    covers(two)
    assert known.coverage == pytest.approx(0.9545, abs=1e-4)


def test_the_limit_of_two_repeats(rng):
    hits = []
    for _ in range(600):
        r = pooled_repeatability(list(rng.standard_normal((40, 3))))
        one, two = rng.standard_normal(2)
        hits.append(abs(one - two) < r.limit)
    covers(hits)


def test_cost_and_drift_of_a_normal_angle_and_bias(rng):
    cost = misalignment_cost(0.5, sigma_deg=0.05)
    true = [abs(1000 * math.tan(math.radians(0.5 + 0.05 * e))) for e in rng.standard_normal(2000)]
    covers([abs(t - cost.cross_m_per_km) < cost.half_width_m_per_km for t in true])
    drift = free_inertial_drift(1800, gyro_bias_deg_h=0.01, acc_bias_m_s2=5e-4)
    both = rng.standard_normal((2000, 2)) @ (drift.gyro_m, drift.acc_m)
    covers(np.abs(both) < drift.half_width_m)
