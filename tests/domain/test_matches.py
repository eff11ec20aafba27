"""The verdict on halves: only a pairing in force makes two of them whole."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.matches import CODES, VERDICTS, Half, Match, Pairing, match, pairing_of, reasons_against, sort_heap

EARLY, MID, LATE = "2026-01-01T00:00:00.000000Z", "2026-03-01T00:00:00.000000Z", "2026-05-01T00:00:00.000000Z"


def half(id_: str) -> Half:
    return Half(id_, f"K{id_.upper():0>7}", "sensor" if id_[0] == "s" else "electronics", "t", "Ardlune Reed")


def pairing(name: str, sensor: str, electronics: str, since: str = EARLY, until: str | None = None) -> Pairing:
    return Pairing(name, name, sensor, electronics, since, until, "replaced" if until else None)


P1, P2 = pairing("P1", "s1", "e1"), pairing("P2", "s2", "e2")
OLD, NEW = pairing("OLD", "s1", "e1", EARLY, MID), pairing("NEW", "s1", "e2", MID)
MATCHES = {
    "whole": ("s1", "e1", [P1, P2], LATE, "whole"),
    "whole, the other way round": ("e1", "s1", [P1, P2], LATE, "whole"),
    "of two pairs": ("s1", "e2", [P1, P2], LATE, "mixed"),
    "of a pair and of none": ("s1", "e9", [P1], LATE, "mixed"),
    "of none": ("s8", "e9", [P1], LATE, "alone"),
    "two sensors": ("s1", "s2", [P1, P2], LATE, "same_kind"),
    "two electronics": ("e1", "e2", [P1, P2], LATE, "same_kind"),
    "one alone": ("s1", None, [P1], LATE, "alone"),
    "one twice": ("s1", "s1", [P1], LATE, "alone"),
    "before they were a pair": ("s1", "e1", [pairing("P", "s1", "e1", MID)], EARLY, "alone"),
    "as the pair was made": ("s1", "e1", [pairing("P", "s1", "e1", MID)], MID, "whole"),
    "once a pair": ("s1", "e1", [OLD, NEW], LATE, "former"),
    "once a pair, at that time": ("s1", "e1", [OLD, NEW], EARLY, "whole"),
    "as the pair ended": ("s1", "e1", [OLD, NEW], MID, "former"),
    "the new partner before its time": ("s1", "e2", [OLD, NEW], EARLY, "mixed"),
    "the new partner": ("s1", "e2", [OLD, NEW], LATE, "whole"),
}


@pytest.mark.parametrize("name", MATCHES)
def test_two_halves_are(name: str):
    one, other, pairings, at, verdict = MATCHES[name]
    found = match(half(one), half(other) if other else None, pairings, at)
    assert found.verdict == verdict
    assert (found.pairing is not None) == (
        verdict in ("whole", "former") or (verdict == "alone" and other in (None, one))
    )


def test_the_sensor_half_is_named_first():
    assert [one.id for one in match(half("e1"), half("s1"), [P1], LATE).halves] == ["s1", "e1"]


def test_a_mixed_match_names_both_right_partners():
    assert match(half("s1"), half("e2"), [P1, P2], LATE).partners == ("e1", "s2")


def test_a_pair_remade_is_whole_again():
    again = [pairing("A", "s1", "e1", EARLY, MID), pairing("B", "s1", "e1", MID)]
    assert match(half("s1"), half("e1"), again, LATE).pairing.name == "B"


def test_a_stay_lies_in_a_pairing_to_its_very_end():
    assert OLD.holds(EARLY, MID)
    assert not OLD.holds(EARLY, LATE)
    assert not OLD.holds(MID)
    assert NEW.holds(MID, LATE)


IDS = [f"{kind}{number}" for number in range(6) for kind in "se"]


@given(st.lists(st.sampled_from(IDS), max_size=20), st.permutations(range(6)))
def test_a_heap_is_sorted_into_pairs_and_halves_and_nothing_is_lost(scanned: list[str], partners: list[int]):
    """Whatever the order of the scans, and however often one is scanned."""
    pairings = [pairing(f"P{number}", f"s{number}", f"e{partner}") for number, partner in enumerate(partners)]
    heap = sort_heap([half(id_) for id_ in scanned], pairings, LATE)
    whole = {one.id for found in heap.whole for one in found.halves}
    apart = {found.halves[0].id for found in heap.apart}
    assert whole | apart == set(scanned)
    assert not whole & apart
    assert all(match(*found.halves, pairings, LATE).verdict == "whole" for found in heap.whole)
    assert not any(pairing_of(id_, pairings, LATE).partner(id_) in scanned for id_ in apart)


FIELDS = ("sensor", "electronics")
TOLD = {
    "mixed": (
        match(half("s1"), half("e2"), [P1, P2], LATE),
        "mixed_pair",
        "electronics",
        "its partner is electronics half K000\u202f00E1, at the shed",
    ),
    "same_kind": (match(half("s1"), half("s2"), [P1, P2], LATE), "same_kind", "electronics", "Both are sensor halves"),
    "twice": (match(half("e1"), half("e1"), [P1], LATE), "same_kind", "sensor", "Both scans are the same unit"),
    "former": (
        match(half("s1"), half("e1"), [OLD, NEW], LATE),
        "former_pair",
        "sensor",
        "They were a pair once, OLD. It ended on 1 March 2026: replaced.",
    ),
    "alone": (match(half("s8"), half("e9"), [P1], LATE), "half_alone", "sensor", "No matched-pair statement joins"),
}


@pytest.mark.parametrize("name", TOLD)
def test_why_they_may_not_go_in_together(name: str):
    found, code, field, told = TOLD[name]
    known = {id_: half(id_) for id_ in IDS}
    reasons = reasons_against(found, {"e1": "at the shed", "s2": "in Teasel, bay A"}, known, FIELDS)
    assert [(reason.code, reason.field) for reason in reasons] == [(code, field)]
    assert told in reasons[0].message
    assert reasons[0].next


def test_a_whole_pair_has_nothing_against_it():
    assert reasons_against(Match("whole", (half("s1"), half("e1")), P1), {}, {}, FIELDS) == []


def test_every_verdict_has_a_code_or_is_no_refusal():
    assert set(VERDICTS) == {*CODES, "whole", "unknown", "ambiguous"}
