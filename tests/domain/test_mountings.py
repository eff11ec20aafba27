"""How a bay is mounted: the 24 orientations, signs in words, and what is asked about."""

import pytest

from registry.domain.mountings import (
    ORIENTATIONS,
    reasons_of_metres,
    remarks_of_arm,
    remarks_of_plate,
    say_angle,
    say_length,
    say_signed,
    say_thousandths,
)
from registry.inertial import mountings


def test_the_orientations_are_the_24_of_the_computations_in_their_words():
    assert {" ".join(one.axes): one.words for one in mountings()} == ORIENTATIONS
    assert len(ORIENTATIONS) == 24
    assert next(iter(ORIENTATIONS)) == "forward starboard down"


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (say_angle("roll", "0.08"), "0.08° starboard down"),
        (say_angle("roll", "-0.08"), "0.08° port down"),
        (say_angle("pitch", "-0.110"), "0.11° bow down"),
        (say_angle("yaw", "0.3512"), "0.351° to starboard"),
        (say_angle("yaw", "-0.0001"), "0°"),
        (say_signed("0.35"), "+0.35°"),
        (say_signed("-10"), "−10°"),
        (say_signed("-0.0002"), "0°"),
        (say_length("forward", "-0.62"), "0.62 m aft"),
        (say_length("down", "0"), "0 m"),
        (say_thousandths("0.0755"), "0.076"),
    ],
)
def test_signs_are_said_in_words(said, words):
    assert said == words


def test_an_angle_spelled_like_a_length_of_the_bay_is_taken_for_metres():
    lengths = {"the bay’s distance from the bow": "1.4", "the lever arm to the DVL, down": "0.31"}
    (reason,) = reasons_of_metres({"yaw_deg": "0.31", "roll_deg": "0.08"}, lengths)
    assert (reason.code, reason.field) == ("wrong_form", "yaw_deg")
    assert reason.message == "0.31 is also the lever arm to the DVL, down, in metres. This is an angle in degrees."
    assert reasons_of_metres({"yaw_deg": "0.310"}, lengths) == []
    assert reasons_of_metres({"yaw_deg": "0"}, {"an arm": "0"}) == []


def test_placeholders_are_asked_about():
    assert remarks_of_plate(["0", "0.00", "0"])
    assert not remarks_of_plate(["0", "0.01", "0"])
    assert "zero" in remarks_of_arm(["0", "0", "0"])[0]
    assert "round" in remarks_of_arm(["-1.5", "0", "2"])[0]
    assert not remarks_of_arm(["-1.5", "0.04", "2"])
