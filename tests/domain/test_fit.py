"""Fit to deploy: one test a finding, what a voyage and a use add, and what was accepted by name. No source; the rulings are ours."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.alignments import Alignment, LeftAngle
from registry.domain.axis_checks import AxisCheck
from registry.domain.closing_sheets import ClosingStanding
from registry.domain.findings import Acceptance
from registry.domain.fit import RULES, SEVERITIES, VERDICTS, findings, verdict
from registry.domain.fit_facts import BayFacts, HeldThing, HousingFacts, OpenEnd, VehicleFacts
from registry.domain.second_checks import SeatCheck, SeatChecked
from registry.domain.verifications import Due
from registry.domain.voyages import Voyage, read_voyage

AT = "2026-05-14T18:05:00.000000Z"


def stamp(day: int, hour: int = 9) -> str:
    return f"2026-05-{day:02d}T{hour:02d}:00:00.000000Z"


DUE = Due(
    "pairing", "p1", "2026-09-01", "2025-09-01", "v1", "v1", "heading_check", "pass", "2025-09-01", 30,
    True, False, None, None, None, 110, 12, 30, stated_seq=9,
)  # fmt: skip
CHECK = AxisCheck("c1", "right", "The signs are right.", "", stamp(10), 41)
LOOK = SeatCheck("s1", "present", "yusuf", "Yusuf", "yusuf", stamp(9), 46)
ALIGNED = Alignment("a1", "directions", "within", "Within.", "Nothing to change.", stamp(10), 42)
LEFT = (LeftAngle("yaw", "0.02", "0.02"), LeftAngle("roll", "0.00", "0.01"))
BAY = BayFacts(
    "bay", "A", "p1", stamp(9), seq=40, due=DUE, axis_check=CHECK, alignment=ALIGNED, dowels=True, use="transit",
    tolerance_deg="0.3", left=LEFT, entered_seq=5, checked=SeatChecked("present", LOOK),
)  # fmt: skip
SHUT = HousingFacts(
    "housing", "forward", "vacuum", stamp(9), stamp(9, 10), stamp(9, 11), 40, 43, 44, "holds", "Change 1.1 mbar.",
    ClosingStanding("complete", "", 45),
)  # fmt: skip
FIT = VehicleFacts("vehicle", "Teasel", (BAY,), (SHUT,), at=AT, seq=4)
EMPTY = BayFacts("bay", "A", None, lifted_at=stamp(12), seq=50)


def bay(**changes) -> VehicleFacts:
    return replace(FIT, bays=(replace(BAY, **changes),))


def due(**changes) -> VehicleFacts:
    return bay(due=replace(DUE, **changes))


def aligned(**changes) -> VehicleFacts:
    return bay(alignment=replace(ALIGNED, **changes))


def housing(**changes) -> VehicleFacts:
    return replace(FIT, housings=(replace(SHUT, **changes),))


#: What is wrong -> the facts of a fit vehicle with that one thing wrong, and the finding: gravity, code, entry, clearing act.
WRONG = {
    "retired": (replace(FIT, retired_at=stamp(13), retired_seq=60), "stops", "retired", 60, None),
    "no bay": (replace(FIT, bays=()), "stops", "no_bay", 4, "add_bay"),
    "an empty bay": (replace(FIT, bays=(EMPTY,)), "stops", "empty_bay", 50, "install_pair"),
    "a bay that never held a pair": (replace(FIT, bays=(BayFacts("bay", "A", None, entered_seq=5),)), "stops", "empty_bay", 5, "install_pair"),
    "lifted, none seated": (replace(FIT, bays=(replace(EMPTY, seat_follows=True),)), "stops", "none_seated", 50, "install_pair"),
    "another type": (bay(type_accepted=False, type_name="Ardlune Sedge"), "care", "type_not_accepted", 40, "accept_type"),
    "a hold": (replace(FIT, holds=(HeldThing("h", "pair p1", "wet", "A wet patch.", stamp(11), 51, "A"),)), "stops", "on_hold", 51, "release_hold"),
    "found contents": (replace(FIT, discrepancies=(OpenEnd("d", "Another half.", stamp(11), 52, "A"),)), "stops", "discrepancy", 52, "settle_discrepancy"),
    "a knock": (replace(FIT, rechecks=(OpenEnd("r", "leak_test", stamp(11), 53),)), "stops", "recheck", 53, "answer_recheck"),
    "a verification that failed": (due(last_verdict="fail", last_seq=31), "care", "verification_failed", 31, "record_heading_check"),
    "an overdue verification": (due(left_days=-3), "care", "verification_overdue", 30, "record_heading_check"),
    "overdue and never verified": (due(left_days=-3, last_seq=None, last_verdict=None), "care", "verification_overdue", 9, "record_heading_check"),
    "overdue where that stops": (bay(due=replace(DUE, left_days=-3), overdue_stops=True), "stops", "verification_overdue", 30, "record_heading_check"),
    "hours that ran out": (due(hours_left="-2"), "care", "verification_overdue", 30, "record_heading_check"),
    "a verification that is due soon": (due(left_days=12), "note", "verification_due", 30, "record_heading_check"),
    "nobody reviewed it": (due(reviewed=False), "note", "awaits_review", 30, "review_verification"),
    "a conditional pass": (due(last_verdict="conditional_pass", reviewed=False), "care", "verification_undecided", 30, "review_verification"),
    "it cannot be decided": (due(last_verdict="cannot_decide"), "care", "verification_undecided", 30, "record_heading_check"),
    "its number jumped": (due(jumped=True), "care", "never_like_this", 30, "record_sighting"),
    "no axis and sign check": (bay(axis_check=None), "stops", "axis_check_missing", 40, "record_axis_check"),
    "a wrong sign": (bay(axis_check=replace(CHECK, verdict="wrong")), "stops", "axis_check_wrong", 41, "record_axis_check"),
    "a check that cannot tell": (bay(axis_check=replace(CHECK, verdict="cannot_tell")), "stops", "axis_check_missing", 41, "record_axis_check"),
    "other firmware since the check": (bay(axis_check=replace(CHECK, outdated="Other firmware.")), "stops", "axis_check_missing", 41, "record_axis_check"),
    "nobody else looked": (bay(checked=SeatChecked("awaited")), "care", "second_check_awaited", 40, "check_seating"),
    "only who seated it looked": (bay(checked=SeatChecked("alone", replace(LOOK, how="alone"))), "care", "checked_alone", 46, "check_seating"),
    "a look that found something": (bay(checked=SeatChecked("faulty", replace(LOOK, found="A cable hangs."))), "stops", "seating_faulty", 46, "check_seating"),
    "no alignment": (bay(alignment=None), "care", "alignment_missing", 40, "carry_alignment"),
    "no alignment and no dowels": (bay(alignment=None, dowels=False), "care", "alignment_missing", 40, "record_alignment"),
    "a carried alignment": (aligned(found_by="carried", verdict="cannot_decide"), "care", "alignment_carried", 42, "confirm_alignment"),
    "an alignment outside": (aligned(verdict="outside"), "stops", "alignment_outside", 42, "confirm_alignment"),
    "an alignment nobody can decide": (aligned(verdict="cannot_decide"), "care", "alignment_undecided", 42, "confirm_alignment"),
    "a withdrawn alignment": (aligned(answer="withdrawn", answered_at=stamp(12), answer_seq=54), "care", "alignment_withdrawn", 54, "record_alignment"),
    "a mounting entered anew": (aligned(outdated="The mounting was entered anew."), "care", "alignment_outdated", 42, "record_alignment"),
    "an open housing": (housing(opened_at=stamp(12), opened_seq=55), "stops", "housing_open", 55, "close_housing"),
    "closed and not tested": (housing(closed_at=stamp(12), closed_seq=56), "stops", "leak_test_missing", 56, "record_leak_test"),
    "a leak": (housing(test_verdict="does_not"), "stops", "leak_test_failed", 44, "record_leak_test"),
}  # fmt: skip


def told(facts: VehicleFacts) -> list[tuple[str, str]]:
    """(severity, code) of every finding but the note that the leak test holds."""
    return [(one.severity, one.code) for one in findings(facts) if one.code != "leak_test_holds"]


def test_a_vehicle_that_is_fit_has_nothing_to_clear():
    assert told(FIT) == []
    assert [one.code for one in findings(FIT)] == ["leak_test_holds"]
    assert verdict(findings(FIT)) == "note"


@pytest.mark.parametrize("what", WRONG)
def test_one_thing_wrong_is_one_finding_with_its_evidence_and_the_act_that_clears_it(what: str):
    facts, severity, code, evidence, act = WRONG[what]
    assert told(facts) == [(severity, code)]
    found = next(one for one in findings(facts) if one.code == code)
    assert (found.seq, found.offer.act if found.offer else None) == (evidence, act)
    assert found.fact and found.told
    assert verdict(findings(facts)) == severity


def test_every_act_that_clears_or_accepts_a_finding_is_an_act_and_takes_the_fields_it_is_given():
    """What a button fills in must be a field of its act."""
    from registry.acts.catalogue import ACTS

    for facts, *_rest in WRONG.values():
        for one in findings(facts):
            for offer in filter(None, (one.offer, one.answer)):
                assert set(offer.fields) <= set(ACTS[offer.act].model_fields)


@pytest.mark.parametrize("what", [name for name, (_f, severity, *_r) in WRONG.items() if severity == "care"])
def test_what_is_care_may_be_accepted_and_what_stops_or_is_told_may_not(what: str):
    found = next(one for one in findings(WRONG[what][0]) if one.severity == "care")
    assert found.answer and found.answer.fields["evidence"] == found.seq
    assert not any(one.answer for one in findings(WRONG["a leak"][0]))


# any mixture of what can be wrong with parts that do not touch one another

_PARTS = {
    "holds": WRONG["a hold"][0].holds,
    "discrepancies": WRONG["found contents"][0].discrepancies,
    "rechecks": WRONG["a knock"][0].rechecks,
    "bays": WRONG["no alignment"][0].bays,
    "housings": WRONG["an open housing"][0].housings,
}


@given(st.sets(st.sampled_from(sorted(_PARTS))), st.sampled_from(sorted(_PARTS)))
def test_a_clearing_act_clears_exactly_its_finding(wrong: set[str], cleared: str):
    """Whatever else is wrong, what one act puts right takes away its own finding and no other."""
    facts = replace(FIT, **{name: _PARTS[name] for name in wrong | {cleared}})
    before, after = findings(facts), findings(replace(facts, **{cleared: getattr(FIT, cleared)}))
    own = {"holds": "on_hold", "discrepancies": "discrepancy", "rechecks": "recheck", "bays": "alignment_missing", "housings": "housing_open"}  # fmt: skip
    gone = [one for one in before if one not in after]
    assert [one.code for one in gone] == [own[cleared]]
    # A housing that is closed and tested says so.
    assert [one.code for one in after if one not in before] == (["leak_test_holds"] if cleared == "housings" else [])


@given(st.lists(st.sampled_from([name for name in WRONG if name not in ("retired", "no bay")]), max_size=6))
def test_findings_come_worst_first_and_the_verdict_is_the_worst(names: list[str]):
    bays = tuple(one for name in names for one in WRONG[name][0].bays)
    found = findings(replace(FIT, bays=bays or FIT.bays))
    graves = [SEVERITIES.index(one.severity) for one in found]
    assert graves == sorted(graves)
    assert verdict(found) == found[0].severity


def test_every_rule_is_named_once():
    assert len(set(RULES)) == len(RULES)


# a voyage

VOYAGE = Voyage("2026-05-15T00:00:00.000000Z", "2026-05-30T00:00:00.000000Z")


@pytest.mark.parametrize(
    ("due_on", "says"),
    [
        ("2026-05-14", "before the voyage begins"),
        ("2026-05-15", "on the voyage"),
        ("2026-05-28", "on the voyage"),
        # Due dates end at 24:00 UTC: the last day of the voyage is in date to its end.
        ("2026-05-29", None),
        ("2026-09-01", None),
    ],
)
def test_what_falls_due_before_the_end_of_a_voyage_needs_an_answer(due_on: str, says: str | None):
    left = {"2026-05-14": 0, "2026-05-15": 1, "2026-05-28": 14, "2026-05-29": 15}.get(due_on, 110)
    facts = replace(due(due_on=due_on, left_days=left), voyage=VOYAGE)
    found = [one for one in findings(facts) if one.code == "verification_due_on_voyage"]
    assert [one.severity for one in found] == (["care"] if says else [])
    if says:
        assert found[0].fact == f"Bay A: p1 falls due for verification {says}"
        assert found[0].told.endswith("The voyage ends on 29 May 2026.")
        assert "verification_due" not in [one.code for one in findings(facts)]


def test_where_overdue_stops_a_voyage_on_which_it_falls_due_is_stopped():
    facts = replace(bay(due=replace(DUE, due_on="2026-05-20", left_days=6), overdue_stops=True), voyage=VOYAGE)
    assert told(facts) == [("stops", "verification_due_on_voyage")]


def test_hours_that_may_run_out_are_told():
    facts = replace(due(hours_left="100"), voyage=VOYAGE)
    assert told(facts) == [("note", "hours_may_run_out")]
    assert told(replace(due(hours_left="360"), voyage=VOYAGE)) == []


READ = [
    ("", "", None),
    ("2026-05-15", "2026-05-29", "15 to 29 May 2026"),
    ("2026-05-15", "2026-05-15", "15 May 2026"),
    ("2026-04-30", "2026-05-02", "30 April to 2 May 2026"),
    ("2025-12-30", "2026-01-02", "30 December 2025 to 2 January 2026"),
    ("2026-05-15T06:00:00+02:00", "2026-05-29T00:00:00Z", "15 to 28 May 2026"),
]


@pytest.mark.parametrize(("since", "until", "said"), READ)
def test_a_voyage_is_read_from_days_and_instants(since: str, until: str, said: str | None):
    voyage = read_voyage(since, until)
    assert (voyage.say() if voyage else None) == said


@pytest.mark.parametrize(
    ("since", "until", "says"),
    [
        ("2026-05-15", "", "until when"),
        ("", "2026-05-15", "from when"),
        ("2026-05-15", "2026-05-14", "cannot end"),
        ("2026-02-30", "2026-05-14", "not a day that exists"),
        ("soon", "2026-05-14", "give it like 2026-05-04"),
        ("2026-05-15T06:00", "2026-05-16", "offset"),
    ],
)
def test_a_voyage_that_cannot_be_is_told_why(since: str, until: str, says: str):
    with pytest.raises(ValueError, match=says):
        read_voyage(since, until)


# a use

USES = [
    # yaw left, sigma, roll left, answered -> (severity, code) for multibeam: heading 0.1°, roll 0.05°
    (("0.02", "0.02"), ("0.00", "0.01"), [("note", "judged_for_use")]),
    (("0.25", "0.02"), ("0.00", "0.01"), [("stops", "alignment_outside")]),
    (("0.09", "0.02"), ("0.00", "0.01"), [("care", "alignment_undecided")]),
    ((None, "0.02"), ("0.00", "0.01"), [("care", "alignment_undecided")]),
    (("0.02", "0.02"), ("0.09", "0.01"), [("stops", "alignment_outside")]),
    (("0.02", "0.02"), None, [("care", "alignment_undecided")]),
]


@pytest.mark.parametrize(("yaw", "roll", "expected"), USES)
def test_a_use_is_judged_by_its_own_tolerances(yaw, roll, expected):
    left = (LeftAngle("yaw", *yaw), *((LeftAngle("roll", *roll),) if roll else ()))
    facts = bay(left=left)
    assert told(facts) == []
    found = findings(replace(facts, use="multibeam"))
    assert [(one.severity, one.code) for one in found if one.code != "leak_test_holds"] == expected
    words = " ".join(one.told for one in found)
    assert "For multibeam: " in words and "0.1°" in words and "0.05°" in words


def test_a_use_that_is_the_bays_own_changes_nothing():
    for facts, *_rest in WRONG.values():
        assert findings(replace(facts, use="transit")) == findings(facts)


def test_the_residual_of_a_check_run_says_more_of_the_heading_than_the_alignment():
    sure = aligned(answer="confirmed", answered_at=stamp(13), answer_seq=57, residual=LeftAngle("yaw", "0.01", "0.01"))
    sure = replace(sure, bays=(replace(sure.bays[0], left=(LeftAngle("yaw", "0.25", "0.02"),)),), use="sidescan")
    assert [(one.code, one.seq) for one in findings(sure)][-1] == ("leak_test_holds", 44)
    assert ("note", "judged_for_use") in told(sure)
    assert next(one.seq for one in findings(sure) if one.code == "judged_for_use") == 57


# acceptance

GIVEN = Acceptance("x", "A", "alignment_carried", None, 42, "Bay A: alignment carried over", "Piet", "first leg.", stamp(12), None, "2026-05-20", 70)  # fmt: skip
CARRIED = WRONG["a carried alignment"][0]


def accepted(facts: VehicleFacts, *given: Acceptance, **changes) -> str:
    return verdict(findings(replace(facts, acceptances=given, **changes)))


def test_what_was_accepted_may_deploy_by_name_and_says_by_whom():
    found = next(one for one in findings(replace(CARRIED, acceptances=(GIVEN,))) if one.severity == "care")
    assert found.acceptance_told == "Accepted by Piet until 20 May 2026: first leg."
    assert found.accepted == GIVEN and found.answer is None
    assert VERDICTS[accepted(CARRIED, GIVEN)] == "May deploy, accepted by name"


@pytest.mark.parametrize(
    "other",
    [{"bay": "B"}, {"finding": "alignment_missing"}, {"evidence": 41}, {"use": "multibeam"}, {"to_on": "2026-05-13"}],
)
def test_an_acceptance_of_something_else_or_of_another_entry_counts_for_nothing(other: dict):
    """Another entry under a finding is another fact: the acceptance has ended by itself."""
    assert accepted(CARRIED, replace(GIVEN, **other)) == "care"


def test_an_acceptance_that_is_over_is_told():
    found = next(
        one
        for one in findings(replace(CARRIED, acceptances=(replace(GIVEN, to_on="2026-05-13"),)))
        if one.code == "alignment_carried"
    )
    assert found.acceptance_told == "Accepted by Piet until 13 May 2026. That is over."
    assert found.answer


@pytest.mark.parametrize(
    ("from_on", "to_on", "voyage", "expected"),
    [
        (None, "2026-05-29", VOYAGE, "accepted"),
        (None, "2026-05-28", VOYAGE, "care"),
        ("2026-05-15", "2026-05-29", VOYAGE, "accepted"),
        ("2026-05-16", "2026-05-29", VOYAGE, "care"),
        ("2026-05-10", "2026-06-29", VOYAGE, "accepted"),
        # Given for a voyage that has not begun: today it counts for nothing.
        ("2026-05-15", "2026-05-29", None, "care"),
        ("2026-05-13", "2026-05-29", None, "accepted"),
    ],
)
def test_an_acceptance_counts_for_the_time_it_was_given_for(from_on, to_on, voyage, expected):
    given = replace(GIVEN, from_on=from_on, to_on=to_on)
    assert accepted(CARRIED, given, voyage=voyage) == expected


def test_one_acceptance_does_not_cover_what_else_is_care_and_nothing_covers_what_stops():
    two = replace(CARRIED, bays=(replace(CARRIED.bays[0], type_accepted=False),))
    assert accepted(two, GIVEN) == "care"
    outside = aligned(found_by="carried", verdict="outside")
    assert accepted(outside, replace(GIVEN, finding="alignment_outside")) == "stops"


def test_acceptances_of_a_later_instant_are_not_there_yet():
    assert accepted(CARRIED, GIVEN, at=stamp(12, 8)) == "care"
