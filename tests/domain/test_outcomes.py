"""What became of a removal: a fault that was found is in a half, and nothing is known of it before it came out."""

import pytest

from registry.domain.outcomes import reasons_not_to_state, say_outcome

OUT, LATER = "2026-05-10T09:00:00.000000Z", "2026-05-11T09:00:00.000000Z"


@pytest.mark.parametrize(
    ("outcome", "fault_in", "code"),
    [
        ("no_fault_found", "neither", None),
        ("fault_found", "sensor", None),
        ("fault_found", "neither", "wrong_form"),
        ("fault_elsewhere", "both", "wrong_form"),
    ],
)
def test_a_fault_that_was_found_is_in_a_half(outcome, fault_in, code):
    assert [r.code for r in reasons_not_to_state("p1", OUT, outcome, fault_in, LATER)] == ([code] if code else [])


def test_nothing_is_known_before_it_came_out():
    assert [r.code for r in reasons_not_to_state("p1", OUT, "no_fault_found", "neither", OUT)] == ["overlaps_history"]


def test_an_outcome_is_said_with_the_half():
    assert say_outcome("fault_found", "sensor") == "Fault found, in the sensor half"
    assert say_outcome("no_fault_found", "neither") == "No fault found"
