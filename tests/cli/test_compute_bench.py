"""Gyrocompassing and the bench static test at the shell, against cases with their sources."""

import json
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tests.cli.fixtures import Shell
from tests.cli.published import case
from tests.cli.test_compute_mounting import asked
from tests.inertial.test_recordings import HEADER, as_csv, rows

BENCH = ("static", "-", "--lat-deg", "60", "--warm-up-min", "60")


@cache
def resting(minutes: float = 15.0, hz: float = 20.0) -> str:
    """A unit at rest at 60 degrees north, heading north; invented noise."""
    return as_csv(rows(int(minutes * 60 * hz), hz))


def test_a_bias_leaves_a_heading_by_the_secant_law(shell: Shell):
    """Titterton & Weston 10.2.3, Groves 5.100 (case gyrocompass-error-table, exact form)."""
    for bias, lat, exact, first in case("gyrocompass-error-table")["expected"]["rows"][:9]:
        if abs(lat) >= 85:
            continue
        found = asked(shell, "gyrocompass", "--bias-deg-h", repr(bias), "--lat-deg", repr(lat))["results"]["heading"]
        assert sorted([found["first_order_deg"], found["sigma_heading_deg"]]) == pytest.approx(
            sorted([exact, first]), rel=1e-6
        )
        assert found["coverage"] == 0.95


def test_noise_class_and_north_speed_are_told_beside_it(shell: Shell):
    """N = 0.005 deg/√h over 10 min at 45° leaves 0.066°; a class of 0.1° is 0.2° at 60°; 1 m/s north at 60° costs 0.25°."""
    noise = case("gyrocompass-arw-N0.005-T600-lat45")["expected"]["heading_sigma_deg"]
    called = ("gyrocompass", "--bias-deg-h", "0.01", "--lat-deg")
    notes = asked(shell, *called, "45", "--walk-deg-sqrt-h", "0.005", "--average-s", "600")["notes"]
    assert notes == [f"Noise left after 600 s: {noise:.4f} deg of heading, one sigma."]
    notes = asked(shell, *called, "60", "--class-deg-seclat", "0.1", "--north-speed-m-s", "1")["notes"]
    at_60 = case("gyrocompass-seclat-0.1")["expected"]["error_at_lat60_deg"]
    assert notes[0] == f"The class comes to {at_60:.4f} deg at this latitude."
    assert "cost 0.2464 deg" in notes[1]


def test_a_resting_unit_finds_its_heading(shell: Shell):
    """Levelling and gyrocompassing, Groves 5.6 (case static-reading-2), noise-free at 50 Hz for 20 minutes."""
    inputs, expected = (case("static-reading-2")[part] for part in ("inputs", "expected"))
    rng = np.random.default_rng(4)
    means = (*expected["rate_frd_deg_h"], *expected["f_frd_m_s2"])
    data = np.column_stack([np.arange(60_000) / 50, rng.standard_normal((60_000, 6)) * 1e-4 + means])
    told = asked(
        shell, "gyrocompass", "-", "--lat-deg", repr(inputs["lat_deg"]), "--bias-deg-h", "0.01", "--walk-deg-sqrt-h", "0.001",
        stdin=as_csv(data),
    )  # fmt: skip
    found = told["results"]["heading"]
    assert [found[f"{name}_deg"] for name in ("heading", "pitch", "roll")] == pytest.approx(
        [inputs[f"{name}_deg"] for name in ("heading", "pitch", "roll")], abs=1e-3
    )
    assert found["north"] == "true" and found["half_width_heading_deg"] == pytest.approx(
        1.96 * found["sigma_heading_deg"], rel=1e-4
    )


@pytest.mark.parametrize(
    ("called", "says"),
    [
        (("--bias-deg-h", "0.01", "--lat-deg", "86"), "too small to gyrocompass"),
        (("--bias-deg-h", "10", "--lat-deg", "60"), "drowns the level earth rate"),
        (("--bias-deg-h", "0.01"), "The latitude is missing."),
    ],
)
def test_where_no_heading_can_be_found_none_is_given(called: tuple[str, ...], says: str, shell: Shell):
    result = shell("compute", "gyrocompass", *called)
    assert (result.exit_code, result.stdout, says in result.stderr) == (1, "", True), result.stderr


def test_a_recording_needs_the_random_walk_too(shell: Shell):
    assert shell("compute", "gyrocompass", "bench.csv", "--bias-deg-h", "1", "--lat-deg", "60").exit_code == 2


def test_a_unit_at_rest_agrees_with_gravity_and_the_earth(shell: Shell):
    """Somigliana on WGS-84 and the earth's rate (cases earth-gravity-lat60 and bench-units-trap)."""
    told = asked(shell, *BENCH, "--gyro-bias-deg-h", "0.05", "--acc-bias-m-s2", "0.001", stdin=resting())
    found = told["results"]["static test"]
    assert found["passed"] is True
    assert found["gravity"]["expected"] == pytest.approx(9.81917695311, abs=1e-9)
    assert found["earth_rate"]["expected"] == pytest.approx(case("bench-units-trap")["expected"]["deg_h"], rel=1e-9)
    assert found["vertical_rate"]["expected"] == pytest.approx(-15.0410668761 * np.sin(np.radians(60)), rel=1e-9)
    record = told["results"]["record"]
    assert (record["samples"], record["rate_hz"], record["steady"]) == (18_000, pytest.approx(20), True)
    assert len(record["sigma_rate_deg_h"]) == 3


def test_a_pass_is_never_told_as_proof_of_the_pair(shell: Shell):
    told = shell("compute", *BENCH, "--gyro-bias-deg-h", "0.05", stdin=resting()).stdout
    assert "This does not prove the pair" in told
    assert re.search(r"^  gravity +9\.8\d+ m/s2, expected 9\.8192; ", told, re.MULTILINE)


def test_what_the_call_states_goes_into_the_test(shell: Shell):
    """100 m up gravity is 0.000309 m/s² less (case bench-gravity-anomaly); r.m.s. is one sigma, the largest stands as it is."""
    text, bias = resting(), ("--gyro-bias-deg-h", "0.1")
    low = asked(shell, *BENCH, *bias, stdin=text)["results"]["static test"]
    high = asked(shell, *BENCH, *bias, "--height-m", "100", "--statistic", "largest", stdin=text)["results"][
        "static test"
    ]
    fall = case("bench-gravity-anomaly")["expected"]["dg_height_m_s2"]
    assert high["gravity"]["expected"] - low["gravity"]["expected"] == pytest.approx(fall, rel=1e-2)
    assert low["earth_rate"]["allowed"] > 1.9 * high["earth_rate"]["allowed"] * 0.95 > 0.1
    assert "Warm-up" not in low["verdict"]
    short = asked(shell, "static", "-", "--lat-deg", "60", "--warm-up-min", "5", *bias, stdin=text)["results"][
        "static test"
    ]
    assert "Warm-up: 5 min; 45 is usual." in short["verdict"]


def test_an_accelerometer_bias_tilts_the_heading(shell: Shell):
    """The tilt is b/g and turns the heading by tilt tan(lat) (case gyrocompass-level-error: 50 µg at 60° is 0.005°)."""
    called = ("gyrocompass", "-", "--lat-deg", "60", "--bias-deg-h", "0.5", "--walk-deg-sqrt-h", "0.01")
    expected = case("gyrocompass-level-error")
    bias = ("--acc-bias-m-s2", repr(expected["inputs"]["acc_bias_m_s2"]))
    plain, tilted = (asked(shell, *called, *more, stdin=resting())["results"]["heading"] for more in ((), bias))
    assert (plain["sigma_level_deg"], tilted["sigma_level_deg"]) == (
        0,
        pytest.approx(np.degrees(expected["expected"]["tilt_rad"])),
    )
    assert tilted["sigma_heading_deg"] > plain["sigma_heading_deg"]


def test_without_a_class_the_rates_are_shown_and_not_judged(shell: Shell):
    found = asked(shell, *BENCH, stdin=resting())["results"]["static test"]
    assert found["passed"] is None and found["earth_rate"]["agrees"] is None
    assert "the gyro bias is not on record" in found["next"]


def test_units_of_the_headers_are_applied_and_a_wrong_one_is_named(shell: Shell):
    data = rows(18_000, 20.0)
    data[:, 1:4] /= 3600
    header = HEADER.replace("deg_h", "deg_s")
    right = asked(shell, *BENCH, stdin=as_csv(data, header))["results"]["static test"]
    assert right["earth_rate"]["measured"] == pytest.approx(15.04, abs=0.05)
    result = shell("compute", *BENCH, stdin=as_csv(data, HEADER))
    assert (result.exit_code, "Correct the unit in the headers to deg/s." in result.stderr) == (1, True), result.stderr


def test_an_archive_and_a_file_are_read_as_the_input_is(shell: Shell, tmp_path: Path):
    data = rows(18_000, 20.0)
    np.savez(tmp_path / "a.npz", gyro_deg_h=data[:, 1:4], acc_m_s2=data[:, 4:], rate_hz=20.0)
    (tmp_path / "a.csv").write_text(as_csv(data))
    found = [
        asked(shell, "static", str(tmp_path / name), "--lat-deg", "60")["results"]["static test"]["earth_rate"][
            "measured"
        ]
        for name in ("a.npz", "a.csv")
    ]
    assert found[0] == pytest.approx(found[1], rel=1e-6)


def test_the_random_walk_is_read_off_the_allan_curve(shell: Shell):
    """White noise of 2 deg/h a sample at 20 Hz is a walk of 2/√20/60 deg/√h (IEEE 952 Annex C)."""
    told = asked(shell, *BENCH, "--allan", stdin=resting())["results"]
    for axis in "xyz":
        terms = told[f"gyro {axis}"]
        assert abs(terms["walk"] - 2 / 20**0.5 / 60) < 2 * terms["half_width_walk"]
        assert terms["walk_unit"] == "deg/sqrt(h)"
    plain = shell("compute", *BENCH, "--allan", stdin=resting()).stdout
    assert "sigma random walk" in plain and "deg/sqrt(h)" in plain


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (resting(5), "The record is 5.0 min long; a bias takes 10."),
        (resting().replace("acc_z_m_s2", "acc_z"), "has no unit"),
        (resting().replace("acc_z_m_s2", "height_m"), "lacks force_z"),
        ("", "empty"),
    ],
)
def test_a_recording_that_will_not_do_is_refused(text: str, says: str, shell: Shell):
    result = shell("compute", *BENCH, stdin=text)
    assert (result.exit_code, result.stdout) == (1, "")
    assert says in result.stderr, result.stderr


def test_the_latitude_is_asked_for(shell: Shell):
    result = shell("compute", "static", "-", stdin=resting())
    assert (result.exit_code, "The latitude is missing." in result.stderr) == (1, True)
    assert shell("compute", "static", "-", "--statistic", "mean").exit_code == 2


def test_a_column_that_is_not_used_is_told_of(shell: Shell):
    data = rows(18_000, 20.0)
    text = as_csv(np.column_stack([data, data[:, 0]]), HEADER + ",temperature_c")
    assert "Not used: temperature_c." in json.loads(shell("compute", *BENCH, "--json", stdin=text).stdout)["notes"]
