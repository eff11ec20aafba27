"""Physical audits: what a line says, who may sight it, when an audit is closed, which hull to open first."""

import pytest

from registry.domain.audits import (
    OpenLine,
    Unconfirmed,
    counts_of,
    hulls_to_open,
    reasons_not_running,
    reasons_not_to_close,
    reasons_of_fitter,
    verdict_of_bay,
)

T1, T2, T3 = (f"2026-05-1{day}T09:00:00.000000Z" for day in (1, 2, 3))


@pytest.mark.parametrize(
    ("expected", "found", "whole", "strangers", "verdict"),
    [
        ("se", "se", True, 0, "sighted"),
        ("", "", False, 0, "sighted"),
        ("se", "", False, 0, "missing"),
        ("se", "s", False, 0, "halves_apart"),
        ("se", "sx", False, 0, "halves_apart"),
        ("", "xy", False, 0, "halves_apart"),
        ("se", "xy", True, 0, "elsewhere"),
        ("", "xy", True, 0, "elsewhere"),
        ("se", "se", True, 1, "stranger"),
        ("se", "", False, 1, "stranger"),
    ],
)
def test_a_bay_is_told_by_what_was_read_in_it(expected: str, found: str, whole: bool, strangers: int, verdict: str):
    assert verdict_of_bay(list(expected), list(found), whole, strangers) == verdict


def test_who_fitted_a_pair_does_not_sight_it():
    (reason,) = reasons_of_fitter("ida", "ida", "QH-1", "Teasel, bay A", T1)
    assert reason.code == "own_fitting"
    assert (
        reason.message
        == "You fitted QH-1 in Teasel, bay A at 11 May 2026, 09:00 UTC: who fitted it does not sight it in an audit."
    )
    assert reasons_of_fitter("ida", "yusuf", "QH-1", "Teasel, bay A", T1) == []
    assert reasons_of_fitter("ida", None, "QH-1", "Teasel, bay A", T1) == []


def test_nothing_is_sighted_before_the_opening_or_after_the_closing():
    assert reasons_not_running(T2, None, T3) == []
    assert [one.code for one in reasons_not_running(T2, None, T1)] == ["overlaps_history"]
    assert [one.code for one in reasons_not_running(T1, T2, T3)] == ["not_open"]
    assert [one.code for one in reasons_not_running(T1, T2, T1)] == ["not_open"]


def test_every_line_is_answered_before_an_audit_is_closed():
    assert reasons_not_to_close([]) == []
    lines = [OpenLine(f"Teasel, bay {letter}") for letter in "ABCDEFGH"]
    (reason,) = reasons_not_to_close(lines)
    assert reason.message == (
        "8 lines have no answer: Teasel, bay A, Teasel, bay B, Teasel, bay C, Teasel, bay D, Teasel, bay E, Teasel, bay F and 2 more."
    )
    unread, odd = reasons_not_to_close([lines[0], OpenLine("the half labelled “S-1”", stranger=True)])
    assert unread.message == "1 line has no answer: Teasel, bay A."
    assert odd.message == "Nobody has said what the half labelled “S-1” is."


def test_counts_leave_out_what_there_is_none_of():
    assert counts_of(["sighted", None, "sighted", "missing", None]) == {"sighted": 2, "missing": 1, "expected": 2}


def test_the_hull_that_confirms_most_mission_days_an_opening_comes_first():
    hulls = hulls_to_open(
        [
            Unconfirmed("h1", "Teasel", "forward", "shed", "A", 4, 40),
            Unconfirmed("h2", "Burdock", "forward", "shed", "A", 7, 70),
            Unconfirmed("h1", "Teasel", "forward", "shed", "B", 5, 50),
            Unconfirmed("h3", "Alder", "aft", "quay", "A", 7, 90),
            Unconfirmed("h4", "Zinnia", "aft", "quay", "A", 0, 400),
        ]
    )
    assert [(hull.vehicle, hull.told(), hull.waited()) for hull in hulls] == [
        ("Teasel", "One opening confirms 9 mission days, in bays A, B", "not scanned for 50 days"),
        ("Alder", "One opening confirms 7 mission days, in bay A", "not scanned for 90 days"),
        ("Burdock", "One opening confirms 7 mission days, in bay A", "not scanned for 70 days"),
        ("Zinnia", "One opening confirms no mission days, in bay A", "not scanned for 400 days"),
    ]
