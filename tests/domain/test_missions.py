"""Missions: the distance that counts, hours nothing covers, and from when on a pair is not confirmed."""

from dataclasses import replace

import pytest

from registry.domain.missions import (
    Run,
    Span,
    counted_km,
    hours_without,
    reasons_not_to_end,
    reasons_not_to_run,
    reasons_of_data,
    reasons_of_distance,
    shared,
    unaligned_hours,
    unconfirmed_since,
)


def at(text: str) -> str:
    day, _, clock = text.partition(" ")
    return f"2026-05-{int(day):02d}T{clock}:00.000000Z"


SPAN = Span(at("10 08:00"), at("10 18:00"))
OUT = Run("m", "M-1", "Teasel", at("10 08:00"), at("10 18:00"), 7)


@pytest.mark.parametrize(
    ("aided", "stretch", "counted"),
    [("dvl", None, "40"), ("inertial", "3", "40"), ("dvl_and_fixes", "12", "12"), ("gnss", None, "0")],
)
def test_a_heading_error_counts_from_fix_to_fix_and_without_fixes_all_the_way(aided, stretch, counted):
    assert counted_km("40", aided, stretch) == counted


def test_between_fixes_the_longest_stretch_is_asked_for_and_is_no_longer_than_all_of_it():
    assert [r.code for r in reasons_of_distance("40", "dvl_and_fixes", None)] == ["needs_reason"]
    assert [r.field for r in reasons_of_distance("40", "gnss", "41")] == ["stretch_km"]
    assert reasons_of_distance("40", "dvl_and_fixes", "40") == []


def test_a_vehicle_is_on_one_mission_at_a_time():
    crossing = reasons_not_to_run(None, [OUT], at("10 17:00"), None)
    assert [r.code for r in crossing] == ["overlaps_history"]
    assert "M-1" in crossing[0].message
    assert reasons_not_to_run(None, [OUT], at("10 18:00"), None) == []
    assert reasons_not_to_run(None, [OUT], at("9 08:00"), at("10 08:00")) == []
    assert [r.code for r in reasons_not_to_run(OUT, [OUT], at("11 08:00"), None)] == ["already_so"]


def test_a_mission_that_has_not_started_does_not_end_and_none_ends_before_it_starts():
    under_way = replace(OUT, ended_at=None)
    assert [r.code for r in reasons_not_to_end("M-1", None, at("11 08:00"))] == ["not_open"]
    assert [r.code for r in reasons_not_to_end("M-1", OUT, at("11 08:00"))] == ["already_so"]
    assert [r.code for r in reasons_not_to_end("M-1", under_way, at("10 08:00"))] == ["overlaps_history"]
    assert reasons_not_to_end("M-1", under_way, at("10 09:00")) == []


def test_data_after_the_end_are_asked_about():
    end, after = at("10 18:00"), at("10 18:01")
    assert [r.code for r in reasons_of_data(end, after, None)] == ["data_after_end"]
    assert reasons_of_data(end, after, "five minutes on deck") == []
    assert reasons_of_data(end, end, None) == []
    assert reasons_of_data(end, None, None) == []


def test_a_swap_in_between_shows_each_share_and_the_hours_between():
    first = shared(SPAN, at("1 00:00"), at("10 12:00"))
    second = shared(SPAN, at("10 12:30"), None)
    assert (first.hours, second.hours) == (4.0, 5.5)
    assert hours_without(SPAN, [first, second]) == 0.5
    assert shared(SPAN, at("10 18:00"), None) is None


def test_hours_without_an_alignment_are_those_before_the_first_and_after_it_was_withdrawn():
    assert unaligned_hours(SPAN, []) == 10.0
    assert unaligned_hours(SPAN, [(at("9 08:00"), True)]) == 0.0
    assert unaligned_hours(SPAN, [(at("10 11:00"), True)]) == 3.0
    assert unaligned_hours(SPAN, [(at("9 08:00"), True), (at("10 16:00"), False)]) == 2.0
    assert unaligned_hours(SPAN, [(at("9 08:00"), True), (at("10 10:00"), False), (at("10 13:00"), True)]) == 3.0


def test_a_pair_is_not_confirmed_from_its_last_scan_before_a_difference_to_the_next_scan():
    """design, rulings: missions since the last confirmation print “pair not confirmed”."""
    scans = [at("1 09:00"), at("9 09:00")]
    assert unconfirmed_since(SPAN, scans, []) is None
    assert unconfirmed_since(SPAN, scans, [at("12 09:00")]) == at("9 09:00")
    assert unconfirmed_since(SPAN, scans, [at("5 09:00")]) is None
    assert unconfirmed_since(SPAN, [*scans, at("11 09:00")], [at("12 09:00")]) is None
