"""Rules of verification: what counts, what is worst, when a pair is due, who reviews, how far an interval may grow."""

from dataclasses import replace

import pytest

from registry.domain.findings import Finding
from registry.domain.fit_due import findings_of_due
from registry.domain.verifications import (
    VERDICTS,
    Due,
    Reviewed,
    counts,
    reasons_not_to_lengthen,
    reasons_not_to_review,
    worst,
)

DUE = Due(
    pairing_id="p", pair="QH-1", due_on="2026-06-30", good_on="2025-06-30", good_id="g", last_id="g", last_kind="heading_check", last_verdict="pass",
    last_on="2025-06-30", last_seq=7, reviewed=True, jumped=False, days=None, hours_left=None, calibrated_on=None, left_days=41, months=12, notice_days=30,
)  # fmt: skip


@pytest.mark.parametrize(
    ("verdict", "review", "counted"),
    [
        ("pass", None, True),
        ("pass", "agreed", True),
        ("pass", "rejected", False),
        ("conditional_pass", None, False),
        ("conditional_pass", "agreed", False),
        ("conditional_pass", "accepted", True),
        ("conditional_fail", "agreed", False),
        ("cannot_decide", "agreed", False),
        ("fail", "agreed", False),
    ],
)
def test_a_pass_counts_and_a_conditional_pass_only_when_it_is_accepted_by_name(
    verdict: str, review: str, counted: bool
):
    assert counts(verdict, review) is counted


def test_one_line_that_fails_fails_the_whole_and_nothing_judged_decides_nothing():
    assert worst(["pass", "fail", "cannot_decide"]) == "fail"
    assert worst(["pass", "cannot_decide", "conditional_pass"]) == "cannot_decide"
    assert worst(["pass", "conditional_pass"]) == "conditional_pass"
    assert worst(["pass", "pass"]) == "pass"
    assert worst([]) == "cannot_decide"


@pytest.mark.parametrize(("left", "state"), [(-1, "overdue"), (0, "soon"), (30, "soon"), (31, "in_date")])
def test_it_holds_through_the_due_day_and_is_told_of_thirty_days_before(left: int, state: str):
    """Valid through the due day: case DD-6 of the calibration cases; thirty days are common practice, no source."""
    assert replace(DUE, left_days=left).state == state


def test_hours_run_out_before_the_calendar_does():
    assert replace(DUE, hours_left="-0.5").state == "overdue"
    assert replace(DUE, hours_left="-0.5").say() == "Verified 30 June 2025; its hours ran out 0.5 h ago."
    assert replace(DUE, hours_left="0").state == "in_date"


def test_when_it_is_due_is_said_in_one_sentence():
    assert DUE.say() == "Verified 30 June 2025; due 30 June 2026, in 41 days."
    assert replace(DUE, left_days=0).say() == "Verified 30 June 2025; due 30 June 2026, today."
    assert replace(DUE, left_days=-1).say() == "Verified 30 June 2025; due 30 June 2026, 1 day ago."
    assert replace(DUE, good_on=None).say().startswith("Never verified since its statement;")
    assert replace(DUE, last_verdict="fail").say() == "Failed on 30 June 2025. Verified 30 June 2025."


def of_pair(due: Due, overdue_stops: bool = False) -> list[tuple[str, str]]:
    found = findings_of_due(due, "QH-1", "A", "b", overdue_stops)
    assert all(isinstance(one, Finding) and one.offer for one in found)
    return [(one.severity, one.code) for one in found]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({}, []),
        ({"left_days": 12}, [("note", "verification_due")]),
        ({"left_days": -1}, [("care", "verification_overdue")]),
        ({"reviewed": False}, [("note", "awaits_review")]),
        ({"last_verdict": "conditional_pass"}, []),
        ({"last_verdict": "conditional_pass", "reviewed": False}, [("care", "verification_undecided")]),
        ({"last_verdict": "conditional_fail"}, [("care", "verification_undecided")]),
        ({"last_verdict": "cannot_decide"}, [("care", "verification_undecided")]),
        ({"last_verdict": "fail"}, [("care", "verification_failed")]),
        ({"jumped": True}, [("care", "never_like_this")]),
    ],
)
def test_what_a_vehicle_is_told_of_its_pairs(changed: dict, told: list[tuple[str, str]]):
    assert of_pair(replace(DUE, **changed)) == told


def test_where_the_site_says_so_overdue_stops():
    assert of_pair(replace(DUE, left_days=-1), overdue_stops=True) == [("stops", "verification_overdue")]
    assert of_pair(replace(DUE, left_days=12), overdue_stops=True) == [("note", "verification_due")]


KNOWN = Reviewed("pass", "2026-05-01T09:00:00.000000Z", "vera", "vera", None)
LATER = "2026-05-02T09:00:00.000000Z"


def test_a_second_person_reviews_once_and_later():
    codes = lambda known, outcome, by, at=LATER: [r.code for r in reasons_not_to_review(known, outcome, by, at)]  # noqa: E731
    assert codes(KNOWN, "agreed", "oda") == []
    assert codes(KNOWN, "agreed", "vera") == ["own_work"]
    assert codes(replace(KNOWN, by="oda", done_by="vera"), "agreed", "oda") == ["own_work"]
    assert codes(KNOWN, "agreed", "oda", KNOWN.verified_at) == ["overlaps_history"]
    assert codes(replace(KNOWN, reviewed_at=LATER), "agreed", "oda") == ["already_so"]


@pytest.mark.parametrize("verdict", VERDICTS)
def test_only_a_conditional_pass_is_accepted_by_name(verdict: str):
    known = replace(KNOWN, verdict=verdict)
    fits = {
        outcome: not reasons_not_to_review(known, outcome, "oda", LATER)
        for outcome in ("agreed", "accepted", "rejected")
    }
    conditional = verdict == "conditional_pass"
    assert fits == {"agreed": not conditional, "accepted": conditional, "rejected": True}


@pytest.mark.parametrize(
    ("days", "proposed", "codes"),
    [
        (365, None, []),
        (100, None, []),
        (366, None, ["interval_too_long"]),
        (456, 456, []),
        (457, 456, ["interval_too_long"]),
        (366, 182, ["interval_too_long"]),
    ],
)
def test_an_interval_grows_no_further_than_the_rule_proposes(days: int, proposed: int | None, codes: list[str]):
    assert [reason.code for reason in reasons_not_to_lengthen(days, 365, proposed)] == codes
