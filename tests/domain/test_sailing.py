"""What stands against sailing: told, stops first; words are asked for only of a start that is told as it happens."""

from registry.domain.findings import Acceptance, Finding
from registry.domain.sailing import against, reasons_to_say_why, say_against, voyage_left
from registry.domain.voyages import Voyage

NOW = "2026-05-10T09:00:00.000000Z"
EMPTY = Finding("stops", "bay_empty", "Bay A is empty", "Install a pair.")
LATE = Finding("care", "due_soon", "Due in 3 days", "Verify it.")
TOLD = Acceptance("a", None, "due_soon", None, 3, "Due", "Rosa", "short trip", NOW, None, "2026-06-01", 4)
ACCEPTED = Finding("care", "due_soon", "Due", "", accepted=TOLD)
FOUND = [LATE, ACCEPTED, Finding("note", "no_sheet", "No sheet", ""), EMPTY]


def test_stops_come_first_and_neither_notes_nor_what_was_accepted_stand_against_it():
    assert against(FOUND) == [EMPTY, LATE]
    assert say_against(FOUND) == ["Stops: Bay A is empty. Install a pair.", "Care: Due in 3 days. Verify it."]


def test_words_are_asked_for_when_something_stops_what_sails_now():
    (reason,) = reasons_to_say_why(FOUND, None, NOW, NOW)
    assert (reason.code, reason.field) == ("needs_reason", "all_the_same")
    assert reason.message == "This stops it: Bay A is empty."
    assert reasons_to_say_why(FOUND, "A tow test.", NOW, NOW) == []
    assert reasons_to_say_why([LATE], None, NOW, NOW) == []


def test_nobody_is_asked_for_words_of_a_start_that_is_told_afterwards():
    assert reasons_to_say_why(FOUND, None, "2026-05-10T07:59:00.000000Z", NOW) == []


def test_a_plan_that_is_over_leaves_no_voyage_to_ask_about():
    assert voyage_left(NOW, "2026-05-12T09:00:00.000000Z") == Voyage(NOW, "2026-05-12T09:00:00.000000Z")
    assert voyage_left(NOW, "2026-05-10T08:00:00.000000Z") is None
    assert voyage_left(NOW, None) is None
