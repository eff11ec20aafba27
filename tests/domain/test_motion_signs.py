"""From recorded motions to signs: what counts, and what is too small, lost in scatter, or ambiguous."""

import pytest

from registry.domain.motion_signs import say_signs, signs_of

STILL = {"seconds": "8.0", "roll_deg": "0.0", "roll_sigma_deg": "0.02", "pitch_deg": "0.0", "pitch_sigma_deg": "0.02", "spread_deg": "0.1", "turned_deg": "0.0", "turned_sigma_deg": "0.1", "back_deg": "0.1"}  # fmt: skip
GOOD = {
    "level": STILL,
    "bow_down": STILL | {"pitch_deg": "-9.0"},
    "roll_right": STILL | {"roll_deg": "8.0"},
    "turn": STILL | {"turned_deg": "70.0"},
}


def shown(phase: str, **told: str) -> dict:
    return GOOD | {phase: GOOD[phase] | told}


def test_clear_motions_are_the_signs_a_person_would_have_typed():
    signs, reasons = signs_of(GOOD)
    assert reasons == []
    assert signs == {"level": "level", "bow_down": "pitch_down", "roll_right": "roll_right", "turn": "rises", "tilt_deg": "8.0"}  # fmt: skip
    assert say_signs(GOOD).startswith("From a recording: bow down: pitch −9.0° ± 0.06°; roll right: roll +8.0° ± 0.06°")


@pytest.mark.parametrize(
    ("phase", "told", "sign"),
    [
        ("bow_down", {"pitch_deg": "9"}, "pitch_up"),
        ("bow_down", {"pitch_deg": "0", "roll_deg": "9"}, "roll_right"),
        ("roll_right", {"roll_deg": "-8"}, "roll_left"),
        ("turn", {"turned_deg": "-70"}, "falls"),
    ],
)
def test_wrong_signs_are_read_as_they_are(phase: str, told: dict, sign: str):
    signs, reasons = signs_of(shown(phase, **told))
    assert (signs[phase], reasons) == (sign, [])


def test_a_unit_upside_down_is_seen_and_its_roll_counted_across_180():
    level = {"roll_deg": "179.0"}
    signs, reasons = signs_of(
        {name: told | level for name, told in GOOD.items()} | {"roll_right": STILL | {"roll_deg": "-172.0"}}
    )
    assert (signs["level"], signs["roll_right"], reasons) == ("upside_down", "roll_right", [])


@pytest.mark.parametrize(
    ("phase", "told", "words"),
    [
        ("bow_down", {"pitch_deg": "-4.9"}, "a change of 4.9°; 5° or more"),
        ("bow_down", {"pitch_deg": "-65"}, "no tilt on deck"),
        ("bow_down", {"pitch_sigma_deg": "2.5"}, "lost in its scatter"),
        ("roll_right", {"spread_deg": "3"}, "wavered by 3.0°"),
        ("roll_right", {"pitch_deg": "-5"}, "roll +8.0° and pitch −5.0° at once"),
        ("turn", {"turned_deg": "14"}, "the heading went by 14.0°"),
        ("turn", {"back_deg": "30"}, "30.0° back on the way"),
        ("level", {"roll_deg": "40"}, "near no square attitude"),
    ],
)
def test_what_tells_nothing_is_refused_with_what_to_do(phase: str, told: dict, words: str):
    _signs, reasons = signs_of(shown(phase, **told))
    assert any(words in one.message and one.next and one.field == "files" for one in reasons), reasons


def test_a_motion_that_was_not_recorded_is_named():
    _signs, (reason,) = signs_of({name: told for name, told in GOOD.items() if name != "turn"})
    assert reason.message == "The recording lacks turn clockwise."
