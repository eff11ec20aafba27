"""Mounting, alignment and lever arms at the shell, against cases with their sources."""

import json
from typing import Any

import pytest

from tests.cli.fixtures import Shell
from tests.cli.published import case, words

ENTERED = ("--entered", "starboard,aft,down")


def asked(shell: Shell, *called: str, stdin: str | None = None) -> dict[str, Any]:
    result = shell("compute", *called, "--json", stdin=stdin)
    assert (result.exit_code, result.stderr) == (0, ""), result.output
    return json.loads(result.stdout)


def poses() -> tuple[str, dict[str, Any]]:
    """Level, then the bow up by 10 degrees, as a table."""
    inputs = case("mount-tilt-resolve")["inputs"]
    lines = [(*inputs["f_unit_level"], 0, 0), (*inputs["f_unit_bow_up_10"], 10, 0)]
    header = "force_x_m_s2,force_y_m_s2,force_z_m_s2,pitch_deg,roll_deg"
    return "\n".join([header, *(",".join(map(repr, line)) for line in lines)]), inputs


def test_two_poses_tell_the_mounting_and_one_level_pose_does_not(shell: Shell):
    table, inputs = poses()
    gravity = ("--gravity-m-s2", repr(inputs["g"]))
    found = asked(shell, "orientation", *ENTERED, *gravity, "-", stdin=table)["results"]["mounting"]
    assert (found["status"], found["fitted"]) == (
        "confirmed",
        {"unit_x": "starboard", "unit_y": "aft", "unit_z": "down"},
    )
    level = words(*inputs["f_unit_level"], 0, 0)
    found = asked(shell, "orientation", *ENTERED, *gravity, "--pose-m-s2-deg", *level)["results"]["mounting"]
    left = [[each[f"unit_{axis}"] for axis in "xyz"] for each in found["candidates"]]
    expected = case("mount-tilt-resolve")["expected"]["candidates_level"]
    swap = {"right": "starboard", "left": "port"}
    assert sorted(left) == sorted([swap.get(word, word) for word in words] for words in expected)
    assert found["status"] == "cannot tell" and "pitch or roll" in found["next"]


def test_a_moving_deck_is_averaged_for_two_minutes(shell: Shell):
    """Practice: means of 120 s or more, spread up to 1.5 m/s², for signs and coarse checks only."""
    header = "force_x_m_s2,force_y_m_s2,force_z_m_s2,pitch_deg,roll_deg,spread_m_s2,duration_s"
    table = header + "\n0,0,-9.81,0,0,0.8,{}\n0,-1.7,-9.66,10,0,0.8,{}\n"
    moved = shell("compute", "orientation", *ENTERED, "-", stdin=table.format(150, 150))
    assert (moved.exit_code, "record moved" in moved.stderr) == (1, True)
    short = shell("compute", "orientation", *ENTERED, "--moving-deck", "-", stdin=table.format(150, 60))
    assert (short.exit_code, "at least 120 s" in short.stderr) == (1, True)
    found = asked(shell, "orientation", *ENTERED, "--moving-deck", "-", stdin=table.format(150, 150))["results"][
        "mounting"
    ]
    assert found["status"] == "confirmed"


def test_gravity_is_the_one_of_the_place(shell: Shell):
    called = ("compute", "orientation", *ENTERED, "--pose-m-s2-deg", *words(0, 0, -9.81, 0, 0), "--gravity-m-s2", "20")
    assert "Gravity in m/s² is 20; it cannot be over 9.9." in shell(*called).stderr


def test_a_wrong_entry_is_named_with_the_true_one(shell: Shell):
    table, _ = poses()
    told = shell("compute", "orientation", "--entered", "forward,starboard,down", "-", stdin=table).stdout
    assert told.startswith("Entered: x forward, y to starboard, z down. Found: x to starboard, y aft, z down.")
    assert "m/s²" in told


def test_a_turn_and_a_measured_attitude_are_other_ways_of_asking(shell: Shell):
    rates = case("mount-yaw-rate")["expected"]["rate_unit_deg_s"]
    turn = ("orientation", "--entered", "forward,port,up", "--turn-deg-s", "10", "--rates-deg-s")
    assert asked(shell, *turn, *words(*rates))["results"]["turn"]["vertical_agrees"] is True
    assert asked(shell, *turn, "0", "0", "10")["results"]["turn"]["vertical_agrees"] is False
    near = asked(shell, "orientation", "--measured-deg", "90.8", "0.1", "0")["results"]["mounting"]
    assert near["mounting"] == {"unit_x": "starboard", "unit_y": "aft", "unit_z": "down"}
    assert near["rest_deg"] == pytest.approx((0.8**2 + 0.1**2) ** 0.5, rel=1e-3)


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ("forward,port,down", "is left-handed, and no unit is"),
        ("forward,aft,down", "lie on one line"),
        ("forward,sideways,down", "“sideways” is no direction"),
    ],
)
def test_an_entry_that_cannot_be_is_refused(entered: str, says: str, shell: Shell):
    result = shell("compute", "orientation", "--entered", entered, "--pose-m-s2-deg", *words(0, 0, -9.81, 0, 0))
    assert (result.exit_code, says in result.stderr) == (1, True), result.output


@pytest.mark.parametrize(
    "called",
    [
        ("--pose-m-s2-deg", "0", "0", "-9.81", "0", "0"),
        (*ENTERED, "--turn-deg-s", "5"),
        ("--entered", "forward,down", "--pose-m-s2-deg", "0", "0", "-9.81", "0", "0"),
        (*ENTERED, "--turn-deg-s", "5", "--rates-deg-s", "0", "0", "5", "--measured-deg", "0", "0", "0"),
    ],
)
def test_ways_of_asking_that_do_not_go_together_are_wrong_calls(called: tuple[str, ...], shell: Shell):
    assert shell("compute", "orientation", *called).exit_code == 2


def pairs() -> str:
    """Three directions with their sigmas, as a table."""
    inputs = case("wahba-covariance-mc")["inputs"]
    sides = zip(inputs["unit_vectors"], inputs["vehicle_vectors"], inputs["sigma_rad"], strict=True)
    header = "unit_x,unit_y,unit_z,vehicle_x,vehicle_y,vehicle_z,sigma_rad"
    return "\n".join([header, *(",".join(map(repr, (*unit, *vehicle, sigma))) for unit, vehicle, sigma in sides)])


def test_an_alignment_has_the_sigmas_of_its_covariance(shell: Shell):
    """Shuster & Oh 1981; 20 000 draws agree (the case says so)."""
    found = asked(shell, "alignment", "-", stdin=pairs())["results"]["alignment"]
    expected = case("wahba-covariance-mc")["expected"]
    spread = [found["covariance_rad2"][axis][axis] for axis in range(3)]
    assert spread == pytest.approx([expected["P_rad2"][axis][axis] for axis in range(3)], rel=1e-6)
    assert (found["coverage"], found["frame"]) == (
        0.95,
        "C_vu: unit axes to vehicle FRD; covariance in the vehicle frame",
    )


def test_two_vectors_meet_the_first_one_exactly(shell: Shell):
    """Schaub & Junkins, chapter 3, TRIAD: the reference is body-to-unit there, so the sides change places."""
    inputs, expected = (case("wahba-schaub-triad")[part] for part in ("inputs", "expected"))
    sides = zip(inputs["reference"], inputs["measured_body"], strict=True)
    called = [word for unit, vehicle in sides for word in ("--pair-deg", *words(*unit, *vehicle, 2))]
    found = asked(shell, "alignment", "--two-vector", *called)["results"]["alignment"]
    assert [each for row in found["c_vu"] for each in row] == pytest.approx(
        [each for row in expected["C"] for each in row], abs=1e-6
    )


def test_directions_on_one_line_and_a_reversed_axis_are_refused(shell: Shell):
    one_line = ("--pair-deg", *words(1, 0, 0, 1, 0, 0, 0.1), "--pair-deg", *words(-1, 0, 0, -1, 0, 0, 0.1))
    result = shell("compute", "alignment", *one_line)
    assert (result.exit_code, "of one line" in result.stderr) == (1, True)
    inputs = case("wahba-mirrored-axis")["inputs"]
    sides = zip(inputs["measured"], inputs["reference"], strict=True)
    called = [word for unit, vehicle in sides for word in ("--pair-deg", *words(*unit, *vehicle, 0.1))]
    result = shell("compute", "alignment", *called)
    assert (result.exit_code, "An axis sign is reversed" in result.stderr) == (1, True)


def test_two_vectors_are_two(shell: Shell):
    assert shell("compute", "alignment", "--two-vector", "--pair-deg", *words(1, 0, 0, 1, 0, 0, 0.1)).exit_code == 2


def test_a_lever_arm_in_unit_axes_is_turned_and_the_mistake_is_priced(shell: Shell):
    inputs, expected = (case("lever-frame-trap")[part] for part in ("inputs", "expected"))
    told = asked(
        shell,
        "lever",
        "--arm-m",
        *words(*inputs["lever_unit_m"]),
        "--sigma-m",
        "0.01",
        "--unit-axes",
        "starboard,aft,down",
    )
    arm = told["results"]["lever arm"]
    assert [arm[f"{axis}_m"] for axis in ("forward", "starboard", "down")] == pytest.approx(expected["lever_vehicle_m"])
    assert f"{expected['error_if_not_rotated_m']:.3f} m" in told["notes"][0]


def test_arms_of_a_table_are_priced_in_a_turn(shell: Shell):
    inputs, expected = (case("lever-velocity-0")[part] for part in ("inputs", "expected"))
    arm = ",".join(map(repr, inputs["lever_m"]))
    table = f"name,forward_m,starboard_m,down_m,sigma_mm\nDVL,{arm},20\n"
    called = ("--turn-deg-s", "10", "--speed-m-s", "1.5", "--latency-s", "0.02", "--attitude-off-deg", "0.1")
    told = asked(shell, "lever", "-", *called, stdin=table)
    assert told["results"]["DVL"]["sigma_m"] == pytest.approx(0.02)
    motion = told["results"]["DVL in the turn"]
    assert motion["velocity_m_s"] == pytest.approx(expected["v_sensor_m_s"])
    assert motion["centripetal_m_s2"] == pytest.approx(expected["centripetal_m_s2"])
    # 10 deg/s and 20 ms make 0.2 degree: kinematics.
    assert told["results"]["late data"]["heading_deg"] == pytest.approx(0.2)


def test_an_attitude_that_is_off_moves_the_far_end(shell: Shell):
    """Small angle: 0.1 degree on 20 m is 35 mm (case lever-attitude)."""
    called = ("--arm-m", "20", "0", "0", "--sigma-m", "0.01", "--attitude-off-deg", "0.1")
    expected = case("lever-attitude")["expected"]["dp_m"][0][1]
    assert asked(shell, "lever", *called)["notes"] == [
        f"lever arm: an attitude off by 0.1 deg moves its far end by {expected:.4f} m."
    ]


def test_an_arm_in_millimetres_is_refused_and_one_without_its_sigma_is_a_wrong_call(shell: Shell):
    result = shell("compute", "lever", "--arm-m", "2000", "0", "0", "--sigma-m", "1")
    assert (result.exit_code, "longer than any vehicle" in result.stderr) == (1, True)
    assert shell("compute", "lever", "--arm-m", "2", "0", "0").exit_code == 2
