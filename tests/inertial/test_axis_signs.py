"""Axis signs: every wrong entry is named by what the unit would show under it. Shown attitudes come from scipy's rotations."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from registry.inertial import CannotCompute, ShownMotions, check_signs, mounting_from_words, mountings

TILT = 10.0


def attitude(roll: float = 0.0, pitch: float = 0.0, yaw: float = 0.0) -> Rotation:
    # Capital letters: intrinsic, yaw then pitch then roll (scipy.spatial.transform, Rotation.from_euler).
    return Rotation.from_euler("ZYX", [yaw, pitch, roll], degrees=True)


def would_show(entered, true) -> ShownMotions:
    """What a unit mounted as `true` gives out when it was told `entered`."""
    told, sits = (np.array(each.matrix, dtype=float) for each in (entered, true))

    def shown(vehicle: Rotation) -> tuple[float, float, float]:
        yaw, pitch, roll = Rotation.from_matrix(vehicle.as_matrix() @ sits @ told.T).as_euler("ZYX", degrees=True)
        return roll, pitch, yaw

    level, down, right, turned = (shown(attitude(*each)) for each in ((0, 0), (0, -TILT), (TILT, 0), (0, 0, 5)))
    rises = (turned[2] - level[2] + 180) % 360 - 180 > 0
    moved = [(each[0] - level[0], each[1] - level[1]) for each in (down, right)]
    return ShownMotions((level[0], level[1]), moved[0], moved[1], rises)


@pytest.mark.parametrize("entered", mountings(), ids=lambda one: one.words)
def test_a_wrong_entry_is_named_by_the_one_that_would_explain_it(entered):
    told = 0
    for true in mountings():
        turn = Rotation.from_matrix(np.array(true.matrix) @ np.array(entered.matrix).T)
        if abs(turn.as_matrix()[2, 0]) > 0.5:
            continue  # shown standing on its nose: roll and heading cannot be told apart there
        found = check_signs(would_show(entered, true), entered, TILT)
        told += 1
        assert found.fitted == true, (entered.words, true.words, found.verdict)
        assert found.status == ("confirmed" if true == entered else "wrong entry")
    assert told == 16


def test_a_right_entry_is_all_there_is_to_say():
    entered = mounting_from_words("starboard", "aft", "down")
    found = check_signs(ShownMotions((0, 0), (0, -TILT), (TILT, 0), True), entered, TILT)
    assert (found.status, found.next) == ("confirmed", "Nothing to change.")
    assert found.method == "axis-signs 2026-1"


@pytest.mark.parametrize(
    ("shown", "told"),
    [
        # one sign alone: no turn of a right-handed set does that
        (ShownMotions((0, 0), (0, TILT), (TILT, 0), True), "an axis is reversed"),
        (ShownMotions((0, 0), (0, -TILT), (-TILT, 0), True), "an axis is reversed"),
        (ShownMotions((0, 0), (0, -TILT), (TILT, 0), False), "The heading fell in a turn clockwise"),
    ],
)
def test_signs_that_no_mounting_gives_are_said_to_be_so(shown, told):
    found = check_signs(shown, mounting_from_words("forward", "starboard", "down"), TILT)
    assert (found.status, found.fitted) == ("wrong entry", None)
    assert told in found.verdict


def test_a_tilt_of_nothing_is_refused():
    with pytest.raises(CannotCompute, match="must be over 0"):
        check_signs(ShownMotions((0, 0), (0, 0), (0, 0), True), mountings()[0], 0)
