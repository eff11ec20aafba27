"""Plate and unit in series, what is carried over, and what fits leave: against scipy's rotations and Monte Carlo."""

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from registry.inertial import (
    TRUE_NORTH,
    CannotCompute,
    carried,
    compose,
    direction_residuals,
    dowel_play_deg,
    fine_angles,
    fine_of,
    fit_directions,
    fit_dvl,
    leg_residuals,
    mounting_from_words,
    read_track,
    run_of_track,
    unit_on_plate,
)
from tests.tracks import track

PLATE = fine_angles(0.4, -0.7, 1.1, 0.03, 0.04, 0.05)
UNIT = fine_angles(-0.2, 0.3, 0.6, 0.02, 0.06, 0.01)


def rotation(roll: float, pitch: float, yaw: float) -> Rotation:
    return Rotation.from_euler("ZYX", [yaw, pitch, roll], degrees=True)


def angles(found) -> tuple[float, float, float]:
    return found.roll_deg, found.pitch_deg, found.yaw_deg


def sigmas(found) -> tuple[float, float, float]:
    return found.sigma_roll_deg, found.sigma_pitch_deg, found.sigma_yaw_deg


def test_plate_and_unit_together_are_the_product_of_both_rotations():
    yaw, pitch, roll = (rotation(*angles(PLATE)) * rotation(*angles(UNIT))).as_euler("ZYX", degrees=True)
    assert angles(compose(PLATE, UNIT)) == pytest.approx((roll, pitch, yaw), abs=1e-9)


def test_the_sigmas_of_both_together_are_those_of_twenty_thousand_draws():
    dice = np.random.default_rng(5)
    plates, units = (
        np.array(angles(each)) + dice.standard_normal((20_000, 3)) * sigmas(each) for each in (PLATE, UNIT)
    )
    drawn = Rotation.from_euler("ZYX", plates[:, ::-1], degrees=True) * Rotation.from_euler(
        "ZYX", units[:, ::-1], degrees=True
    )
    spread = drawn.as_euler("ZYX", degrees=True).std(axis=0)[::-1]
    assert sigmas(compose(PLATE, UNIT)) == pytest.approx(spread, rel=0.03)


def test_taking_the_plate_out_of_both_gives_the_unit_back():
    whole = compose(PLATE, UNIT)
    found = unit_on_plate(whole, PLATE)
    assert angles(found) == pytest.approx(angles(UNIT), abs=1e-9)
    assert all(s >= w for s, w in zip(sigmas(found), sigmas(whole), strict=True))


def test_a_carried_figure_is_worth_both_units_the_pins_and_the_old_figure():
    # 0.05 mm on 120 mm is 0.024 degrees (common practice, no source); the rest is a root of squares by hand.
    pins = dowel_play_deg(0.05, 120)
    assert pins == pytest.approx(0.0239, abs=1e-4)
    found = carried(fine_angles(0, 0, 0.35, 0.02, 0.02, 0.03), 0.05, 0.04, pins)
    assert found.yaw_deg == 0.35
    assert found.sigma_yaw_deg == pytest.approx(math.sqrt(0.03**2 + 0.05**2 + 0.04**2 + pins**2))


@pytest.mark.parametrize(
    "entered", [("forward", "starboard", "down"), ("starboard", "aft", "down"), ("down", "port", "forward")]
)
def test_the_fine_angles_of_a_fit_are_those_it_was_made_with(entered):
    sits = mounting_from_words(*entered)
    true = rotation(0.3, -0.5, 0.8).as_matrix() @ np.array(sits.matrix)
    unit = np.array([[0.0, 0, -1], [1, 0, 0], [0, 1, 0]])
    fit = fit_directions(unit, unit @ true.T, [0.05, 0.05, 0.05])
    found = fine_of(fit.c_vu, fit.covariance_rad2, sits)
    assert angles(found) == pytest.approx((0.3, -0.5, 0.8), abs=1e-6)


def test_a_fit_that_says_the_unit_sits_otherwise_is_refused_in_words():
    with pytest.raises(CannotCompute) as caught:
        fine_of(np.eye(3), np.eye(3) * 1e-6, mounting_from_words("starboard", "aft", "down"))
    assert caught.value.sentence == "Entered: x to starboard, y aft, z down. Found: x forward, y to starboard, z down."


def test_an_angle_that_is_another_mounting_is_refused():
    with pytest.raises(CannotCompute, match="cannot be over 15"):
        fine_angles(0, 0, 16, 0.1, 0.1, 0.1)


def test_the_residuals_of_directions_make_up_the_loss_of_the_fit():
    dice = np.random.default_rng(2)
    unit = np.array([[0.0, 0, -1], [1, 0, 0], [0, 1, 0], [0.6, 0.8, 0]])
    vehicle = unit + dice.standard_normal((4, 3)) * 0.001
    sigma = [0.05, 0.06, 0.05, 0.08]
    fit = fit_directions(unit, vehicle, sigma)
    left = direction_residuals(fit, unit, vehicle, sigma)
    # Wahba's loss is the sum of squared chords over sigma (Wahba 1965); a chord of theta is 2 sin(theta/2).
    chords = [
        2 * math.sin(math.radians(each) / 2) / math.radians(s) for each, s in zip(left.left_deg, sigma, strict=True)
    ]
    assert sum(chord**2 for chord in chords) == pytest.approx(fit.chi2, rel=1e-6)
    assert left.verdict.startswith("The largest residual is ")


@pytest.mark.parametrize("water", [False, True])
def test_the_residuals_of_a_run_are_what_its_legs_have_left(tmp_path, water):
    path = tmp_path / "run.csv"
    path.write_bytes(track(alpha_deg=0.65))
    run, legs = run_of_track(
        read_track(
            str(path),
            heading_north=TRUE_NORTH,
            reference_north=TRUE_NORTH,
            sound_speed_m_s=1500,
            rtk=True,
            water_track=water,
        )
    )
    fit = fit_dvl(run, offset=water)
    # The track was made with a DVL that points 0.65 degrees to starboard (tests/tracks.py).
    assert abs(fit.alpha_deg - 0.65) < 3 * fit.sigma_alpha_deg
    left = leg_residuals(fit, run)
    assert left.names == ("leg 1", "leg 2", "leg 3", "leg 4")
    assert len([leg for leg in legs if leg.used]) == 4
    assert abs(sum(left.left_deg)) / 4 < 0.01
    assert all(abs(each) < 4 * sigma for each, sigma in zip(left.left_deg, left.sigma_deg, strict=True))
