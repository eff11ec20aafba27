"""Gyrocompass, drift, cost, lever arms and north: the figures of the trade, and what is refused."""

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import (
    TRUE_NORTH,
    CannotCompute,
    angle_for_percent_deg,
    apparent_angle_in_turn_deg,
    class_bias_deg_h,
    cross_percent,
    drift_nmi_h,
    end_errors_of_legs,
    free_inertial_drift,
    grid_north,
    heading_error,
    latency_effect,
    lever_arm,
    lever_arm_from_unit_axes,
    magnetic_north,
    magnetic_north_by_model,
    misalignment_cost,
    motion_at_sensor,
    north_by_word,
    offset_on_map,
    schuler_period_s,
    settling_minutes,
    ship_limits,
    split_opposite_turns,
    to_true,
    unaided_north_speed_deg,
    utm_central_meridian_deg,
    velocity_error_m_s,
)
from registry.inertial.cost import end_error, total_over_class
from registry.inertial.gyrocompass import exact_error_deg, first_order_error_deg

#: Facts every navigator knows; common practice, no single source.


def test_a_hundredth_of_a_degree_an_hour_is_six_tenths_of_a_mile_an_hour():
    assert drift_nmi_h(0.01) == pytest.approx(0.6)
    assert free_inertial_drift(4 * 3600, gyro_bias_deg_h=0.01).ramp_m / 4 == pytest.approx(0.6 * 1852, rel=2e-3)


def test_a_hundredth_of_a_degree_of_heading_is_0_0175_percent_across_the_track():
    assert cross_percent(0.01) == pytest.approx(0.0175, abs=5e-5)
    assert misalignment_cost(0.01).cross_m_per_km == pytest.approx(0.175, abs=5e-4)


def test_a_class_of_x_degrees_secant_latitude_is_a_bias_of_x_times_the_earths_rate():
    assert class_bias_deg_h(0.1) == pytest.approx(math.radians(0.1) * 15.041067, rel=1e-6)
    assert first_order_error_deg(class_bias_deg_h(0.1), 60.0) == pytest.approx(0.2)


def test_one_metre_a_second_to_the_north_costs_what_practice_says():
    assert [unaided_north_speed_deg(1.0, lat) for lat in (0, 45, 60)] == pytest.approx([0.12, 0.17, 0.25], abs=0.005)


def test_the_schuler_period_is_84_minutes():
    assert schuler_period_s() / 60 == pytest.approx(84.4, abs=0.1)


def test_settling_grows_with_the_square_of_the_secant():
    assert settling_minutes(10.0, 0.0, 60.0) == pytest.approx(40.0)


def test_ships_limits_hold_up_to_seventy_degrees():
    assert ship_limits(60).settle_deg == pytest.approx(1.5) and ship_limits(60).datum_deg == 0.5
    with pytest.raises(CannotCompute, match="70"):
        ship_limits(75)


# --- gyrocompass and drift --------------------------------------------------------------------------------------


@given(st.floats(1e-4, 0.5), st.floats(0, 84))
def test_the_exact_heading_error_is_never_under_the_first_order(bias, lat):
    exact = exact_error_deg(bias, lat)
    assert exact is not None and exact >= first_order_error_deg(bias, lat) * (1 - 1e-12)


def test_near_the_pole_and_under_a_drowning_bias_there_is_no_heading():
    with pytest.raises(CannotCompute, match="85"):
        heading_error(0.01, -85.0)
    with pytest.raises(CannotCompute, match="cannot gyrocompass"):
        heading_error(10.0, 60.0)
    assert "2.9 times" in heading_error(0.01, 70.0).verdict and "times" not in heading_error(0.01, 60.0).verdict


def test_the_ramp_is_withheld_under_an_hour():
    short, long = (free_inertial_drift(t, gyro_bias_deg_h=0.01) for t in (600, 3600))
    assert short.ramp_m is None and short.gyro_m == pytest.approx(16.6, abs=0.1)
    assert long.ramp_m == pytest.approx(1112, abs=1) and long.gyro_m == pytest.approx(1353, abs=3)
    with pytest.raises(CannotCompute, match="24 hours"):
        free_inertial_drift(90_000, gyro_bias_deg_h=0.01)


@given(st.floats(1, 86_400), st.floats(0, 1), st.floats(0, 0.01))
def test_drift_is_the_root_sum_square_of_both_channels(t, gyro, acc):
    found = free_inertial_drift(t, gyro_bias_deg_h=gyro, acc_bias_m_s2=acc)
    assert found.sigma_m == pytest.approx(math.hypot(found.gyro_m, found.acc_m))


# --- cost -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "mark"), [(0.05, "open"), (0.3, "hatched"), (0.7, "solid")])
def test_a_misalignment_is_marked_by_its_share_of_the_class(angle, mark):
    found = misalignment_cost(angle, class_percent=1.0, sigma_deg=0.02)
    assert found.mark == mark and found.half_width_m_per_km == pytest.approx(1.96 * found.sigma_m_per_km, rel=1e-3)
    assert ("nothing to change" in found.next) == (mark == "open")


def test_a_correction_is_said_with_its_sign():
    assert "by -0.65°" in misalignment_cost(0.65, class_percent=0.5).next
    assert "not on record" in misalignment_cost(0.65).verdict
    assert misalignment_cost(0.0).next == "Nothing to change."
    with pytest.raises(CannotCompute, match="mounting entry"):
        misalignment_cost(20.0)


@given(st.floats(0.001, 5))
def test_the_inverse_of_the_cost_is_the_angle(angle):
    assert angle_for_percent_deg(cross_percent(angle)) == pytest.approx(angle)


def test_a_box_hides_the_cost_at_its_end_and_not_on_its_legs():
    legs, end = end_errors_of_legs(1.0, 0.0, [(h, 450.0) for h in (0, 90, 180, 270)])
    assert end < 1e-9 and all(leg.cross_m == pytest.approx(7.85, abs=0.01) for leg in legs)
    assert total_over_class(1.0) == pytest.approx(1.41, abs=0.005)
    assert end_error(0.3, 0.002, 1000).end_percent == pytest.approx(0.561, abs=1e-3)
    with pytest.raises(CannotCompute):
        end_errors_of_legs(1.0, 0.0, [])


# --- lever arms -------------------------------------------------------------------------------------------------


def test_a_lever_arm_in_unit_axes_is_turned_before_it_is_used():
    arm = lever_arm_from_unit_axes((0.8, 0.2, -0.1), [[0, -1, 0], [1, 0, 0], [0, 0, 1]], sigma_m=0.01)
    assert arm.vector_m == pytest.approx((-0.2, 0.8, -0.1)) and "vehicle" in arm.frame
    assert "1.7 mm/s" in arm.next


def test_a_lever_arm_in_millimetres_is_refused():
    with pytest.raises(CannotCompute, match="not millimetres"):
        lever_arm(800, 200, -100, sigma_m=0.01)
    with pytest.raises(CannotCompute, match="cannot be under 0"):
        lever_arm(0.8, 0.2, -0.1, sigma_m=-1)


def test_figures_of_lever_arms_as_practice_states_them():
    assert velocity_error_m_s(0.05, 10) == pytest.approx(0.0087, abs=1e-4)
    assert apparent_angle_in_turn_deg(3.0, 2.0, 1.5) == pytest.approx(4.0, abs=0.01)
    assert latency_effect(0.02, 1.5, 10).heading_deg == pytest.approx(0.2)
    assert motion_at_sensor((0, 0, 10), (2, 0, 0), (1.5, 0, 0)).velocity_m_s[1] == pytest.approx(0.349, abs=1e-3)
    assert offset_on_map(0, 0, 0, (1, 2, 3), (0.05, 0, 0)).reciprocal_difference_m == pytest.approx(0.1)


@given(st.floats(-5, 5), st.floats(-1, 1), st.floats(0.5, 10))
def test_opposite_turns_part_angle_from_latency(alpha, latency, rate):
    found = split_opposite_turns(alpha + rate * latency, alpha - rate * latency, rate, sigma_deg=0.1)
    assert (found.alpha_deg, found.latency_s) == pytest.approx((alpha, latency), abs=1e-9)
    assert found.sigma_alpha_deg == pytest.approx(0.0707, abs=1e-4)


# --- north ------------------------------------------------------------------------------------------------------


def test_an_azimuth_without_a_declared_north_is_refused():
    with pytest.raises(CannotCompute, match="true, grid or magnetic"):
        to_true(45.0, None)


def test_each_north_becomes_true_with_its_sigma():
    assert to_true(359.5, TRUE_NORTH).azimuth_deg == 359.5
    east = magnetic_north(2.5, sigma_deg=0.4, source="chart of 2026")
    assert to_true(359.0, east, 0.3).azimuth_deg == pytest.approx(1.5)
    assert to_true(359.0, east, 0.3).sigma_deg == pytest.approx(0.5)
    grid = grid_north(45.0, 12.0, utm_central_meridian_deg(32))
    assert to_true(0.0, grid).azimuth_deg == pytest.approx(2.12, abs=0.01)
    assert grid_north(-45.0, 12.0, 9.0).to_true_deg == pytest.approx(-grid.to_true_deg)


@given(st.floats(-80, 80), st.floats(-4, 4))
def test_convergence_changes_sign_across_the_meridian_and_scale_does_not(lat, off):
    one, other = grid_north(lat, 9 + off, 9.0), grid_north(lat, 9 - off, 9.0)
    assert one.to_true_deg == pytest.approx(-other.to_true_deg, abs=1e-9)
    assert one.distance_scale == pytest.approx(other.distance_scale, rel=1e-12)


def test_grids_are_the_same_across_the_date_line():
    assert grid_north(-17.0, -179.5, 177.0).to_true_deg == pytest.approx(grid_north(-17.0, 180.5, 177.0).to_true_deg)


@pytest.mark.parametrize(
    ("ask", "sentence"),
    [
        (lambda: grid_north(45, 20, 9), "outside this grid"),
        (lambda: grid_north(88, 10, 9), "outside this grid"),
        (lambda: utm_central_meridian_deg(61), "no UTM zone"),
        (lambda: magnetic_north(2.0, sigma_deg=0.3, source=" "), "no source"),
        (lambda: magnetic_north_by_model(50, 0, date(2035, 1, 1)), "holds from 2025 to 2030"),
        (lambda: magnetic_north_by_model(86, 160, date(2026, 1, 1)), "true bearing|no declination|under 2000"),
        (lambda: north_by_word("grid"), "zone"),
        (lambda: north_by_word("magnetic"), "declination"),
        (lambda: north_by_word("plant"), "no north"),
    ],
)
def test_norths_that_leave_something_open_are_refused(ask, sentence):
    with pytest.raises(CannotCompute, match=sentence):
        ask()


def test_the_word_true_is_enough_for_true_north():
    assert north_by_word(" True ") is TRUE_NORTH


def test_a_weak_level_field_is_cautioned():
    weak = magnetic_north_by_model(79.0, -100.0, date(2026, 6, 1))
    assert "weak" in weak.next and weak.sigma_deg > 0.9


def test_without_the_model_a_declination_is_asked_for(monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "pygeomag", None)
    with pytest.raises(CannotCompute, match="not installed"):
        magnetic_north_by_model(50, 0, date(2026, 1, 1))
