"""The package beside scipy, allantools, ahrs, boule, PROJ and a world model on the same random input."""

import json
import math
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from registry.inertial import best_rotation, decisions, drift, earth, quantiles, repeatability, rotations, trends
from registry.inertial.allan import KINDS, allan_deviation
from registry.inertial.complex_fit import angle_scale, solve
from registry.inertial.directions import fit_directions
from registry.inertial.dvl_three_axis import fit_three_axis
from registry.inertial.north import grid_north, magnetic_north_by_model, utm_central_meridian_deg
from registry.inertial.static_summary import summarise

NORTH = json.loads((Path(__file__).parent / "data" / "north_cases.json").read_text())["cases"]


@pytest.fixture
def rng():
    return np.random.default_rng(20260504)


def test_rotations_equal_those_of_scipy(rng):
    from scipy.spatial.transform import Rotation

    for yaw, pitch, roll in rng.uniform([-180, -89, -180], [180, 89, 180], size=(200, 3)):
        reference = Rotation.from_euler("ZYX", [yaw, pitch, roll], degrees=True)
        c = rotations.matrix_from_ypr(yaw, pitch, roll)
        assert np.allclose(c, reference.as_matrix(), atol=1e-13)
        assert np.allclose(rotations.ypr_from_matrix(c), (yaw, pitch, roll), atol=1e-9)
        assert np.allclose(rotations.rotvec_from_matrix(c), np.degrees(reference.as_rotvec()), atol=1e-9)
        assert np.allclose(rotations.quaternion_from_matrix(c), reference.as_quat(canonical=True), atol=1e-12)
        assert np.allclose(rotations.matrix_from_rotvec(np.degrees(reference.as_rotvec())), c, atol=1e-12)


def test_rotations_equal_those_of_ahrs(rng):
    from ahrs import DCM, Quaternion

    for yaw, pitch, roll in rng.uniform([-180, -89, -180], [180, 89, 180], size=(50, 3)):
        c = rotations.matrix_from_ypr(yaw, pitch, roll)
        assert np.allclose(c, DCM(rpy=np.radians([roll, pitch, yaw])[::-1]), atol=1e-12)
        q = rotations.quaternion_from_matrix(c)[[3, 0, 1, 2]]
        assert np.allclose(Quaternion(q).to_DCM(), c, atol=1e-12)


def test_a_weighted_fit_and_its_covariance_equal_those_of_scipy(rng):
    from scipy.spatial.transform import Rotation

    for _ in range(100):
        n = int(rng.integers(2, 9))
        unit = rng.standard_normal((n, 3))
        unit /= np.linalg.norm(unit, axis=1, keepdims=True)
        sigma = rng.uniform(1e-3, 1e-2, n)
        turned = Rotation.random(rng=rng).apply(unit)
        seen = turned + rng.standard_normal((n, 3)) * sigma[:, None] * 0.3
        seen /= np.linalg.norm(seen, axis=1, keepdims=True)
        if best_rotation.widest_separation_deg(unit) < 10:
            continue
        found = best_rotation.wahba(unit, seen, 1 / sigma**2)
        reference, rssd, sensitivity = Rotation.align_vectors(seen, unit, weights=1 / sigma**2, return_sensitivity=True)
        assert np.allclose(found.matrix, reference.as_matrix(), atol=1e-9)
        assert math.isclose(found.rssd, rssd, rel_tol=1e-6)
        harmonic = n / np.sum(1 / sigma**2)
        # scipy takes the fitted directions, the package the measured ones: equal to the size of the noise.
        mine = best_rotation.covariance_rad2(seen, sigma)
        assert np.allclose(mine, sensitivity * harmonic, rtol=0.05, atol=0.02 * np.abs(mine).max())


def test_fitted_angles_equal_those_of_scipy(rng):
    from scipy.spatial.transform import Rotation

    for yaw, pitch, roll in rng.uniform(-30, 30, size=(50, 3)):
        c = Rotation.from_euler("ZYX", [yaw, pitch, roll], degrees=True)
        unit = np.eye(3) + rng.standard_normal((3, 3)) * 0.1
        fit = fit_directions(unit, c.apply(unit), [0.1, 0.2, 0.3])
        assert np.allclose((fit.yaw_deg, fit.pitch_deg, fit.roll_deg), (yaw, pitch, roll), atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_deviations_equal_those_of_allantools(rng, kind):
    import allantools

    for rate, record in ((1.0, rng.standard_normal(3000)), (200.0, np.cumsum(rng.standard_normal(2000)) + 15.04)):
        counts = [1, 2, 5, 17, 100, 300]
        taus = [m / rate for m in counts]
        found = allan_deviation(record, rate, taus, kind=kind)
        tau, reference, _, pairs = getattr(allantools, kind)(record, rate=rate, data_type="freq", taus=taus)
        assert np.allclose(found.tau_s, tau)
        assert np.allclose(found.deviation, reference, rtol=1e-9)
        assert list(found.pairs) == [int(n) for n in pairs]


def test_deviations_of_phase_equal_those_of_allantools(rng):
    import allantools

    phase = np.cumsum(rng.standard_normal(2000)) * 1e-9
    found = allan_deviation(phase, 1.0, [1, 10, 100], integrated=True, unit="1")
    _, reference, _, _ = allantools.oadev(phase, rate=1.0, data_type="phase", taus=[1, 10, 100])
    assert np.allclose(found.deviation, reference, rtol=1e-9)


def test_gravity_equals_that_of_boule_and_ahrs(rng):
    import boule
    from ahrs.utils import WGS

    world = WGS()
    for lat in rng.uniform(-90, 90, 50):
        assert math.isclose(earth.normal_gravity(lat), world.normal_gravity(lat), abs_tol=1e-8)
    for lat, height in rng.uniform([-90, 0], [90, 2000], size=(50, 2)):
        by_boule = boule.WGS84.normal_gravity((0.0, lat, height), si_units=True)
        # The second-order formula against the closed one: under a microgal at 2 km.
        assert math.isclose(earth.normal_gravity(lat, height), by_boule, abs_tol=2e-7)


def test_lines_steps_and_quantiles_equal_those_of_scipy(rng):
    from scipy import stats

    for _ in range(50):
        x, y = np.sort(rng.uniform(0, 1000, 9)), rng.standard_normal(9)
        mine, theirs = trends.fit_line(x, y), stats.linregress(x, y)
        assert np.allclose(
            (mine.slope, mine.intercept, mine.slope_se, mine.intercept_se, mine.p, mine.r2),
            (theirs.slope, theirs.intercept, theirs.stderr, theirs.intercept_stderr, theirs.pvalue, theirs.rvalue**2),
            rtol=1e-9,
        )
        step, test = trends.fit_step(x, y, 4), stats.ttest_ind(y[4:], y[:4])
        assert np.allclose((step.t, step.p), (test.statistic, test.pvalue))
        inside = test.confidence_interval(0.95)
        assert np.allclose((step.step - step.half_width, step.step + step.half_width), (inside.low, inside.high))
    for dof in (1, 3, 9, 30.5):
        assert math.isclose(quantiles.chi_square_limit(0.99, dof), stats.chi2.ppf(0.99, dof), rel_tol=1e-9)
        assert math.isclose(quantiles.chi_square_tail(5.0, dof), stats.chi2.sf(5.0, dof), rel_tol=1e-9)
        assert math.isclose(quantiles.t_factor(0.95, dof), stats.t.ppf(0.975, dof), rel_tol=1e-9)
        assert math.isclose(quantiles.t_tail(-2.2, dof), 2 * stats.t.sf(2.2, dof), rel_tol=1e-9)
    assert math.isclose(quantiles.normal_factor(0.95), stats.norm.ppf(0.975), rel_tol=1e-12)


def test_conformance_and_batch_risk_equal_those_of_scipy(rng):
    from scipy import stats

    for value, u in rng.uniform([-2, 0.05], [2, 1], size=(50, 2)):
        p = decisions.conformance_probability(value, u, -1.0, 1.0)
        assert math.isclose(p, stats.norm.cdf(1, value, u) - stats.norm.cdf(-1, value, u), abs_tol=1e-12)
    r = decisions.global_risk(1.0, 0.6, 0.2, 0.8)
    both = stats.multivariate_normal(cov=[[0.36, 0.36], [0.36, 0.36 + 0.04]])
    inside = both.cdf([1.0, 0.8]) - both.cdf([-1.0, 0.8]) - both.cdf([1.0, -0.8]) + both.cdf([-1.0, -0.8])
    accepted = stats.norm.cdf(0.8, scale=math.sqrt(0.4)) - stats.norm.cdf(-0.8, scale=math.sqrt(0.4))
    assert math.isclose(r.false_accept, accepted - inside, abs_tol=1e-6)
    assert math.isclose(r.false_reject, r.p_in_tolerance - inside, abs_tol=1e-6)


def test_complex_fits_equal_least_squares_of_numpy(rng):
    ref, dvl = rng.standard_normal((200, 2)), rng.standard_normal((200, 2))
    design = np.block([[dvl[:, :1], -dvl[:, 1:]], [dvl[:, 1:], dvl[:, :1]]])
    real, *_ = np.linalg.lstsq(design, np.concatenate([ref[:, 0], ref[:, 1]]), rcond=None)
    assert np.allclose(real, (angle_scale(ref, dvl).real, angle_scale(ref, dvl).imag))
    z, d = ref @ (1, 1j), dvl @ (1, 1j)
    columns = np.column_stack([d, np.ones(200)])
    assert np.allclose(solve(z, columns)[0], np.linalg.lstsq(columns, z, rcond=None)[0])


def test_three_axis_fits_equal_those_of_scipy(rng):
    from scipy.spatial.transform import Rotation

    for yaw, pitch, roll in rng.uniform(-5, 5, size=(20, 3)):
        c = Rotation.from_euler("ZYX", [yaw, pitch, roll], degrees=True)
        ref = rng.uniform([0.8, -0.3, -0.3], [1.6, 0.3, 0.3], size=(40, 3))
        dvl = c.inv().apply(ref) / 1.01 + rng.standard_normal((40, 3)) * 0.01
        mine = fit_three_axis(ref, dvl)
        theirs, _ = Rotation.align_vectors(ref, dvl)
        assert np.allclose(
            (mine.yaw_deg, mine.pitch_deg, mine.roll_deg), theirs.as_euler("ZYX", degrees=True), atol=1e-9
        )


def test_alignment_change_equals_scipy(rng):
    from scipy.spatial.transform import Rotation

    for _ in range(20):
        a, b = Rotation.random(2, rng=rng)
        p = np.diag(rng.uniform(1e-6, 1e-5, 3))
        r = repeatability.compare_alignments(a.as_matrix(), p, b.as_matrix(), p)
        v = (b * a.inv()).as_rotvec()
        assert np.allclose(r.rotvec_deg, np.degrees(v), atol=1e-7)
        assert math.isclose(r.chi2, v @ np.linalg.inv(2 * p) @ v, rel_tol=1e-6)


def test_schuler_drift_solves_its_equation():
    from scipy import integrate

    radius, gravity, bias = 6.371e6, 9.80665, math.radians(0.01) / 3600

    def channel(_, state):
        _position, velocity, tilt = state
        return velocity, -gravity * tilt, velocity / radius - bias

    found = integrate.solve_ivp(channel, (0, 7200), (0, 0, 0), rtol=1e-10, atol=1e-12, t_eval=[600, 3600, 7200])
    for seconds, metres in zip(found.t, found.y[0], strict=True):
        assert math.isclose(drift.gyro_drift_m(seconds, 0.01, radius, gravity), metres, rel_tol=1e-6)


def test_a_summary_equals_plain_numpy(rng):
    force, rate = rng.standard_normal((5000, 3)) * 0.01 + (0, 0, -9.8), rng.standard_normal((5000, 3)) + (7, 0, -13)
    s = summarise(force, rate, 100.0)
    assert np.allclose(s.mean_force_m_s2, force.mean(axis=0)) and np.allclose(s.mean_rate_deg_h, rate.mean(axis=0))
    assert np.allclose(s.spread_rate_deg_h, rate.std(axis=0, ddof=1))


@pytest.mark.parametrize("case", NORTH, ids=lambda case: case["id"])
def test_norths_agree_with_their_source(case):
    i, wanted, allowed = case["inputs"], case["expected"], case["tolerance"]["abs"]
    if "zone" in i:
        found = grid_north(i["lat_deg"], i["lon_deg"], utm_central_meridian_deg(i["zone"]))
        assert abs(found.to_true_deg - wanted["convergence_deg"]) < allowed
        assert abs(found.distance_scale - wanted.get("scale", found.distance_scale)) < allowed
    else:
        found = magnetic_north_by_model(i["lat_deg"], i["lon_deg"], date.fromisoformat(i["on"]))
        assert abs(found.to_true_deg - wanted["declination_deg"]) < allowed
        assert 0.2 < found.sigma_deg < 1
