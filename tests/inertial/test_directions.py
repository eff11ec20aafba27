"""Fitted mounting angles: exact on exact input, honest about poor geometry, and refused where nothing can be said."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from registry.inertial import CannotCompute, chain, fit_directions, matrix_from_ypr
from registry.inertial.best_rotation import (
    covariance_rad2,
    separation_factors,
    triad,
    triad_covariance_rad2,
    wahba,
    widest_separation_deg,
)
from registry.inertial.directions import carried_sigma_deg, dowel_play_deg, residual_limits, transport_covariance
from registry.inertial.limits import DirectionLimits

ANGLES = st.tuples(st.floats(-179, 179), st.floats(-80, 80), st.floats(-179, 179))
X, Y, Z = np.eye(3)


@given(ANGLES)
def test_exact_directions_give_back_the_angles(angles):
    c = matrix_from_ypr(*angles)
    fit = fit_directions([X, Y, 2 * Z], np.array([X, Y, 2 * Z]) @ c.T, [0.1, 0.1, 0.2])
    assert (fit.yaw_deg, fit.pitch_deg, fit.roll_deg) == pytest.approx(angles, abs=1e-7)
    assert fit.chi2 < 1e-12 and fit.p == pytest.approx(1)


@given(ANGLES)
def test_two_vectors_meet_the_first_pair_exactly(angles):
    c = matrix_from_ypr(*angles)
    unit = np.array([X, [0.1, 1, 0]])
    seen = unit @ c.T + [[0, 0, 0], [0.001, -0.002, 0.001]]
    fit = fit_directions(unit, seen, [0.01, 0.5], two_vector=True)
    assert np.allclose(np.array(fit.c_vu) @ X, seen[0], atol=1e-12)
    assert fit.method == "direction-triad 2026-1"


def test_a_better_pair_weighs_more():
    seen = np.array([X, [0.02, 1, 0]])
    loose, tight = (fit_directions([X, Y], seen, sigma) for sigma in ([1.0, 1.0], [0.01, 1.0]))
    assert abs(tight.yaw_deg) < abs(loose.yaw_deg)


@pytest.mark.parametrize(
    ("unit", "vehicle", "sigma", "sentence"),
    [
        ([X], [X], [0.1], "One pair"),
        ([X, -X], [X, -X], [0.1, 0.1], "one line"),
        ([X, [1, 0.05, 0]], [X, [1, 0.05, 0]], [0.1, 0.1], "one line"),
        ([X, Y], [X, Y], [0.1, 0.0], "sigma over zero"),
        ([X, Y], [X, Y], [0.1], "sigma over zero"),
        ([X, Y], [X, [0, 0, 0]], [0.1, 0.1], "no direction"),
        ([X, [0, math.nan, 0]], [X, Y], [0.1, 0.1], "not finite"),
        ([X, Y, Z], [X, Y], [0.1] * 3, "partner"),
        ([X, Y], [X, [0.5, 1, 0]], [0.1, 0.1], "do not agree"),
    ],
)
def test_what_cannot_be_fitted_is_refused_with_a_sentence(unit, vehicle, sigma, sentence):
    with pytest.raises(CannotCompute, match=sentence) as refused:
        fit_directions(unit, vehicle, sigma)
    assert refused.value.sentence


def test_a_reversed_axis_is_named_and_not_called_noise():
    with pytest.raises(CannotCompute, match="axis sign is reversed"):
        fit_directions([X, Y, Z], [X, Y, -Z], [0.5] * 3)


def test_two_vectors_a_twentieth_of_a_degree_apart_do_not_pass_silently():
    close = [X, [1, 0.001, 0]]
    with pytest.raises(CannotCompute, match="1414"):
        fit_directions(close, close, [0.1, 0.1])


def test_poor_but_allowed_geometry_asks_for_a_better_direction():
    pair = [X, [math.cos(0.2), math.sin(0.2), 0]]
    fit = fit_directions(pair, pair, [0.1, 0.1])
    assert "90°" in fit.next and fit.separation_deg == pytest.approx(math.degrees(0.2))


def test_residuals_between_the_95_and_99_percent_limits_ask_for_a_repeat():
    for lean in np.linspace(0.1, 1.0, 200):
        seen = [X, [math.sin(math.radians(lean)), math.cos(math.radians(lean)), 0]]
        try:
            fit = fit_directions([X, Y], seen, [0.2, 0.2])
        except CannotCompute:
            break
        if fit.chi2 > fit.limit_95:
            assert "repeat" in fit.next
            return
    pytest.fail("no residual fell between the limits")


def test_straight_up_the_angles_are_withheld_and_the_axes_said_in_words():
    c = matrix_from_ypr(40, 90, 10)
    fit = fit_directions([X, Y, Z], np.eye(3) @ c.T, [0.1] * 3)
    assert not fit.angles_separable and fit.sigma_yaw_deg is None and fit.half_width_roll_deg is None
    assert "cannot be told apart" in fit.verdict and "x up" in fit.verdict


@given(st.floats(1, 179))
def test_the_covariance_follows_the_separation_rule(apart):
    a = math.radians(apart)
    p = covariance_rad2([X, [math.cos(a), math.sin(a), 0]], [0.01, 0.01])
    factors = np.sqrt(np.linalg.eigvalsh(p)[::-1]) / 0.01
    assert sorted(factors) == pytest.approx(sorted(separation_factors(apart)), rel=1e-6)


@given(st.integers(0, 10**6))
def test_two_vectors_are_never_better_than_the_weighted_fit(seed):
    rng = np.random.default_rng(seed)
    pair = rng.standard_normal((2, 3))
    assume(widest_separation_deg(pair) > 5)
    s1, s2 = rng.uniform(0.001, 0.01, 2)
    optimal = covariance_rad2(pair, [s1, s2])
    assert np.trace(triad_covariance_rad2(pair, s1, s2)) >= np.trace(optimal) * (1 - 1e-9)


def test_one_line_of_directions_has_no_covariance():
    with pytest.raises(CannotCompute, match="one line"):
        covariance_rad2([X, X, -X], [0.1] * 3)
    with pytest.raises(CannotCompute, match="one line"):
        triad([X, X], [Y, Y])
    with pytest.raises(CannotCompute, match="exactly two"):
        triad([X, Y, Z], [X, Y, Z])


def test_weights_must_be_positive():
    with pytest.raises(CannotCompute, match="weight over zero"):
        wahba([X, Y], [X, Y], [1, 0])


def test_a_chain_adds_the_inner_covariance_in_the_outer_axes():
    c_vb, c_bu = matrix_from_ypr(90, 0, 0), matrix_from_ypr(1, 2, 3)
    p_vb, p_bu = np.diag([1.0, 4.0, 9.0]) * 1e-8, np.diag([1.0, 0.0, 0.0]) * 1e-6
    both = chain(c_vb, p_vb, c_bu, p_bu)
    assert np.allclose(both.c_vu, c_vb @ c_bu)
    # What is about the plate's x is about the vehicle's y once the plate is turned by 90 degrees.
    assert np.allclose(np.array(both.covariance_rad2) - p_vb, np.diag([0, 1e-6, 0]), atol=1e-20)
    assert np.allclose(transport_covariance(c_vb, p_bu), np.diag([0, 1e-6, 0]), atol=1e-20)


def test_dowel_play_as_practice_states_it():
    # Common practice: 0.02 mm on 100 mm, 0.05 mm on 120 mm.
    assert dowel_play_deg(0.02, 100) == pytest.approx(0.011, abs=0.0006)
    assert dowel_play_deg(0.05, 120) == pytest.approx(0.024, abs=0.0006)
    assert carried_sigma_deg(0.03, 0.04) == pytest.approx(0.05)
    with pytest.raises(CannotCompute):
        dowel_play_deg(0.02, 0)


def test_limits_of_a_site_are_kept_with_the_result():
    strict = DirectionLimits(least_separation_deg=20)
    pair = [X, [math.cos(0.2), math.sin(0.2), 0]]
    with pytest.raises(CannotCompute, match="20"):
        fit_directions(pair, pair, [0.1, 0.1], limits=strict)
    assert fit_directions([X, Y], [X, Y], [0.1, 0.1], limits=strict).limits == strict


def test_residual_limits_need_two_pairs():
    assert residual_limits(3)[0] == 3
    with pytest.raises(CannotCompute):
        residual_limits(1)
