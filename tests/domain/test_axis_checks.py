"""What an axis and sign check, or its absence, says of a vehicle."""

import pytest

from registry.domain.axis_checks import AxisCheck, finding_of_check, not_told

IN = "2026-05-10T09:00:00.000000Z"


def found(verdict: str | None):
    check = AxisCheck("id", verdict, "Told.", "Do.", "2026-05-10T10:00:00.000000Z", 7) if verdict else None
    return finding_of_check(check, "A", "bay", "QH-1", IN)


@pytest.mark.parametrize(
    ("verdict", "severity", "code"),
    [
        (None, "stops", "axis_check_missing"),
        ("wrong", "stops", "axis_check_wrong"),
        ("cannot_tell", "stops", "axis_check_missing"),
    ],
)
def test_whatever_is_not_right_stops_and_offers_the_check(verdict, severity, code):
    finding = found(verdict)
    assert (finding.severity, finding.code, finding.bay) == (severity, code, "A")
    assert (finding.offer.act, finding.offer.fields) == ("record_axis_check", {"bay": "bay"})
    assert finding.seq == (7 if verdict else None)


def test_right_signs_say_nothing():
    assert found("right") is None


def test_a_standing_test_is_said_to_prove_nothing():
    assert "A standing test does not prove orientation." in found(None).told


@pytest.mark.parametrize(
    ("shown", "told", "do"),
    [
        (("not_done", "not_done", "not_done"), "Not done yet: bow down, roll right, turn clockwise.", "Make the rest"),
        (("pitch_down", "not_done", "rises"), "Not done yet: roll right.", "by 5° or more"),
        (("pitch_down", "roll_right", "nothing"), "Nothing moved on the unit at turn clockwise.", "has settled"),
    ],
)
def test_what_was_not_done_or_moved_nothing_cannot_be_told(shown, told, do):
    found = not_told(*shown)
    assert found[0].startswith(told)
    assert do in found[1]
    assert not_told("pitch_up", "roll_left", "falls") is None


def test_what_happened_since_a_right_check_stops_until_it_is_repeated():
    check = AxisCheck("id", "right", "Told.", "Do.", IN, 7, "Other firmware was read on 11 May 2026, 09:00 UTC.")
    finding = finding_of_check(check, "A", "bay", "QH-1", IN)
    assert (finding.severity, finding.fact) == ("stops", "Bay A: axis and sign check no longer counts")
    assert finding.told.startswith("Other firmware was read on 11 May 2026, 09:00 UTC. The check of 10 May 2026")
