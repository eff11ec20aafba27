"""The second person’s check: who may give it, when it answers, what stands while it does not. Common practice, no source;
that nobody checks their own work is the separation of duties every quality system asks for."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.second_checks import (
    ALL,
    STATES,
    SeatCheck,
    SeatChecked,
    Seated,
    count_states,
    finding_of_seat,
    how_checked,
    reasons_not_to_count,
    say_counts,
)


def at(clock: str) -> str:
    return f"2026-05-10T{clock}:00.000000Z"


#: Ida seated it at nine and signed for it.
IDAS, NOBODYS = frozenset({"ida"}), frozenset[str]()
SEATED = Seated("ida", IDAS, at("09:00"))
THERE = SeatCheck("c1", "present", "yusuf", "Yusuf", "yusuf", at("09:05"), 41)
ASHORE = replace(THERE, id="c2", how="ashore", photos=2, seq=43)
ALONE = SeatCheck("c3", "alone", "ida", "Ida", "ida", at("09:30"), 42, photos=1, rest_min="30")
FOUND = replace(THERE, id="c4", seq=40, looked_at=(), found="A dowel is proud.")


def codes(check: SeatCheck, seated: Seated = SEATED, since: str = SEATED.at) -> list[tuple[str, str | None]]:
    return [(reason.code, reason.field) for reason in reasons_not_to_count(check, seated, since)]


@pytest.mark.parametrize("check", [THERE, ASHORE, ALONE, FOUND])
def test_what_is_in_order_counts(check: SeatCheck):
    assert codes(check) == []


@pytest.mark.parametrize(
    ("check", "seated", "reasons"),
    [
        (replace(THERE, person="ida", signed_by="ida"), SEATED, [("own_work", "how")]),
        (replace(ASHORE, person="ida", signed_by="ida"), SEATED, [("own_work", "how")]),
        # Oda entered the seating for Ida: hers is not another name on it.
        (replace(THERE, person="oda", signed_by="oda"), replace(SEATED, hands=IDAS | {"oda"}), [("own_work", "how")]),
        # Who seated it signs that another looked.
        (replace(THERE, signed_by="ida"), SEATED, [("own_work", "done_by")]),
        (replace(THERE, untrained="No training of Yusuf."), SEATED, [("needs_second_person", "how")]),
        (replace(ASHORE, photos=0), SEATED, [("photo_missing", "files")]),
        (replace(ALONE, photos=0), SEATED, [("photo_missing", "files")]),
        (replace(ALONE, person="yusuf"), SEATED, [("not_own_work", "how")]),
        (replace(ALONE, at=at("09:29")), SEATED, [("too_soon", "happened_at")]),
        (replace(THERE, looked_at=ALL[:3]), SEATED, [("missing_field", "looked_at")]),
        # Carried over: who seated it is not on record, so nobody can say that they look again.
        (ALONE, Seated(None, NOBODYS, SEATED.at), [("not_own_work", "how")]),
        (replace(THERE, person="ida", signed_by="ida"), Seated(None, NOBODYS, SEATED.at), []),
        # Own training was asked for when it was seated.
        (replace(ALONE, untrained="No training of Ida."), SEATED, []),
        # What is wrong is told at once: of a part, without a photo, without a rest.
        (replace(ALONE, at=at("09:01"), photos=0, looked_at=(), found="A cable hangs."), SEATED, []),
    ],
)
def test_why_a_look_does_not_answer(check: SeatCheck, seated: Seated, reasons: list[tuple[str, str | None]]):
    assert codes(check, seated) == reasons


def test_every_reason_comes_at_once():
    bad = replace(ALONE, person="yusuf", photos=0, at=at("09:01"), looked_at=())
    assert [code for code, _field in codes(bad)] == ["not_own_work", "photo_missing", "too_soon", "missing_field"]


def state(*checks: SeatCheck, seated: Seated = SEATED) -> tuple[str, str | None]:
    one = how_checked(seated, checks)
    return one.state, one.one.id if one.one else None


def test_a_seat_stands_by_the_looks_at_it():
    assert state() == ("awaited", None)
    assert state(THERE) == ("present", "c1")
    assert state(ASHORE) == ("ashore", "c2")
    assert state(ALONE) == ("alone", "c3")
    # Another person's look clears an own one, whichever came first.
    assert state(ALONE, replace(THERE, at=at("10:00"))) == state(ALONE, THERE) == ("present", "c1")


def test_what_was_found_wrong_stands_until_a_look_after_it():
    assert state(FOUND) == ("faulty", "c4")
    assert state(THERE, replace(FOUND, at=at("09:06"))) == ("faulty", "c4")
    assert state(FOUND, THERE) == ("present", "c1")
    # Who mended it looks again after a rest since then, not since the seating.
    assert state(replace(FOUND, at=at("09:20")), ALONE) == ("faulty", "c4")
    assert state(replace(FOUND, at=at("09:20")), replace(ALONE, at=at("09:50"))) == ("alone", "c3")


def test_a_fault_counts_whoever_saw_it():
    assert state(replace(FOUND, person="ida", signed_by="ida")) == ("faulty", "c4")


def test_what_is_amended_later_is_judged_as_it_stands_then():
    """The person or the instant of the seating was told wrong: a look that answered may not answer any more."""
    amended = how_checked(Seated("yusuf", IDAS | {"yusuf"}, SEATED.at), [THERE])
    assert amended.state == "awaited"
    assert "does not count. Who seated the pair" in amended.why_not
    assert state(ALONE, seated=Seated("ida", IDAS, at("09:10"))) == ("awaited", None)
    late = how_checked(Seated("ida", IDAS, at("09:20")), [THERE])
    assert (late.state, late.why_not) == (
        "awaited", "The look of 10 May 2026, 09:05 UTC does not count. It was before the pair went in.",
    )  # fmt: skip


def test_a_fault_stands_whenever_the_pair_is_said_to_have_gone_in():
    assert state(FOUND, seated=Seated("ida", IDAS, at("09:30"))) == ("faulty", "c4")


@given(st.permutations([FOUND, THERE, ASHORE, ALONE]))
def test_the_order_of_arrival_does_not_matter(checks: list[SeatCheck]):
    assert how_checked(SEATED, checks) == how_checked(SEATED, [FOUND, THERE, ASHORE, ALONE])


FINDINGS = [
    (SeatChecked("awaited"), ("care", "second_check_awaited", 40)),
    (SeatChecked("alone", ALONE), ("care", "checked_alone", 42)),
    (SeatChecked("faulty", FOUND), ("stops", "seating_faulty", 40)),
    (SeatChecked("present", THERE), None),
    (SeatChecked("ashore", ASHORE), None),
    (None, None),
]


@pytest.mark.parametrize(("one", "expected"), FINDINGS)
def test_what_it_says_against_deploying(one: SeatChecked | None, expected: tuple[str, str, int] | None):
    found = finding_of_seat(one, "A", "bay", "p1", SEATED.at, 40)
    assert (found and (found.severity, found.code, found.seq)) == expected
    assert found is None or found.offer.act == "check_seating"


def test_an_own_look_is_told_with_who_when_and_how_many_photos():
    found = finding_of_seat(SeatChecked("alone", ALONE), "A", "bay", "p1", SEATED.at, 40)
    assert found.told == "Ida, 10 May 2026, 09:30 UTC, 1 photo. Another person’s look clears it."


def test_the_counts_say_what_there_is_and_leave_out_what_is_none():
    counts = count_states([SeatChecked("present", THERE), SeatChecked("present", THERE), SeatChecked("alone", ALONE), SeatChecked("awaited")])  # fmt: skip
    assert counts == {"present": 2, "ashore": 0, "alone": 1, "faulty": 0, "awaited": 1}
    assert list(counts) == list(STATES)
    assert say_counts(counts) == "Of 4 seated pairs, checked: 2 by another person, there with it; 1 by who seated it alone; 1 by nobody."  # fmt: skip
    assert say_counts(count_states([])) == "No pair is seated there."
