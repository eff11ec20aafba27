"""The mounting entry against poses: confirmed, wrong, or open, and what is refused."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.inertial import CannotCompute, Entry, check_mounting, check_turn, mounting_from_words, mountings, pose
from registry.inertial.mounting import COVERING_RADIUS_DEG, fine_matrix, nearest_mounting, words_of_axes
from registry.inertial.mounting_check import Pose, poses_separate_m_s2, residuals_m_s2, separation_m_s2
from registry.inertial.rotations import angle_between_deg, matrix_from_ypr

G = 9.80665
MOUNTINGS = st.sampled_from(mountings())


def felt(mounted, pitch=0.0, roll=0.0, noise=(0.0, 0.0, 0.0), **more):
    """The pose of a unit that really sits so."""
    vehicle = matrix_from_ypr(0, pitch, roll).T @ (0, 0, -G)
    unit = np.array(mounted.matrix, dtype=float).T @ vehicle + noise
    return pose(unit, pitch, roll, **more)


def test_the_words_name_where_each_axis_points():
    assert mounting_from_words("right", "aft", "down").words == "x to starboard, y aft, z down"
    assert mounting_from_words("To Port", "forward", "down").words == "x to port, y forward, z down"


@given(MOUNTINGS, st.sampled_from([5, 7, 10, 25, -6]), st.booleans(), st.tuples(*[st.floats(-0.11, 0.11)] * 3))
def test_a_level_and_a_tilted_pose_find_the_true_mounting_of_all_24(true, tilt, rolled, noise):
    tilted = felt(true, 0, tilt, noise) if rolled else felt(true, tilt, 0, noise)
    found = check_mounting([felt(true), tilted], true)
    assert found.status is Entry.CONFIRMED and found.fitted == true
    assert found.runner_up != true and found.runner_up_residual_m_s2 > found.threshold_m_s2
    assert found.verdict == f"The unit sits {true.words}, as entered."


@given(MOUNTINGS, MOUNTINGS)
def test_any_other_entry_is_called_wrong_and_the_true_one_named(true, entered):
    found = check_mounting([felt(true), felt(true, 8)], entered)
    assert (found.status is Entry.CONFIRMED) == (entered == true)
    if entered != true:
        assert found.status is Entry.WRONG_ENTRY
        assert found.verdict == f"Entered: {entered.words}. Found: {true.words}."
        assert found.turn_from_entry_deg >= 90


def test_a_level_pose_alone_leaves_four_and_says_which_tilt_to_make():
    true = mounting_from_words("starboard", "aft", "down")
    found = check_mounting([felt(true)], true)
    assert found.status is Entry.CANNOT_TELL and found.fitted is None and len(found.candidates) == 4
    assert found.next == "Make one pitch or roll of at least 5 deg, bow-up or starboard-down, and record 60 s."


def test_a_level_pose_alone_still_rules_out_an_upside_down_entry():
    found = check_mounting(
        [felt(mounting_from_words("forward", "right", "down"))], mounting_from_words("forward", "left", "up")
    )
    assert found.status is Entry.WRONG_ENTRY and found.fitted is None
    assert "rules out" in found.verdict and "5 deg" in found.next


def test_a_tilt_that_two_mountings_share_is_not_enough():
    # At 45 degrees of pitch, a half turn about the line of gravity leaves the reading as it is.
    true = mounting_from_words("forward", "right", "down")
    assert poses_separate_m_s2([felt(true, 45)]) < 1e-9
    assert check_mounting([felt(true, 45)], true).status is Entry.CANNOT_TELL
    assert check_mounting([felt(true, 45), felt(true)], true).status is Entry.CONFIRMED


def test_one_tilt_separates_neighbours_by_root_two_g_sin_t():
    true = mounting_from_words("forward", "right", "down")
    for tilt in (5, 10, 20):
        assert poses_separate_m_s2([felt(true, tilt)]) == pytest.approx(separation_m_s2(tilt, 90))


def test_acceleration_instead_of_specific_force_is_named_when_nothing_fits():
    true = mounting_from_words("forward", "right", "down")
    poses = [felt(true), felt(true, 8), felt(true, 0, 8)]
    upside = [Pose(tuple(-f for f in p.force_unit_m_s2), p.force_vehicle_m_s2) for p in poses]
    with pytest.raises(CannotCompute, match="acceleration") as refused:
        check_mounting(upside, true)
    assert "(0, 0, -9.8)" in refused.value.next


def test_acceleration_that_looks_like_another_mounting_is_pointed_out_beside_the_wrong_entry():
    true = mounting_from_words("forward", "right", "down")
    poses = [felt(true), felt(true, 8)]
    upside = [Pose(tuple(-f for f in p.force_unit_m_s2), p.force_vehicle_m_s2) for p in poses]
    found = check_mounting(upside, true)
    assert found.status is Entry.WRONG_ENTRY and "with all signs reversed, the entry fits" in found.next


@pytest.mark.parametrize(
    ("poses", "sentence"),
    [
        ([], "No pose"),
        ([pose((0, 0, -G), 0, 0, spread_m_s2=0.3)], "moved"),
        ([pose((0, 0, -G), 0, 0, spread_m_s2=1.0, moving_deck=True, seconds=60)], "120 s"),
        ([pose((0, 0, -G), 0, 0, spread_m_s2=1.6, moving_deck=True, seconds=300)], "moved"),
        ([pose((0, 0, -1.0), 0, 0)], "in g"),
        ([pose((0, 0, -9.3), 0, 0)], "at rest it is 9.807"),
        ([pose((0, 0, -G), 0, 0), pose((6.0, 0, -7.757), 10, 0)], "No mounting fits"),
    ],
)
def test_poses_that_say_nothing_are_refused_with_a_sentence(poses, sentence):
    with pytest.raises(CannotCompute, match=sentence) as refused:
        check_mounting(poses, mountings()[0])
    assert refused.value.next


def test_a_moving_deck_is_taken_when_averaged_for_two_minutes():
    true = mounting_from_words("forward", "right", "down")
    poses = [felt(true, p, spread_m_s2=1.2, moving_deck=True, seconds=150) for p in (0, 6)]
    assert check_mounting(poses, true).status is Entry.CONFIRMED


@pytest.mark.parametrize(
    "axes", [("forward", "left", "down"), ("forward", "aft", "down"), ("forward", "sideways", "down")]
)
def test_entries_that_no_unit_can_have_are_refused(axes):
    with pytest.raises(CannotCompute):
        mounting_from_words(*axes)


def test_a_measured_matrix_finds_its_mounting_and_what_is_left():
    true = mounting_from_words("starboard", "aft", "down")
    found = nearest_mounting(fine_matrix(true, 0.65, -0.3, 0.1))
    assert found.mounting == true
    assert found.rest_ypr_deg == pytest.approx((0.65, -0.3, 0.1))
    assert found.runner_up_rest_deg > 80
    assert "x to starboard, y aft, z down" in found.next


def test_a_bracket_that_is_not_square_is_refused():
    with pytest.raises(CannotCompute, match="20.0° away"):
        nearest_mounting(matrix_from_ypr(20, 0, 0))


def test_no_rotation_lies_farther_from_the_24_than_the_covering_radius():
    rng = np.random.default_rng(4)
    q = rng.standard_normal((2000, 4))
    q /= np.linalg.norm(q, axis=1, keepdims=True)
    x, y, z, w = q.T
    traces = [np.einsum("ij,nij->n", np.array(m.matrix), _matrices(x, y, z, w)) for m in mountings()]
    farthest = np.degrees(np.arccos((np.max(traces, axis=0).min() - 1) / 2))
    assert 55 < farthest < COVERING_RADIUS_DEG + 1e-9


def _matrices(x, y, z, w):
    return np.stack(
        [
            np.stack([1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)], -1),
            np.stack([2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)], -1),
            np.stack([2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)], -1),
        ],
        -2,
    )


def test_the_24_are_a_group_and_lie_at_least_a_quarter_turn_apart():
    for a, b in itertools.combinations(mountings(), 2):
        assert angle_between_deg(a.matrix, b.matrix) >= 90 - 1e-9


def test_axes_off_square_are_said_with_their_degrees():
    assert words_of_axes(matrix_from_ypr(90, 0, 0)) == "x to starboard, y aft, z down"
    assert words_of_axes(matrix_from_ypr(2, 0, 0)) == "x forward (2.0° off), y to starboard (2.0° off), z down"


def test_a_turn_confirms_the_vertical_axis_and_nothing_else():
    up = mounting_from_words("forward", "left", "up")
    assert check_turn(up, 10.0, (0.1, -0.2, -9.9)).vertical_agrees
    assert not check_turn(up, 10.0, (0.1, -0.2, 9.9)).vertical_agrees
    assert "raise the bow" in check_turn(up, 10.0, (0, 0, -10)).next
    with pytest.raises(CannotCompute, match="too slow"):
        check_turn(up, 0.1, (0, 0, 0.1))


def test_residuals_are_zero_for_the_true_mounting_only():
    true = mounting_from_words("down", "forward", "right")
    left = residuals_m_s2([felt(true, 7), felt(true, 0, 7)])
    assert (left < 1e-9).sum() == 1
