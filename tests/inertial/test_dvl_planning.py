"""Ends of a track, three axes, and the planning of a run."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import (
    TRUE_NORTH,
    CannotCompute,
    fit_end_fix,
    fit_three_axis,
    matrix_from_ypr,
)
from registry.inertial.dvl_design import (
    expected_sigma_alpha_deg,
    offset_sigma_alpha_deg,
    pitch_from_depth,
    plausible,
    scale_bias,
    two_leg_sigma_alpha_deg,
)
from registry.inertial.dvl_refusals import heading_change_deg, shortest_baseline_m
from registry.inertial.dvl_three_axis import observable_angles

# --- ends, three axes, planning ----------------------------------------------------------------------------------
from tests.inertial.test_dvl import factor


@given(st.floats(-5, 5), st.floats(-0.02, 0.02))
def test_the_ends_of_a_long_track_give_angle_and_scale(alpha, scale):
    ref = 400 + 300j
    dvl = ref / factor(alpha, scale)
    found = fit_end_fix((ref.real, ref.imag), (dvl.real, dvl.imag), fix_sigma_m=0.02, north=TRUE_NORTH)
    assert found.alpha_deg == pytest.approx(alpha, abs=1e-9) and found.scale == pytest.approx(scale, abs=1e-12)


def test_a_track_shorter_than_the_length_rule_is_refused_by_its_ends():
    with pytest.raises(CannotCompute, match="need 794 m"):
        fit_end_fix((700, 0), (700, 5), fix_sigma_m=0.5, north=TRUE_NORTH)
    with pytest.raises(CannotCompute, match="mounting entry"):
        fit_end_fix((700, 0), (0, 700), fix_sigma_m=0.02, north=TRUE_NORTH)
    assert shortest_baseline_m(0.02, 0.1) == pytest.approx(32, abs=0.5)


def test_three_axes_need_more_than_a_straight_level_run():
    c = matrix_from_ypr(1.2, -0.7, 0.0)
    ahead = np.tile([1.5, 0.0, 0.0], (20, 1)) * np.linspace(0.8, 1.2, 20)[:, None]
    found = fit_three_axis(ahead, ahead @ c / 1.003)
    assert found.roll_deg is None and found.covariance_rad2 is None and found.half_width_roll_deg is None
    assert (found.yaw_deg, found.pitch_deg, found.scale) == pytest.approx((1.2, -0.7, 0.003))
    assert "does not show roll" in found.verdict


@pytest.mark.parametrize(
    ("ref", "sentence"),
    [
        (np.tile([0.0, 1.5, 0.0], (10, 1)), "does not show pitch"),
        (np.tile([0.1, 0.0, 0.0], (10, 1)), "0.10 m/s"),
        (np.tile([1.5, 0.0, 0.0], (3, 1)), "4 rows"),
    ],
)
def test_three_axis_runs_that_show_too_little_are_refused(ref, sentence):
    with pytest.raises(CannotCompute, match=sentence):
        fit_three_axis(ref, ref)
    with pytest.raises(CannotCompute, match="partner"):
        fit_three_axis(np.ones((5, 3)), np.ones((6, 3)))


def test_a_turned_mounting_is_not_a_fine_angle_in_three_axes_either():
    rng = np.random.default_rng(2)
    ref = rng.uniform([0.8, -0.4, -0.3], [1.5, 0.4, 0.3], (30, 3))
    with pytest.raises(CannotCompute, match="mounting entry"):
        fit_three_axis(ref, ref @ matrix_from_ypr(90, 0, 0))


def test_what_a_set_of_velocities_shows():
    assert observable_angles([[1, 0, 0], [0, 1, 0]]).unseen == ()
    assert observable_angles([[0, 0, 1], [0, 0, 2]]).unseen == ("yaw",)
    assert observable_angles([[0, 0, 0]]).rank == 0


def test_pitch_from_depth_needs_a_steady_depth():
    assert pitch_from_depth(1.5, 0.0209432705, 0.001).pitch_deg == pytest.approx(0.8)
    assert pitch_from_depth(1.5, 0.0209432705, 0.001).sigma_deg == pytest.approx(0.0382, abs=1e-4)
    with pytest.raises(CannotCompute, match="depth changed"):
        pitch_from_depth(1.5, 0.02, depth_steady=False)
    with pytest.raises(CannotCompute, match="not part of a level run"):
        pitch_from_depth(1.0, 1.2)


def test_planning_figures_agree_with_each_other():
    assert expected_sigma_alpha_deg(600, 1.5, 0.03, 0.01) == pytest.approx(0.0493, abs=1e-3)
    for change in (30, 90, 180):
        assert offset_sigma_alpha_deg([0, change], 1.5, 0.01) == pytest.approx(
            two_leg_sigma_alpha_deg(change, 1.5, 0.01)
        )
    with pytest.raises(CannotCompute, match="one heading"):
        offset_sigma_alpha_deg([10, 10], 1.5, 0.01)
    # Noise of 0.05 m/s at 1.5 m/s lowers a fitted scale by 0.22 %.
    assert scale_bias(1.5, 0.0, 0.05).least_squares == pytest.approx(-0.0022, abs=1e-4)
    assert plausible(0.001, 0.01) and not plausible(0.1, 0.01)


@given(st.lists(st.floats(0, 360), min_size=2, max_size=6))
def test_the_heading_change_is_the_widest_angle_between_two_legs(headings):
    rounded = np.round(headings, 1)
    widest = max(abs((a - b + 180) % 360 - 180) for a in rounded for b in rounded)
    assert heading_change_deg(np.array(headings)) == pytest.approx(widest, abs=0.11)
