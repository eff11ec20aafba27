"""The sentence a mission heads with about alignment: the worst of what it rode on, and never more than that says."""

from registry.domain.alignments import Alignment
from registry.domain.mission_alignments import alignment_of_mission

ALL = "Every pair was aligned for all of its share."


def aligned(verdict: str, found_by: str = "entered", answer: str | None = None) -> Alignment:
    return Alignment("a", found_by, verdict, "", "", "2026-05-10T09:00:00.000000Z", 3, answer)


def said(*ridden, unaligned_h: float = 0.0) -> str:
    return alignment_of_mission(unaligned_h, [(f"p{number}", one) for number, one in enumerate(ridden)]).said


def test_a_pair_whose_alignment_cannot_decide_keeps_the_mission_from_saying_all_is_aligned():
    assert said(aligned("within")) == ALL
    unsure = "The alignment of p1 cannot decide whether it is within its tolerance."
    assert said(aligned("within"), aligned("cannot_decide")) == unsure
    assert said(aligned("within"), aligned("cannot_decide", "carried")) == unsure
    assert alignment_of_mission(0, [("p", aligned("cannot_decide"))]).care


def test_the_worst_is_told_and_a_residual_that_confirmed_it_settles_it():
    assert said(aligned("outside"), aligned("cannot_decide")) == "The alignment of p0 is outside its tolerance."
    assert said(aligned("outside"), aligned("within", answer="withdrawn")) == "The alignment of p1 was withdrawn."
    assert said(aligned("cannot_decide", "carried", "confirmed")) == ALL


def test_hours_without_an_alignment_are_told_first():
    told = said(aligned("cannot_decide"), unaligned_h=6)
    assert told.startswith("6.0 hours of it had no alignment. The alignment of p0 cannot decide")
    assert said() == "No pair rode on it."
