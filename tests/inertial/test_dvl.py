"""DVL runs: exact on exact input, refused where a number would mislead, and every leg's fate said."""

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import (
    TRUE_NORTH,
    CannotCompute,
    DvlRun,
    fit_dvl,
    grid_north,
)
from registry.inertial.complex_fit import angle_scale, fit_columns


def factor(alpha_deg, scale):
    return (1 + scale) * cmath.exp(1j * math.radians(alpha_deg))


def pairs(z):
    return np.column_stack([np.real(z), np.imag(z)])


def run(
    alpha=0.8,
    scale=0.004,
    headings=None,
    speed=1.3,
    current=0,
    lever=0,
    rate=None,
    frame="ned",
    n=80,
    noise=0.0,
    **more,
):
    """A made run: headings (n,), an earth-fixed `current` the DVL does not see, a `lever` left over."""
    rng = np.random.default_rng(7)
    headings = np.repeat([0, 180, 90, 270], n // 4) if headings is None else np.asarray(headings, dtype=float)
    turn = np.exp(1j * np.radians(headings))
    body = np.full(len(headings), speed, dtype=complex) + noise * (
        rng.standard_normal(len(headings)) + 1j * rng.standard_normal(len(headings))
    )
    rate = np.zeros(len(headings)) if rate is None else rate
    ref = factor(alpha, scale) * body + 1j * np.radians(rate) * lever
    ned = frame == "ned"
    z_ref = ref * turn + current if ned else ref + current * turn.conj()
    given = {
        "north": TRUE_NORTH,
        "sound_speed_m_s": 1500.0,
        "frame": frame,
        "heading_deg": headings,
        "turn_deg_s": rate,
    } | more
    return DvlRun(pairs(z_ref), pairs(body * turn if ned else body), **given)


@given(st.floats(-10, 10), st.floats(-0.05, 0.05), st.sampled_from(["ned", "vehicle"]))
def test_a_clean_run_gives_back_angle_and_scale_in_either_frame(alpha, scale, frame):
    found = fit_dvl(run(alpha, scale, frame=frame))
    assert found.alpha_deg == pytest.approx(alpha, abs=1e-9) and found.scale == pytest.approx(scale, abs=1e-12)


@given(st.floats(-10, 10), st.floats(-0.05, 0.05), st.sampled_from(["ned", "vehicle"]))
def test_an_offset_fit_takes_a_current_out_in_either_frame(alpha, scale, frame):
    found = fit_dvl(run(alpha, scale, current=0.2 - 0.1j, frame=frame), offset=True)
    assert found.alpha_deg == pytest.approx(alpha, abs=1e-9) and found.scale == pytest.approx(scale, abs=1e-12)
    assert (found.offset_north_m_s, found.offset_east_m_s) == pytest.approx((0.2, -0.1))
    assert found.method == "dvl-offset-fit 2026-1"


def test_a_current_left_out_is_read_as_angle_on_one_heading():
    wrong = fit_dvl(run(1.2, 0.005, headings=[0] * 40, current=0.1 - 0.05j))
    assert abs(wrong.alpha_deg - 1.2) > 1.5


@pytest.mark.parametrize("frame", ["ned", "vehicle"])
def test_a_lever_fit_finds_the_arm_left_over(frame):
    rate = np.tile([3.0, -3.0, 0.0, 2.0], 20)
    found = fit_dvl(run(0.5, 0.0, lever=0.26 - 0.1j, rate=rate, frame=frame), lever=True)
    assert found.alpha_deg == pytest.approx(0.5, abs=1e-9)
    assert (found.lever_forward_m, found.lever_starboard_m) == pytest.approx((0.26, -0.1))


def test_offset_and_lever_are_fitted_together():
    rate = np.tile([3.0, -3.0, 0.0, 2.0], 20)
    found = fit_dvl(run(0.5, 0.01, lever=0.2 + 0j, rate=rate, current=0.3j), offset=True, lever=True)
    assert found.alpha_deg == pytest.approx(0.5, abs=1e-9)
    assert found.offset_east_m_s == pytest.approx(0.3) and found.lever_forward_m == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("more", "options", "sentence"),
    [
        ({"north": None}, {}, "which north"),
        ({"sound_speed_m_s": None}, {}, "its scale means nothing"),
        ({"sound_speed_m_s": 340.0}, {}, "cannot be under 1400"),
        ({"n": 20}, {}, "20 independent samples"),
        ({"speed": 0.2}, {}, "0.20 m/s"),
        ({"headings": [0] * 20 + [20] * 20}, {"offset": True}, "differ by 20°"),
        ({"heading_deg": None}, {"offset": True}, "headings are missing"),
        ({"heading_deg": None, "frame": "vehicle", "headings": [0, 90] * 20}, {"lever": True, "offset": False}, None),
        ({"rate": np.full(80, 3.0), "clock_known": False}, {}, "clock offset"),
        ({"alpha": 16}, {}, "no fine angle"),
        ({"alpha": 179.7}, {}, "turned 180° about the vertical, and -0.30°"),
        ({"frame": "body"}, {}, "not stated"),
    ],
)
def test_runs_that_would_mislead_are_refused_with_a_sentence(more, options, sentence):
    if sentence is None:
        assert fit_dvl(run(**more), offset=False).heading_change_deg is None
        return
    if more.get("frame") == "body":
        bad = run()
        bad = DvlRun(bad.v_ref_m_s, bad.v_dvl_m_s, TRUE_NORTH, 1500.0, frame="body")
    else:
        bad = run(**more)
    with pytest.raises(CannotCompute, match=sentence) as refused:
        fit_dvl(bad, **options)
    assert refused.value.next


def test_samples_that_hang_together_are_not_counted_as_independent():
    slow = np.repeat(np.random.default_rng(3).standard_normal((2, 12)), 40, axis=1) @ np.eye(480)
    z = np.full(480, 1.3 + 0j)
    noisy = z + 0.05 * (slow[0] + 1j * slow[1])
    with pytest.raises(CannotCompute, match="independent samples"):
        fit_dvl(DvlRun(pairs(noisy), pairs(z), TRUE_NORTH, 1500.0))


def test_missing_partners_are_refused():
    with pytest.raises(CannotCompute, match="partner"):
        fit_dvl(DvlRun(np.ones((40, 2)), np.ones((39, 2)), TRUE_NORTH, 1500.0))


def test_the_verdict_says_the_side_the_scale_and_its_cautions():
    found = fit_dvl(run(-0.65, -0.01, speed=0.7, noise=0.002))
    assert "0.65°" in found.verdict and "to port" in found.verdict and "long" in found.verdict
    assert "1 to 1.5 is better" in found.verdict and "sound speed of the water was not measured" in found.verdict
    assert "constant heading offset" in found.next


def test_a_wide_interval_asks_for_longer_legs():
    rng = np.random.default_rng(1)
    clean = run(0.3)
    noisy = DvlRun(clean.v_ref_m_s + rng.standard_normal((80, 2)) * 0.05, clean.v_dvl_m_s, TRUE_NORTH, 1500.0)
    assert "longer legs" in fit_dvl(noisy).next


def test_a_wrong_sound_speed_is_taken_out_of_the_scale_unless_the_array_is_phased():
    plain = fit_dvl(run(scale=0.0, measured_sound_speed_m_s=1510.0))
    # Common practice: 10 m/s is 0.67 % of scale.
    assert 100 * plain.scale_less_sound_speed == pytest.approx(-0.66, abs=0.01)
    assert fit_dvl(
        run(scale=0.0, measured_sound_speed_m_s=1510.0, phased_array=True)
    ).scale_less_sound_speed == pytest.approx(0)


def test_the_scale_of_a_grid_does_not_leak_into_the_scale_of_the_dvl():
    grid = grid_north(45.0, 9.0, 9.0)
    true = run(0.4, 0.0)
    on_grid = DvlRun(np.asarray(true.v_ref_m_s) * 0.9996, true.v_dvl_m_s, grid, 1500.0)
    assert fit_dvl(on_grid).scale == pytest.approx(0, abs=1e-9)


def test_the_same_input_gives_the_same_interval_and_the_seed_is_kept():
    one, two = (fit_dvl(run(noise=0.01), seed=5) for _ in range(2))
    assert one == two and one.seed == 5


def test_bare_fits_refuse_unlike_lengths_a_dvl_at_rest_and_columns_that_are_one():
    with pytest.raises(CannotCompute, match="its partner"):
        angle_scale(np.ones((3, 2)), np.ones((2, 2)))
    with pytest.raises(CannotCompute, match="no speed"):
        angle_scale(np.ones((3, 2)), np.zeros((3, 2)))
    same = np.ones((40, 2), dtype=complex)
    with pytest.raises(CannotCompute, match="does not separate"):
        fit_columns(np.ones(40, dtype=complex), same, np.zeros(40, dtype=np.int64), 30, seed=1)
