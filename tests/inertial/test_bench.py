"""Bench: Allan curves and their terms, the static test, bias, and figures against the unit's own class."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import (
    TRUE_NORTH,
    CannotCompute,
    Limit,
    Outcome,
    Statistic,
    UnitClass,
    band_of,
    bias_from_two_headings,
    bias_on_fixture,
    compare_with_class,
    magnetic_north,
    static_heading,
    static_reading,
    static_test,
    summarise,
)
from registry.inertial.earth import angle_up_to_earth_rate, level_from_force, normal_gravity

CLASS = UnitClass(
    gyro_bias_deg_h=Limit(0.05),
    acc_bias_m_s2=Limit(0.002),
    heading_deg_seclat=Limit(0.1, Statistic.RMS),
    source="sheet",
)


def record(
    lat=59.0,
    heading=75.0,
    pitch=0.8,
    roll=-0.4,
    bias=(0.0, 0.0, 0.0),
    force_bias=0.0,
    n=2000,
    seed=0,
    noise=(0.5, 0.002),
):
    """Force and rate (n, 3) of a resting unit sampled at 1 Hz."""
    rng = np.random.default_rng(seed)
    truth = static_reading(lat, heading, pitch, roll)
    force = np.array(truth.force_m_s2) * (1 + force_bias / 9.8) + rng.standard_normal((n, 3)) * noise[1]
    return force, np.array(truth.rate_deg_h) + bias + rng.standard_normal((n, 3)) * noise[0]


# --- static test ------------------------------------------------------------------------------------------------


def test_a_sound_record_agrees_and_says_what_it_does_not_prove():
    found = static_test(summarise(*record(), 1.0), 59.0, unit_class=CLASS, warm_up_min=60)
    assert found.passed and all(check.agrees for check in found.checks)
    assert "does not prove the pair" in found.next and found.detection_deg > 0.3
    assert "not separable in one pose" in found.bias_note


@pytest.mark.parametrize(
    ("more", "which"),
    [
        ({"force_bias": 0.01}, "gravity"),
        ({"bias": (0.3, -0.8, 0.0)}, "earth_rate"),
        ({"bias": (0.0, 0.0, 0.5)}, "vertical_rate"),
    ],
)
def test_each_check_fails_for_its_own_fault(more, which):
    found = static_test(summarise(*record(**more), 1.0), 59.0, unit_class=CLASS)
    assert getattr(found, which).agrees is False and found.passed is False
    assert "outside" in found.verdict and "Check units" in found.next


def test_without_a_class_the_differences_are_shown_and_not_judged():
    found = static_test(summarise(*record(), 1.0), 59.0)
    assert found.passed is None and found.earth_rate.agrees is None and "no limit" in found.verdict
    assert found.gravity.agrees is True


def test_a_latitude_one_degree_wrong_is_seen_on_the_vertical():
    found = static_test(summarise(*record(noise=(0.05, 0.001)), 1.0), 60.0, unit_class=CLASS)
    assert found.vertical_rate.agrees is False


@pytest.mark.parametrize(
    ("summary", "options", "sentence"),
    [
        (lambda: summarise(*record(n=500), 1.0), {"lat_deg": 59.0}, "8.3 min long"),
        (lambda: summarise(*record(), 1.0), {"lat_deg": None}, "latitude is missing"),
        (lambda: summarise(*record(), 1.0), {"lat_deg": 95}, "cannot be over 90"),
        (lambda: summarise(*record(), 1.0), {"lat_deg": 59.0, "height_m": -3000}, "at the surface"),
    ],
)
def test_static_tests_that_cannot_be_judged_are_refused(summary, options, sentence):
    with pytest.raises(CannotCompute, match=sentence):
        static_test(summary(), **options)


def test_motion_and_poor_shapes_are_refused_before_the_test():
    force, rate = record()
    with pytest.raises(CannotCompute, match="unit moved"):
        summarise(force + np.sin(np.arange(2000))[:, None], rate, 1.0)
    with pytest.raises(CannotCompute, match="three columns"):
        summarise(force[:10], rate[:10], 1.0)
    force[3, 1] = math.nan
    with pytest.raises(CannotCompute, match="not finite"):
        summarise(force, rate, 1.0)


def test_a_record_that_warms_up_is_called_unsteady_and_one_within_its_floor_is_not():
    force, rate = record()
    drifting = rate + np.linspace(0, 0.3, 2000)[:, None] * [1, 0, 0]
    summary = summarise(force, drifting, 1.0)
    assert not summary.steady and "rate x" in summary.unsteady
    assert "warming up" in static_test(summary, 59.0, unit_class=CLASS).verdict
    assert summarise(force, drifting, 1.0, floor_deg_h=0.2).steady
    assert summarise(force, rate, 1.0).steady


# --- bias and heading -------------------------------------------------------------------------------------------

FIXTURE = {
    "lat_deg": 59.0,
    "azimuth_deg": 75.0,
    "pitch_deg": 0.8,
    "roll_deg": -0.4,
    "sigma_azimuth_deg": 0.01,
    "sigma_level_deg": 0.005,
    "north": TRUE_NORTH,
}


@given(st.tuples(*[st.floats(-1, 1)] * 3), st.tuples(*[st.floats(-0.01, 0.01)] * 3))
def test_a_fixture_gives_back_the_bias_of_each_axis(gyro, acc):
    truth = static_reading(59.0, 75.0, 0.8, -0.4)
    found = bias_on_fixture(np.add(truth.force_m_s2, acc), np.add(truth.rate_deg_h, gyro), **FIXTURE)
    assert found.gyro_bias_deg_h == pytest.approx(gyro, abs=1e-9) and found.acc_bias_m_s2 == pytest.approx(
        acc, abs=1e-9
    )


def test_an_azimuth_error_is_in_the_sigma_of_the_level_gyros():
    truth = static_reading(59.0, 75.0, 0.8, -0.4)
    loose = bias_on_fixture(truth.force_m_s2, truth.rate_deg_h, **(FIXTURE | {"sigma_azimuth_deg": 1.0}))
    # One degree of azimuth leaks W cos lat sin(1 deg) = 0.135 deg/h, nearly all of it across the earth rate.
    assert math.hypot(*loose.sigma_gyro_deg_h[:2]) == pytest.approx(0.135, rel=0.03)
    assert loose.sigma_gyro_deg_h[2] < 0.01


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"north": None}, "which north"),
        ({"lat_deg": None}, "latitude is missing"),
        ({"heading_class_deg": 0.02}, "third of the class"),
        (
            {"north": magnetic_north(3.0, sigma_deg=0.4, source="chart of 2026"), "heading_class_deg": 0.2},
            "known to 0.400",
        ),
    ],
)
def test_a_fixture_that_is_not_known_well_enough_is_refused(change, sentence):
    truth = static_reading(59.0, 75.0, 0.8, -0.4)
    with pytest.raises(CannotCompute, match=sentence):
        bias_on_fixture(truth.force_m_s2, truth.rate_deg_h, **(FIXTURE | change))


@given(st.floats(0, 359.9), st.tuples(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2)), st.floats(-75, 75))
def test_two_headings_part_bias_from_heading(heading, bias, lat):
    one, two = (np.array(static_reading(lat, h, 0, 0).rate_deg_h[:2]) + bias for h in (heading, heading + 180))
    found = bias_from_two_headings(one, two, lat)
    assert found.bias_deg_h == pytest.approx(bias, abs=1e-9)
    assert abs((found.heading_deg - heading + 180) % 360 - 180) < 1e-6
    assert found.single_error_deg == pytest.approx(found.first_order_error_deg, abs=0.3)


def test_two_headings_that_are_not_opposite_are_refused():
    one, two = (static_reading(59.0, h, 0, 0).rate_deg_h[:2] for h in (40, 130))
    with pytest.raises(CannotCompute, match="half-sums need 180"):
        bias_from_two_headings(one, two, 59.0, turn_deg=90)
    with pytest.raises(CannotCompute, match="level earth rate"):
        bias_from_two_headings(one, two, 59.0)


REST = {"gyro_bias_deg_h": 0.01, "walk_deg_sqrt_h": 0.003, "seconds": 1200}


@given(st.floats(0, 359.9), st.floats(-5, 5), st.floats(-5, 5), st.floats(-69, 69))
def test_a_resting_unit_finds_its_heading_and_level(heading, pitch, roll, lat):
    truth = static_reading(lat, heading, pitch, roll)
    found = static_heading(truth.force_m_s2, truth.rate_deg_h, lat, **REST)
    assert abs((found.heading_deg - heading + 180) % 360 - 180) < 1e-6
    assert (found.pitch_deg, found.roll_deg) == pytest.approx((pitch, roll), abs=1e-9)
    assert found.north == "true" and found.half_width_heading_deg > found.sigma_heading_deg


@pytest.mark.parametrize(
    ("lat", "options", "sentence"),
    [
        (86.0, {}, "too small to gyrocompass"),
        (59.0, {"spread_m_s2": 0.3}, "base moved"),
        (59.0, {"gyro_bias_deg_h": 8.0}, "cannot gyrocompass"),
        (None, {}, "latitude is missing"),
    ],
)
def test_headings_that_cannot_be_found_are_refused(lat, options, sentence):
    truth = static_reading(59.0, 30, 0, 0)
    with pytest.raises(CannotCompute, match=sentence):
        static_heading(truth.force_m_s2, truth.rate_deg_h, lat, **(REST | options))


def test_a_rate_that_is_not_the_earths_gives_no_heading():
    truth = static_reading(59.0, 30, 0, 0)
    with pytest.raises(CannotCompute, match="unit of rate"):
        static_heading(truth.force_m_s2, np.array(truth.rate_deg_h) * 3600, 59.0, **REST)
    with pytest.raises(CannotCompute, match="is zero"):
        level_from_force((0, 0, 0))


def test_high_latitudes_are_cautioned_and_a_tilt_is_in_the_sigma():
    truth = static_reading(75.0, 30, 0, 0)
    plain = static_heading(truth.force_m_s2, truth.rate_deg_h, 75.0, **REST)
    tilted = static_heading(truth.force_m_s2, truth.rate_deg_h, 75.0, acc_bias_m_s2=0.01, **REST)
    assert "3.9 times" in plain.verdict and tilted.sigma_heading_deg > plain.sigma_heading_deg


def test_the_angle_between_up_and_the_earth_rate_needs_no_heading():
    r = static_reading(59.0, 123.0, 7.0, -20.0)
    assert angle_up_to_earth_rate(r.force_m_s2, r.rate_deg_h) == pytest.approx(31.0)


def test_gravity_falls_with_height_by_the_free_air_gradient():
    assert normal_gravity(45, 100) - normal_gravity(45, 0) == pytest.approx(-3.086e-4, abs=1e-6)
    with pytest.raises(CannotCompute):
        normal_gravity(45, 30_000)


# --- class ------------------------------------------------------------------------------------------------------


def test_a_data_sheet_figure_is_read_as_the_statistic_it_is():
    assert Limit(1.0, Statistic.CEP).one_sigma == pytest.approx(1 / 1.1774, rel=1e-4)
    assert Limit(1.96, Statistic.P95).one_sigma == pytest.approx(1.0, abs=1e-4)
    assert Limit(3.0, Statistic.LARGEST).one_sigma == 1 and Limit(3.0, Statistic.LARGEST).at_95 == 3
    assert Limit(1.0).at_95 == pytest.approx(1.96, abs=1e-3)


def test_a_figure_is_judged_at_95_percent_with_its_own_uncertainty():
    inside = compare_with_class("gyro bias x", -0.04, 0.005, CLASS.gyro_bias_deg_h, unit="deg/h")
    near = compare_with_class("gyro bias x", 0.095, 0.005, CLASS.gyro_bias_deg_h, unit="deg/h")
    outside = compare_with_class("gyro bias x", 0.2, 0.005, CLASS.gyro_bias_deg_h, unit="deg/h")
    assert [x.outcome for x in (inside, near, outside)] == [Outcome.PASS, Outcome.CONDITIONAL_PASS, Outcome.FAIL]
    assert "1 sigma" in inside.verdict and inside.share == pytest.approx(0.408, abs=0.01)


def test_a_figure_without_a_limit_is_not_judged_by_a_band():
    with pytest.raises(CannotCompute, match="no limit for walk"):
        compare_with_class("walk", 0.01, 0.001, CLASS.gyro_walk_deg_sqrt_h)
    with pytest.raises(CannotCompute, match="heading class"):
        UnitClass().heading_95_deg(60.0)
    assert CLASS.heading_95_deg(60.0) == pytest.approx(0.392, abs=1e-3)


def test_bands_are_words_and_not_limits():
    assert [band_of(b) for b in (0.00005, 0.005, 0.1, 5.0, 50.0)] == [
        "strategic",
        "navigation",
        "between navigation and tactical",
        "tactical",
        "beyond tactical",
    ]
