"""How old the proof of a place is, and how many days rest on it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.freshness import days_resting, days_since, say_age, say_scan


def at(day: str, clock: str = "12:00") -> str:
    return f"{day}T{clock}:00.000000Z"


@pytest.mark.parametrize(
    ("proved", "now", "words"),
    [
        (at("2026-05-14", "00:10"), at("2026-05-14", "23:50"), "today"),
        (at("2026-05-13", "23:50"), at("2026-05-14", "00:10"), "yesterday"),
        (at("2026-05-12"), at("2026-05-14"), "2 days ago"),
        (at("2026-03-15"), at("2026-05-14"), "60 days ago"),
        (at("2026-03-14"), at("2026-05-14"), "2 months ago"),
        (at("2024-05-15"), at("2026-05-14"), "24 months ago"),
        (at("2023-05-14"), at("2026-05-14"), "3 years ago"),
    ],
)
def test_an_age_is_said_by_the_calendar(proved: str, now: str, words: str):
    assert say_age(proved, now) == words


def test_days_since_a_scan_are_days_of_the_calendar_and_never_less_than_none():
    assert days_since(at("2026-05-12", "13:00"), at("2026-05-14")) == 2
    assert say_age(at("2026-05-12", "13:00"), at("2026-05-14")) == "2 days ago"
    assert days_since(at("2026-05-15"), at("2026-05-14")) == 0


def test_only_days_after_the_scan_rest_on_it():
    spans = [
        (at("2026-05-01"), at("2026-05-04")),
        (at("2026-05-09"), at("2026-05-11")),
        (at("2026-05-11"), at("2026-05-12")),
        (at("2026-05-20"), None),
    ]
    assert days_resting(spans, at("2026-05-10"), at("2026-05-14")) == 3
    assert days_resting(spans, at("2026-05-10"), at("2026-05-21")) == 5
    assert days_resting([], at("2026-05-10"), at("2026-05-14")) == 0


days = st.integers(1, 28).map(lambda day: at(f"2026-05-{day:02d}"))


@given(st.lists(st.tuples(days, st.none() | days)), days, days)
def test_no_more_days_rest_on_a_scan_than_have_gone_by(spans, proved, now):
    gone = int(now[8:10]) - int(proved[8:10]) + 1
    assert 0 <= days_resting(spans, proved, now) <= max(gone, 0)


@given(st.lists(st.tuples(days, st.none() | days)), days, days, days)
def test_a_newer_scan_never_has_more_days_resting_on_it(spans, one, other, now):
    older, newer = sorted([one, other])
    assert days_resting(spans, newer, now) <= days_resting(spans, older, now)


def test_a_place_is_told_with_the_age_of_its_scan_and_the_mission_days_that_rest_on_it():
    told = say_scan(at("2026-05-02"), 5, at("2026-05-14"))
    assert told == "Last scanned there 2 May 2026, 12 days ago; 5 mission days rest on it."
    assert say_scan(at("2026-05-13"), 1, at("2026-05-14")).endswith("yesterday; 1 mission day rests on it.")
    assert say_scan(None, 0, at("2026-05-14")) == "Never scanned there; no mission day rests on it."
