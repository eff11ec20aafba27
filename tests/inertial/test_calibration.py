"""Uncertainty, decisions, intervals, due dates, trends, look-back and readings, beyond the published examples."""

import math
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import (
    CannotCompute,
    Fitting,
    Outcome,
    Part,
    Use,
    combine,
    compare_alignments,
    control_chart,
    covariance_from_sigmas_rad2,
    covers_voyage,
    due_after_days,
    due_after_months,
    even_drift,
    from_half_width,
    from_interval,
    from_readings,
    global_risk,
    in_service_check,
    in_use_limit,
    judge,
    matrix_from_ypr,
    normalised_error,
    pooled_repeatability,
    propagate,
    staircase,
    uses_to_assess,
)
from registry.inertial.decisions import worst_false_accept
from registry.inertial.uncertainty import effective_dof, from_resolution, whole_dof

POSITIVE = st.floats(1e-6, 1e3)

# --- uncertainty ------------------------------------------------------------------------------------------------


@given(st.lists(POSITIVE, min_size=1, max_size=6))
def test_independent_parts_add_in_squares_and_shared_ones_straight(us):
    alone = combine([Part(f"p{n}", u) for n, u in enumerate(us)])
    shared = combine([Part(f"p{n}", u, shared="mark") for n, u in enumerate(us)])
    assert alone.u == pytest.approx(math.hypot(*us)) and shared.u == pytest.approx(sum(us))
    assert alone.expanded == pytest.approx(2 * alone.u) and alone.k == 2


def test_opposite_sensitivities_to_one_reference_cancel():
    parts = [Part("a", 1.0, 1.0, shared="mark"), Part("b", 1.0, -1.0, shared="mark"), Part("c", 0.5)]
    assert combine(parts).u == pytest.approx(0.5)


def test_few_readings_widen_the_factor():
    few = combine([Part("repeat", 1.0, dof=4)], coverage=0.95)
    assert few.k == pytest.approx(2.776, abs=1e-3) and few.dof == pytest.approx(4)
    assert combine([Part("limit", 1.0)], coverage=0.95).k == pytest.approx(1.96, abs=1e-3)
    assert [whole_dof(x) for x in (18.9987, 16.75, 15.96, 0.5)] == [19, 16, 16, 1]
    assert math.isinf(effective_dof([1.0], [math.inf]))


def test_readings_give_their_mean_and_its_uncertainty():
    mean, u, dof = from_readings([1.0, 2.0, 3.0])
    assert (mean, u, dof) == (pytest.approx(2.0), pytest.approx(1 / math.sqrt(3)), 2)
    assert from_interval(2.571, 0.95, dof=5) == pytest.approx(1.0, abs=1e-3)
    assert from_resolution(1.0) == pytest.approx(0.2887, abs=1e-4)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: combine([]),
        lambda: combine([Part("x", -1.0)]),
        lambda: combine([Part("x", 1.0, dof=0)]),
        lambda: from_half_width(1.0, "square"),
        lambda: from_readings([1.0]),
        lambda: propagate(lambda x: x, {"x": (1.0, -0.1)}),
    ],
)
def test_budgets_that_make_no_sense_are_refused(ask):
    with pytest.raises(CannotCompute) as refused:
        ask()
    assert refused.value.sentence


def test_a_bent_model_shows_its_second_order_term():
    flat = propagate(lambda x: x**2, {"x": (0.0, 0.1)})
    # At zero the first order says nothing: var(x²) = 2 u⁴ for a normal input.
    assert flat.u == pytest.approx(0) and flat.u_second_order == pytest.approx(math.sqrt(2) * 0.01, rel=0.5)
    straight = propagate(lambda x, y: 3 * x - 2 * y, {"x": (1.0, 0.1), "y": (5.0, 0.2)}, {"x": 4, "y": 9})
    assert straight.u == pytest.approx(0.5) and straight.u_second_order == pytest.approx(0.5)
    assert straight.dof == pytest.approx(0.5**4 / (0.3**4 / 4 + 0.4**4 / 9))


# --- decisions --------------------------------------------------------------------------------------------------


@given(st.floats(-3, 3), st.floats(0.01, 0.4))
def test_a_guarded_pass_is_never_wrong_more_often_than_one_in_forty(value, u):
    found = judge(value, lower=-1.0, upper=1.0, u=u)
    assert found.p_conform + found.p_nonconform == pytest.approx(1)
    if found.outcome is Outcome.PASS:
        assert found.risk <= 0.0456
    if found.outcome is Outcome.CANNOT_DECIDE:
        assert 2 * u >= 1.0 and found.risk is None


@given(st.floats(-3, 3), st.floats(0.01, 0.4))
def test_the_four_way_rule_refines_the_simple_one(value, u):
    four, simple = (judge(value, lower=-1.0, upper=1.0, u=u, rule=rule).outcome for rule in ("four-way", "simple"))
    if four is not Outcome.CANNOT_DECIDE:
        assert ("pass" in four) == (simple is Outcome.PASS)


def test_an_uncertainty_as_large_as_the_tolerance_decides_only_far_outside():
    assert judge(0.0, lower=-1, upper=1, u=0.5).outcome is Outcome.CANNOT_DECIDE
    assert judge(0.9, lower=-1, upper=1, u=0.6, rule="four-way").outcome is Outcome.CANNOT_DECIDE
    assert judge(2.5, lower=-1, upper=1, u=0.5).outcome is Outcome.FAIL
    assert "as large as the tolerance" in judge(0.0, lower=-1, upper=1, u=0.5).verdict


def test_one_sided_limits_and_missing_uncertainty():
    assert judge(0.9, upper=1.0, u=0.04).outcome is Outcome.PASS
    assert judge(0.93, upper=1.0, u=0.04).outcome is Outcome.FAIL
    assert judge(1.5, lower=1.0, u=0.1, rule="four-way").outcome is Outcome.PASS
    plain = judge(0.99, upper=1.0, rule="simple")
    assert plain.outcome is Outcome.PASS and plain.risk is None and "not stated" in plain.verdict
    with pytest.raises(CannotCompute, match="guarded rule cannot be applied"):
        judge(0.9, upper=1.0)
    with pytest.raises(CannotCompute, match="No limit"):
        judge(0.9, u=0.1)
    with pytest.raises(CannotCompute, match="not under the upper"):
        judge(0.9, lower=1.0, upper=1.0, u=0.1)


def test_the_worst_false_accept_of_a_guard_band_of_u_is_two_and_a_quarter_percent():
    assert worst_false_accept(1.0) == pytest.approx(0.02275, abs=1e-5) and worst_false_accept(0.0) == 0.5


def test_a_guard_band_trades_false_accepts_for_false_rejects():
    simple, guarded = (global_risk(1.0, 0.5, 0.125, a) for a in (1.0, 0.75))
    assert guarded.false_accept < simple.false_accept and guarded.false_reject > simple.false_reject
    with pytest.raises(CannotCompute):
        global_risk(1.0, 0.0, 0.1, 1.0)


# --- intervals and due dates ------------------------------------------------------------------------------------


@given(st.integers(30, 730), st.floats(-2, 2))
def test_an_interval_stays_within_its_bounds_and_only_a_longer_one_needs_a_name(days, error):
    found = staircase(days, 1.0, error)
    assert 30 <= found.new_days <= 730 and found.needs_approval == (found.new_days > days)
    assert found.look_back == (abs(error) > 1)


def test_without_an_as_found_reading_nothing_is_lengthened():
    found = staircase(365, 0.01, None)
    assert found.verdict.endswith("365 days, as now.")
    assert found.new_days == 365 and "no as-found reading" in found.verdict


def test_a_failed_check_withdraws_and_a_passed_one_moves_nothing():
    assert not in_service_check("fail", 100).usable
    assert in_service_check("pass", 100).usable and not in_service_check("pass", 100).due_moved
    with pytest.raises(CannotCompute):
        in_service_check("maybe", 1)


def test_a_unit_never_used_is_due_by_the_calendar():
    found = in_use_limit(0, 0)
    assert not found.due and found.days_left_by_hours is None and found.next_limit == "days"


def test_a_control_chart_needs_five_readings_and_names_what_lies_outside():
    assert "1 of 1" in control_chart([1.0, 1.1, 0.9, 1.05, 0.95], [2.0]).verdict
    with pytest.raises(CannotCompute):
        control_chart([1.0, 1.1])


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(1, 120))
def test_a_due_day_keeps_its_day_of_the_month_or_the_last_one(day, months):
    due = due_after_months(day, months)
    assert (due.year * 12 + due.month) - (day.year * 12 + day.month) == months
    assert due.day == day.day or (due.day < day.day and due.day in (28, 29, 30))


def test_due_dates_of_nothing_are_refused_and_a_voyage_must_end_in_date():
    with pytest.raises(CannotCompute):
        due_after_months(date(2026, 1, 1), 0)
    with pytest.raises(CannotCompute):
        due_after_days(date(2026, 1, 1), 0)
    with pytest.raises(CannotCompute, match="before it starts"):
        covers_voyage(date(2026, 6, 30), date(2026, 7, 2), date(2026, 6, 29))
    short = covers_voyage(date(2026, 6, 30), date(2026, 6, 29), date(2026, 7, 1))
    assert short.days_short == 1 and "1 day before" in short.verdict


# --- agreement, look-back, readings ------------------------------------------------------------------------------


def test_a_changed_alignment_is_told_from_one_that_is_not():
    p = covariance_from_sigmas_rad2(0.02, 0.02, 0.05)
    same = compare_alignments(matrix_from_ypr(0.8, 0.2, -0.1), p, matrix_from_ypr(0.82, 0.2, -0.1), p)
    other = compare_alignments(matrix_from_ypr(0.8, 0.2, -0.1), p, matrix_from_ypr(1.4, 0.2, -0.1), p)
    assert not same.changed and other.changed and "refit" in other.next
    with pytest.raises(CannotCompute, match="not positive"):
        compare_alignments(np.eye(3), np.zeros((3, 3)), np.eye(3), np.zeros((3, 3)))
    with pytest.raises(CannotCompute, match="left-handed"):
        compare_alignments(np.eye(3), p, np.diag([1, 1, -1]), p)
    with pytest.raises(CannotCompute, match="no rotation"):
        compare_alignments(np.eye(3), p, 2 * np.eye(3), p)
    with pytest.raises(CannotCompute, match="three rows"):
        compare_alignments(np.eye(2), p, np.eye(3), p)


def test_agreement_and_repeats():
    assert normalised_error(1.0, 0.1, 1.05, 0.1).agrees and not normalised_error(1.0, 0.01, 1.05, 0.01).agrees
    with pytest.raises(CannotCompute, match="Neither value"):
        normalised_error(1.0, 0.0, 1.05, 0.0)
    with pytest.raises(CannotCompute, match="two repeats"):
        pooled_repeatability([[1.0], [2.0]])


def test_a_use_on_either_day_of_the_window_is_listed():
    uses = [
        Use("before", date(2026, 1, 9)),
        Use("first", date(2026, 1, 10)),
        Use("last", date(2026, 2, 1)),
        Use("after", date(2026, 2, 2)),
    ]
    found = uses_to_assess(uses, date(2026, 1, 10), date(2026, 2, 1))
    assert found.needs_assessment == ("first", "last")
    assert uses_to_assess(uses, None, date(2026, 2, 1)).needs_assessment == ("before", "first", "last")
    with pytest.raises(CannotCompute, match="later than the finding"):
        uses_to_assess(uses, date(2026, 3, 1), date(2026, 2, 1))


def test_only_vehicles_that_held_the_item_are_asked():
    uses = [Use("a", date(2026, 1, 5), vehicle="A"), Use("b", date(2026, 1, 5), vehicle="B")]
    fittings = [Fitting("A", date(2026, 1, 1), date(2026, 1, 4)), Fitting("B", date(2026, 1, 4))]
    assert uses_to_assess(uses, date(2026, 1, 1), date(2026, 2, 1), fittings).needs_assessment == ("b",)


def test_an_even_drift_ranks_and_never_clears():
    assert even_drift(0.0, 0.5, 100, [50], 1.0).day_crossed is None
    crossed = even_drift(0.0, -2.0, 100, [50], 1.0)
    assert crossed.day_crossed == pytest.approx(50) and "take nothing off it" in crossed.next
