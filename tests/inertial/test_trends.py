"""Trends, steps and the day a limit is met."""

import math

import pytest

from registry.inertial import (
    CannotCompute,
    fit_step,
    fit_trend,
    read_history,
)
from registry.inertial.trends import day_of_limit, fit_line

# --- trends -----------------------------------------------------------------------------------------------------

DAYS = [0.0, 100.0, 200.0, 300.0, 400.0, 500.0]


def test_fewer_than_four_calibrations_give_no_trend():
    with pytest.raises(CannotCompute, match="3 calibrations show no trend"):
        fit_trend(DAYS[:3], [1.0, 2.0, 3.0])
    with pytest.raises(CannotCompute, match="one day"):
        fit_trend([5.0] * 4, [1.0, 2.0, 3.0, 4.0])
    with pytest.raises(CannotCompute, match="its day"):
        fit_trend(DAYS, [1.0, 2.0, 3.0, 4.0])


def test_a_drift_that_is_not_shown_meets_no_limit():
    found = fit_trend(DAYS, [0.1, -0.1, 0.12, -0.09, 0.11, -0.1], upper=1.0, unit="deg")
    assert not found.shown and found.meets is None and "No drift is shown" in found.verdict


def test_a_drift_meets_the_limit_it_moves_towards():
    values = [0.5, 0.61, 0.69, 0.8, 0.91, 1.0]
    up, down = (
        fit_trend(DAYS, values, lower=0.0, upper=2.0),
        fit_trend(DAYS, [-v for v in values], lower=-2.0, upper=0.0),
    )
    assert up.meets.limit == 2.0 and down.meets.limit == -2.0
    assert up.meets.day == pytest.approx(down.meets.day) and up.meets.earliest < up.meets.day < up.meets.latest
    assert "Plan the next calibration before day" in up.next
    assert fit_trend(DAYS, values, lower=0.0).meets is None
    assert fit_trend(DAYS, values, lower=0.0).next == "Watch it; no limit lies on its way."


def test_a_slope_that_is_barely_there_leaves_the_far_end_open():
    line = fit_line(DAYS, [0.0, 0.3, 0.0, 0.3, 0.1, 0.35])
    day = day_of_limit(line, 1.0)
    assert day.latest is None and day.earliest < day.day
    with pytest.raises(CannotCompute, match="no slope"):
        day_of_limit(fit_line(DAYS, [1.0] * 6), 2.0)


def test_a_step_at_a_refit_is_found_before_a_trend_is_spoken_of():
    values = [0.80, 0.81, 0.79, 1.12, 1.13, 1.11, 1.12]
    found = read_history([*DAYS, 600.0], values, (3,), upper=1.5, unit="deg")
    assert found.steps[0][1].shown and found.series_from == 3
    assert found.trend is not None and not found.trend.shown


def test_a_history_without_a_refit_is_one_series():
    found = read_history(DAYS, [0.80, 0.81, 0.79, 0.80, 0.81, 0.80])
    assert found.steps == () and found.series_from == 0 and found.trend.n == 6


def test_a_refit_that_changed_nothing_keeps_one_series():
    found = read_history(DAYS, [0.80, 0.81, 0.79, 0.80, 0.81, 0.80], (3,))
    assert found.series_from == 0 and found.trend.n == 6


def test_a_refit_with_too_few_calibrations_around_it_starts_a_new_series_all_the_same():
    found = read_history(DAYS, [0.8, 0.81, 0.79, 0.8, 0.81, 1.4], (5,))
    assert found.series_from == 5 and found.trend is None and "1 calibrations" in found.verdict


def test_steps_need_two_calibrations_on_each_side():
    with pytest.raises(CannotCompute, match="Each side"):
        fit_step(DAYS, [1.0] * 6, 1)
    exact = fit_step(DAYS, [0.0, 0.0, 0.0, 1.0, 1.0, 1.0], 3)
    assert math.isinf(exact.t) and exact.p == 0 and exact.shown
    assert not fit_step(DAYS, [1.0] * 6, 3).shown
