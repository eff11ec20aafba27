"""Agreement, scatter and drift at the shell, against cases with their sources."""

import re

import pytest

from tests.cli.fixtures import Shell
from tests.cli.published import case, words
from tests.cli.test_compute_mounting import asked


def alignments(earlier: list[float], later: list[float], sigma_a: list[float], sigma_b: list[float]) -> tuple[str, ...]:
    sides = (
        ("--earlier-deg", earlier),
        ("--earlier-sigma-deg", sigma_a),
        ("--later-deg", later),
        ("--later-sigma-deg", sigma_b),
    )
    return tuple(word for option, numbers in sides for word in (option, *words(*numbers)))


def test_two_alignments_are_compared_by_the_turn_between_them(shell: Shell):
    """Case repeat-two-alignments: chi-square of 3, 7.81 at 95 %. Its sigmas are roll, pitch, yaw; ours yaw, pitch, roll."""
    inputs, expected = (case("repeat-two-alignments")[part] for part in ("inputs", "expected"))
    sigmas = [list(reversed(inputs[f"sigma_{side}_rpy_deg"])) for side in "ab"]
    called = alignments(inputs["a_ypr_deg"], inputs["b_ypr_deg"], *sigmas)
    found = asked(shell, "repeat", *called)["results"]["difference"]
    assert found["rotvec_deg"] == pytest.approx(expected["rotvec_deg"], rel=1e-9)
    assert (found["chi2"], found["p"]) == (pytest.approx(expected["chi2"]), pytest.approx(expected["p"]))
    assert (found["changed"], found["coverage"], found["frame"]) == (False, 0.95, "vehicle FRD")
    told = shell("compute", "repeat", *called).stdout
    assert re.search(r"  turn about forward, starboard, down +0\.0404533, -0\.0293857, 0\.149871 deg", told)


def test_two_values_agree_within_their_uncertainties(shell: Shell):
    """E_n, ISO 13528 (from memory): 0.80 ± 0.10 and 0.95 ± 0.12 give 0.96."""
    inputs, expected = (case("repeat-en")[part] for part in ("inputs", "expected"))
    called = ("--first", *words(inputs["x1"], inputs["U1"]), "--second", *words(inputs["x2"], inputs["U2"]))
    found = asked(shell, "repeat", *called, "--unit", "deg")["results"]["agreement"]
    assert (found["en"], found["agrees"]) == (pytest.approx(expected["En"]), expected["agrees"])


def test_repeats_within_sets_are_pooled(shell: Shell):
    """Pooled standard deviation, ISO 5725 / ASTM E177 (from memory)."""
    inputs, expected = (case("repeat-sigma")[part] for part in ("inputs", "expected"))
    lines = [f"day {n},{value}" for n, values in enumerate(inputs["sets"]) for value in values]
    found = asked(shell, "repeat", "-", stdin="\n".join(["set,value_deg", *lines]))["results"]["repeats"]
    assert found["s_pooled"] == pytest.approx(expected["s_pooled"])
    assert (found["limit"], found["unit"]) == (pytest.approx(expected["factor"] * expected["s_pooled"]), "deg")


def history(name: str) -> str:
    inputs = case(name)["inputs"]
    sides = zip(inputs.get("day", inputs.get("x")), inputs.get("heading_deg", inputs.get("y")), strict=True)
    return "\n".join(["day_d,value_deg", *(f"{day},{value}" for day, value in sorted(sides))])


def test_a_certified_straight_line_is_found(shell: Shell):
    """NIST Statistical Reference Datasets, Norris: slope 1.00211681802, residual standard deviation 0.884796396144."""
    expected = case("repeat-trend-norris")["expected"]
    found = asked(shell, "repeat", "-", stdin=history("repeat-trend-norris"))["results"]["trend"]
    assert found["slope_per_day"] == pytest.approx(expected["slope"], rel=1e-9)
    assert found["intercept"] == pytest.approx(expected["intercept"], rel=1e-8)
    assert found["residual_sd"] == pytest.approx(expected["residual_sd"], rel=1e-9)


def test_a_drift_is_told_with_its_interval_and_its_day(shell: Shell):
    expected = case("repeat-trend")["expected"]
    found = asked(shell, "repeat", "-", "--upper", "1", stdin=history("repeat-trend"))["results"]["trend"]
    assert found["slope_per_year"] == pytest.approx(expected["slope_deg_year"], rel=1e-4)
    assert found["half_width_per_year"] == pytest.approx(expected["ci95_half_deg_year"], rel=1e-4)
    day = (1 - expected["intercept"]) / (expected["slope_deg_year"] / 365.25)
    assert found["meets"]["day"] == pytest.approx(day, rel=1e-3)
    told = shell("compute", "repeat", "-", "--upper", "1", stdin=history("repeat-trend")).stdout
    assert "deg a year" in told and "limit 1 deg" in told


def test_a_refit_is_tested_for_a_step_before_any_drift(shell: Shell):
    expected = case("repeat-step-not-drift")["expected"]
    found = asked(shell, "repeat", "-", "--refit-after", "3", stdin=history("repeat-step-not-drift"))["results"]
    assert set(found) == {"refit after 3 values"}
    step = found["refit after 3 values"]
    assert (step["step"], step["t"]) == (pytest.approx(expected["step_deg"]), pytest.approx(expected["step_t"]))


def test_days_may_be_calendar_days(shell: Shell):
    table = "on,value_deg\n2022-01-01,0.1\n2023-01-01,0.2\n2024-01-01,0.31\n2025-01-01,0.4\n"
    found = asked(shell, "repeat", "-", stdin=table)["results"]["trend"]
    assert (found["n"], found["slope_per_year"]) == (4, pytest.approx(0.101, abs=0.001))


def test_too_short_a_history_says_so(shell: Shell):
    told = asked(shell, "repeat", "-", "--refit-after", "2", stdin="day_d,value_deg\n0,1\n1,1.1\n2,1\n")["results"][
        "history"
    ]
    assert "no trend statement" in told["verdict"]


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("day_d,value_deg\n5,1\n1,1\n2,1\n3,1\n", "The days are not in order"),
        ("on,value_deg\n2026-13-01,1\n", "is not a day that exists"),
        ("on,value_deg\n2026-01-01,1\n,1\n", "This is a day"),
        ("set,value_deg\na,1\nb,2\n", "No set holds two repeats."),
        ("set,value\na,1\n", "has no unit"),
    ],
)
def test_a_series_that_tells_nothing_is_refused(table: str, says: str, shell: Shell):
    result = shell("compute", "repeat", "-", stdin=table)
    assert (result.exit_code, result.stdout, says in result.stderr) == (1, "", True), result.output


@pytest.mark.parametrize(
    "called",
    [
        ("--earlier-deg", "0", "0", "0"),
        ("--first", "1", "0.1", "--unit", "deg"),
        ("--first", "1", "0.1", "--second", "1", "0.1"),
        ("--first", "1", "0.1", "--earlier-deg", "0", "0", "0"),
        ("--refit-after", "two", "-"),
    ],
)
def test_a_comparison_that_is_not_whole_is_a_wrong_call(called: tuple[str, ...], shell: Shell):
    assert shell("compute", "repeat", *called).exit_code == 2


def test_alignments_without_a_sigma_are_refused(shell: Shell):
    result = shell("compute", "repeat", *alignments([0, 0, 0], [1, 0, 0], [0, 0, 0], [1, 1, 1]))
    assert (result.exit_code, "must be over 0" in result.stderr) == (1, True)
