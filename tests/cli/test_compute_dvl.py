"""A DVL and the cost of a misalignment at the shell, against cases with their sources."""

import json
import re
from typing import Any

import numpy as np
import pytest

from tests.cli.fixtures import Shell
from tests.cli.published import case, words
from tests.cli.test_compute_mounting import asked
from tests.inertial.test_dvl_track import record
from tests.inertial.test_recordings import TRACK, as_csv

TRUE = ("--heading-north", "true", "--reference-north", "true")
RUN = ("dvl", "-", *TRUE, "--rtk", "--sound-speed-m-s", "1500")


def run_text(**how: Any) -> str:
    t, heading, dvl, ref = record(**how)
    return as_csv(np.column_stack([t, heading, dvl, ref, np.ones(len(t))]), TRACK)


def test_the_ends_of_a_track_give_angle_and_scale(shell: Shell):
    inputs, expected = (case("dvl-track-endpoint")[part] for part in ("inputs", "expected"))
    ends = ("--reference-end-m", *words(*inputs["ref_end_ne_m"]), "--dvl-end-m", *words(*inputs["dvl_end_ne_m"]))
    found = asked(shell, "dvl", *ends, "--fix-sigma-m", "0.02", "--reference-north", "true")["results"][
        "DVL by the ends"
    ]
    assert found["alpha_deg"] == pytest.approx(expected["alpha_deg"], abs=1e-6)
    assert found["scale"] == pytest.approx(expected["beta"], abs=1e-8)
    assert found["net_m"] == pytest.approx(expected["ref_net_m"])


def test_a_run_gives_back_what_it_was_made_with_and_tells_its_legs(shell: Shell):
    told = asked(shell, *RUN, stdin=run_text(alpha=0.8, scale=0.004))
    found = told["results"]["DVL"]
    assert abs(found["alpha_deg"] - 0.8) < found["half_width_alpha_deg"] < 0.1
    assert abs(found["scale"] - 0.004) < found["half_width_scale"] < 0.01
    assert (found["coverage"], found["method"]) == (0.95, "dvl-fit 2026-1")
    assert [note.split(",")[0] for note in told["notes"]] == [
        f"Leg {n}: {heading:05.1f} deg true" for n, heading in enumerate((0, 180, 90, 270), 1)
    ]


def test_a_water_track_is_fitted_with_its_current_and_means_are_as_long_as_asked(shell: Shell):
    """A current of 0.2 m/s to the north and 0.1 to the east is put into the reference and found again."""
    told = asked(shell, *RUN, "--water-track", "--average-s", "20", stdin=run_text(current=0.2 + 0.1j))["results"][
        "DVL"
    ]
    assert told["method"] == "dvl-offset-fit 2026-1"
    assert (told["offset_north_m_s"], told["offset_east_m_s"]) == (
        pytest.approx(0.2, abs=0.01),
        pytest.approx(0.1, abs=0.01),
    )
    assert told["samples"] < 0.6 * asked(shell, *RUN, stdin=run_text())["results"]["DVL"]["samples"]


def test_magnetic_and_grid_headings_are_made_true(shell: Shell):
    """A declination of 3 degrees shifts the angle by as much; at 60° N, 9° E of zone 32 grid north is true north."""
    magnetic = ("--heading-north", "magnetic", "--declination-deg", "3", "--declination-sigma-deg", "0.3")
    sourced = ("--declination-source", "invented chart, 2026", "--reference-north", "true")
    run = ("dvl", "-", "--rtk", "--sound-speed-m-s", "1500")
    text = run_text(alpha=0.8)
    plain = asked(shell, *RUN, stdin=text)["results"]["DVL"]["alpha_deg"]
    found = asked(shell, *run, *magnetic, *sourced, stdin=text)["results"]["DVL"]["alpha_deg"]
    # Which samples still count as a turn hangs on the last digit of a heading: hence not closer.
    assert found == pytest.approx(plain - 3, abs=2e-3)
    grid = (
        "--heading-north",
        "grid",
        "--reference-north",
        "true",
        "--lat-deg",
        "60",
        "--lon-deg",
        "9",
        "--utm-zone",
        "32",
    )
    assert asked(shell, *run, *grid, stdin=text)["results"]["DVL"]["alpha_deg"] == pytest.approx(plain, abs=1e-9)


def test_the_world_model_gives_the_declination_of_a_place_and_a_day(shell: Shell):
    """The declination of each case is held against its source in tests/outside; here it only has to be the one used."""
    from datetime import date

    from registry.inertial import magnetic_north_by_model

    north = magnetic_north_by_model(60.0, 9.0, date(2026, 5, 15))
    place = ("--lat-deg", "60", "--lon-deg", "9", "--on", "2026-05-15")
    run = ("dvl", "-", "--rtk", "--sound-speed-m-s", "1500", "--reference-north", "true", "--heading-north", "magnetic")
    text = run_text(alpha=0.8)
    plain = asked(shell, *RUN, stdin=text)["results"]["DVL"]["alpha_deg"]
    found = asked(shell, *run, *place, stdin=text)["results"]["DVL"]["alpha_deg"]
    assert found == pytest.approx(plain - north.to_true_deg, abs=2e-3) and abs(north.to_true_deg) > 1


@pytest.mark.parametrize(
    ("called", "says"),
    [
        (("dvl", "-", "--rtk", "--sound-speed-m-s", "1500"), "Nobody said which north this is"),
        (("dvl", "-", *TRUE, "--rtk"), "sound speed"),
        (("dvl", "-", *TRUE, "--sound-speed-m-s", "1500"), "No leg can be used"),
        (("dvl", "-", "--heading-north", "grid", "--reference-north", "true"), "Grid north needs the zone"),
        (
            ("dvl", "-", "--heading-north", "magnetic", "--reference-north", "true"),
            "Magnetic north needs a declination",
        ),
        (("dvl", "gone.csv", *TRUE, "--sound-speed-m-s", "1500"), "There is no file gone.csv"),
    ],
)
def test_a_run_that_leaves_something_open_is_refused(called: tuple[str, ...], says: str, shell: Shell):
    result = shell("compute", *called, stdin=run_text())
    assert (result.exit_code, result.stdout, says in result.stderr) == (1, "", True), result.stderr


def test_a_closed_box_has_no_ends_to_fit(shell: Shell):
    ends = (
        "--reference-end-m",
        "0",
        "0.5",
        "--dvl-end-m",
        "0",
        "0.4",
        "--fix-sigma-m",
        "0.02",
        "--reference-north",
        "true",
    )
    result = shell("compute", "dvl", *ends)
    assert (result.exit_code, "need 32 m" in result.stderr) == (1, True), result.stderr


@pytest.mark.parametrize(
    "called",
    [
        ("--reference-end-m", "0", "1000"),
        ("run.csv", "--reference-end-m", "0", "1000"),
        ("run.csv", "--heading-north", "up"),
        ("run.csv", "--heading-north", "grid", "--utm-zone", "32"),
        ("run.csv", "--heading-north", "magnetic", "--declination-deg", "3"),
        ("run.csv", "--heading-north", "magnetic", "--on", "15 May", "--lat-deg", "60", "--lon-deg", "9"),
    ],
)
def test_ends_and_norths_that_are_not_whole_are_wrong_calls(called: tuple[str, ...], shell: Shell):
    assert shell("compute", "dvl", *called).exit_code == 2


@pytest.mark.parametrize("name", ["cost-mission-0.3-0.002", "cost-mission-1-0.01"])
def test_the_end_of_a_leg_is_priced(name: str, shell: Shell):
    inputs, expected = (case(name)[part] for part in ("inputs", "expected"))
    called = ("--angle-deg", repr(inputs["theta_deg"]), "--scale-percent", repr(100 * inputs["beta"]))
    found = asked(shell, "cost", *called, "--distance-m", repr(inputs["D_m"]))["results"]["end of the leg"]
    assert {key: found[key] for key in expected} == pytest.approx(expected)


def test_a_misalignment_is_priced_against_the_class(shell: Shell):
    """Trigonometry: tan 1° is 1.7455 %; as large as the class it adds 41 % (case cost-budget)."""
    percent = next(row[1] for row in case("cost-tan-table")["expected"]["rows"] if row[0] == 1)
    called = ("cost", "--angle-deg", "1", "--sigma-deg", "0.1", "--class-percent", repr(percent))
    found = asked(shell, *called)["results"]["misalignment"]
    assert found["cross_percent"] == pytest.approx(percent)
    assert found["total_over_class"] == pytest.approx(case("cost-budget")["expected"]["total_over_class"][2])
    assert (found["coverage"], found["half_width_m_per_km"]) == (0.95, pytest.approx(1.96 * 1.7453, rel=1e-3))
    told = shell("compute", *called).stdout
    assert re.search(r"^  across the track +17\.4551 m/km$", told, re.MULTILINE)
    assert "Coverage of intervals: 95 %." in told


def test_a_closed_box_costs_nothing_at_its_end_and_all_of_it_on_its_legs(shell: Shell):
    box = "heading_deg,length_m\n0,500\n90,500\n180,500\n270,500\n"
    told = json.loads(shell("compute", "cost", "--angle-deg", "1", "-", "--json", stdin=box).stdout)
    assert all(told["results"][f"leg {n}"]["end_m"] > 8 for n in (1, 2, 3, 4))
    assert float(told["notes"][0].split(":")[1].split()[0]) < 1e-9
