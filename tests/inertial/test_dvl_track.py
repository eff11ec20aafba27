"""A recorded DVL run: legs split, every one used or left out with its reason, and north made true."""

import cmath
import math

import numpy as np
import pytest

from registry.inertial import (
    TRUE_NORTH,
    CannotCompute,
    Track,
    fit_track,
    grid_north,
    magnetic_north,
    split_legs,
)

# --- a recorded run ---------------------------------------------------------------------------------------------
from tests.inertial.test_dvl import factor, pairs


def record(
    legs=((0, 300), (180, 300), (90, 300), (270, 300)),
    alpha=0.8,
    scale=0.004,
    speed=1.2,
    step=0.5,
    current=0,
    seed=1,
    noise=0.01,
):
    headings = []
    for heading, seconds in legs:
        if headings:
            turn = (heading - headings[-1] + 180) % 360 - 180
            headings += list(headings[-1] + np.arange(step, abs(turn) / 5, step) * 5 * np.sign(turn))
        headings += [heading] * int(seconds / step)
    h = np.array(headings, dtype=float)
    rng = np.random.default_rng(seed)
    ref = speed * np.exp(1j * np.radians(h))
    dvl = ref * np.exp(-1j * np.radians(h)) / factor(alpha, scale)
    dvl = dvl + noise * (rng.standard_normal(len(h)) + 1j * rng.standard_normal(len(h)))
    return np.arange(len(h)) * step, h % 360, pairs(dvl), pairs(ref + current)


def track(made=None, **more):
    t, h, dvl, ref = record() if made is None else made
    given = {"heading_north": TRUE_NORTH, "reference_north": TRUE_NORTH, "sound_speed_m_s": 1500.0, "rtk": True}
    return Track(t, h, dvl, ref, **(given | more))


def test_a_recorded_run_is_split_into_its_legs_and_settling_is_left_out():
    legs = split_legs(track())
    assert [round(leg.heading_deg) % 360 for leg in legs] == [0, 180, 90, 270]
    assert all(leg.used for leg in legs)
    # The first leg starts the record; the others lose 30 s after their turn.
    assert legs[0].seconds > 295 and all(260 < leg.seconds < 275 for leg in legs[1:])


def test_a_recorded_run_gives_angle_and_scale():
    found, legs = fit_track(track())
    assert abs(found.alpha_deg - 0.8) < found.half_width_alpha_deg < 0.1
    assert abs(found.scale - 0.004) < found.half_width_scale
    assert found.blocks >= 20 and len(legs) == 4


def test_a_water_track_is_fitted_with_its_current():
    made = record(current=0.2 + 0.1j)
    found, _ = fit_track(track(made, water_track=True))
    assert abs(found.alpha_deg - 0.8) < 0.1 and found.offset_north_m_s == pytest.approx(0.2, abs=0.01)


def test_short_legs_and_lost_bottom_lock_are_left_out_and_said():
    lock = np.ones(len(record()[0]))
    first = split_legs(track())[0]
    lock[first.first : first.last : 5] = 0
    found, legs = fit_track(track(bottom_lock=lock))
    assert not legs[0].used and "bottom lock for 80%" in legs[0].why_not
    assert "Left out: bottom lock" in found.verdict and "reciprocal" in found.verdict
    with pytest.raises(CannotCompute, match="shorter than 800 m"):
        fit_track(track(rtk=False))
    with pytest.raises(CannotCompute, match="shorter than 3176 m"):
        fit_track(track(fix_sigma_m=2.0))


def test_a_run_that_only_turns_has_no_leg():
    t = np.arange(400.0)
    h = (t * 3) % 360
    z = 1.2 * np.exp(1j * np.radians(h))
    with pytest.raises(CannotCompute, match="No leg"):
        fit_track(track((t, h, np.tile([1.2, 0], (400, 1)), pairs(z))))


def test_grid_and_magnetic_tracks_are_made_true_first():
    t, h, dvl, ref = record(noise=0.001)
    grid = grid_north(60.0, 12.0, 9.0)
    turned = (ref @ (1, 1j)) * cmath.exp(-1j * math.radians(grid.to_true_deg)) * grid.distance_scale
    compass = magnetic_north(5.0, sigma_deg=0.3, source="chart of 2026")
    found, _ = fit_track(track((t, (h - 5.0) % 360, dvl, pairs(turned)), heading_north=compass, reference_north=grid))
    assert found.alpha_deg == pytest.approx(0.8, abs=0.02) and found.scale == pytest.approx(0.004, abs=2e-4)
    wrong, _ = fit_track(track((t, h, dvl, pairs(turned))))
    assert abs(wrong.alpha_deg - 0.8) > 2


@pytest.mark.parametrize("north", ["heading_north", "reference_north"])
def test_a_track_with_an_undeclared_north_is_refused(north):
    with pytest.raises(CannotCompute, match="which north"):
        fit_track(track(**{north: None}))


def test_a_track_whose_clock_steps_back_or_whose_columns_differ_is_refused():
    t, h, dvl, ref = record()
    with pytest.raises(CannotCompute, match="steps back"):
        split_legs(track((t[::-1], h, dvl, ref)))
    with pytest.raises(CannotCompute, match="one length"):
        split_legs(track((t, h[:-1], dvl, ref)))
