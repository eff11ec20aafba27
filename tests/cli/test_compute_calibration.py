"""Budgets, decisions and intervals at the shell, against the guides’ own examples."""

import json

import pytest

from tests.cli.fixtures import Shell
from tests.cli.published import case, words
from tests.cli.test_compute_mounting import asked


def test_a_budget_is_the_root_of_the_sum_of_squares(shell: Shell):
    """Case U-BIAS-BUDGET: certificate with k = 2, drift within limits, display step, six repeats; JCGM 100."""
    expected = case("U-BIAS-BUDGET")["expected"]
    # Six readings whose standard deviation is 0.0008, so that of their mean is 0.0008/√6.
    spread = 0.0008 * (5 / 6) ** 0.5
    readings = ",".join(map(repr, (spread, -spread) * 3))
    found = asked(
        shell, "uncertainty", "--unit", "deg/h", "--certificate", "standard", "0.002", "2", "--limits", "drift", "0.0005",
        "rectangular", "--resolution", "display", "0.0001", "--readings", "repeats", readings,
    )["results"]["budget"]  # fmt: skip
    assert (found["u"], found["expanded"]) == (
        pytest.approx(expected["uc_deg_per_h"], rel=1e-5),
        pytest.approx(expected["U_k2_deg_per_h"], rel=1e-5),
    )
    assert (found["k"], found["unit"], found["coverage"]) == (2.0, "deg/h", pytest.approx(0.9545))


def test_few_readings_take_the_t_factor(shell: Shell):
    """JCGM 100:2008 G.4.1: effective degrees of freedom 19.0, t 2.093."""
    inputs, expected = (case("GUM-G.4.1")[part] for part in ("inputs", "expected"))
    sides = zip(inputs["relative_u_percent"], inputs["n_readings"], strict=True)
    table = "\n".join(["name,u [%],dof", *(f"part {n},{u},{count - 1}" for n, (u, count) in enumerate(sides))])
    found = asked(shell, "uncertainty", "-", "--coverage-percent", "95", stdin=table)["results"]["budget"]
    assert found["u"] == pytest.approx(expected["uc_percent"], abs=5e-5)
    assert round(found["dof"], 1) == expected["nu_eff"]
    assert (found["k"], found["unit"]) == (pytest.approx(expected["t95_at_19"], abs=5e-4), "%")


def test_what_hangs_on_one_reference_adds_straight(shell: Shell):
    """JCGM 100:2008 5.2.2: ten resistors of 0.1 ohm against one standard are 1.0 ohm, not 0.32."""
    expected = case("GUM-5.2.2")["expected"]
    lines = [f"R{n},0.1,{{}}" for n in range(10)]
    for shared, key in (("standard", "u_total_correlated_ohm"), ("", "u_total_independent_ohm")):
        table = "\n".join(["name,u_ohm,shared", *lines]).format(*[shared] * 10)
        found = asked(shell, "uncertainty", "-", stdin=table)["results"]["budget"]
        assert found["u"] == pytest.approx(expected[key], abs=5e-7)


def test_a_budget_as_words_has_a_line_for_each_part(shell: Shell):
    """JCGM 100 equation (10): 3 and 4 are 5 (case U-RSS-345)."""
    told = shell("compute", "uncertainty", "--unit", "ohm", "--part", "bridge", "3", "--part", "lead", "4").stdout
    assert told.startswith("± 10 ohm (k = 2.00, 95%).\nThe largest line is lead")
    assert "  standard uncertainty u  5 ohm\n" in told and told.endswith("bridge: 3 ohm.\nlead: 4 ohm.\n")


@pytest.mark.parametrize(
    ("called", "says"),
    [
        (("--part", "noise", "-1"), "The uncertainty of noise is -1"),
        (("--readings", "repeats", "1"), "1 of the 2 values that are needed"),
        (("--certificate", "standard", "1", "0"), "must be over 0"),
    ],
)
def test_a_line_that_cannot_be_is_refused(called: tuple[str, ...], says: str, shell: Shell):
    result = shell("compute", "uncertainty", "--unit", "deg", *called)
    assert (result.exit_code, says in result.stderr) == (1, True), result.stderr


@pytest.mark.parametrize(
    "called",
    [
        ("--part", "noise", "0.1"),
        ("budget.csv", "--part", "noise", "0.1"),
        ("--unit", "deg", "--part", "noise", "much"),
        ("--unit", "deg", "--limits", "mark", "0.1", "square"),
        ("--unit", "deg", "--readings", "repeats", "1;2"),
    ],
)
def test_a_budget_that_is_asked_for_wrongly_is_a_wrong_call(called: tuple[str, ...], shell: Shell):
    assert shell("compute", "uncertainty", *called).exit_code == 2


def test_a_unit_that_is_not_that_of_the_headers_is_refused(shell: Shell):
    result = shell("compute", "uncertainty", "-", "--unit", "deg", stdin="name,u_ohm\nbridge,3\n")
    assert (result.exit_code, "The call says deg; the headers say ohm." in result.stderr) == (1, True)
    result = shell("compute", "decision", "-", stdin="name,value_deg,u_rad\nyaw,1,0.1\n")
    assert (result.exit_code, "The values are in different units: deg, rad." in result.stderr) == (1, True)


RULES = (("simple", "simple"), ("guarded", "guard_w_U"), ("four-way", "four_way"))


@pytest.mark.parametrize(("rule", "key"), RULES)
def test_a_row_of_values_is_judged_as_the_rule_has_it(rule: str, key: str, shell: Shell):
    """Case BIAS-TOL-0.010: ILAC-G8:09/2019 4.2, JCGM 106."""
    found = case("BIAS-TOL-0.010")
    rows = found["rows"]
    table = "\n".join(["name,value_deg_h", *(f"run {n},{row['y']}" for n, row in enumerate(rows))])
    tolerance = ("--lower", "-0.01", "--upper", "0.01", "--u", "0.001", "--rule", rule)
    told = asked(shell, "decision", "-", *tolerance, stdin=table)["results"]
    assert [told[f"run {n}"]["outcome"] for n in range(len(rows))] == [row[key] for row in rows]
    assert [told[f"run {n}"]["p_conform"] for n in range(len(rows))] == pytest.approx(
        [row["p_inside_tolerance"] for row in rows], abs=1e-6
    )
    assert {each["unit"] for each in told.values()} == {"deg/h"}


def test_a_conformance_probability_is_that_of_the_guide(shell: Shell):
    """JCGM 106:2012 7.4: 13.6 with u = 1.8 within 12.5 to 16.3 conforms with 0.66."""
    inputs, expected = (case("JCGM106-7.4")[part] for part in ("inputs", "expected"))
    y, u, lower, upper = (repr(inputs[key]) for key in ("y", "u", "TL", "TU"))
    called = (
        "decision",
        "--value",
        y,
        "--u",
        u,
        "--lower",
        lower,
        "--upper",
        upper,
        "--unit",
        "mm",
        "--rule",
        "simple",
    )
    assert asked(shell, *called)["results"]["decision"]["p_conform"] == pytest.approx(expected["p_conform"], abs=5e-6)
    told = shell("compute", *called).stdout
    assert "expanded uncertainty U     3.6 mm" in told and "Method: decision 2026-1 (ILAC-G8" in told


def test_rows_may_bring_their_own_limits_and_options_fill_the_rest(shell: Shell):
    table = "name;value_deg;upper_deg;u_deg\nyaw;0.05;0.1;\nroll;0.05;;0.001\n"
    told = asked(shell, "decision", "-", "--upper", "0.04", "--expanded", "0.02", "--k", "2", stdin=table)["results"]
    assert [(told[name]["upper"], told[name]["u"]) for name in ("yaw", "roll")] == [(0.1, 0.01), (0.04, 0.001)]
    assert [told[name]["outcome"] for name in ("yaw", "roll")] == ["pass", "fail"]


def test_the_guard_band_is_as_wide_as_agreed(shell: Shell):
    """0.83 expanded uncertainties leave 5 % of false accepts (ILAC-G8 table 1)."""
    called = ("decision", "--value", "0.065", "--upper", "0.1", "--expanded", "0.04", "--unit", "deg")
    found = [asked(shell, *called, "--guard-multiple", r)["results"]["decision"] for r in ("1", "0.83")]
    assert [each["outcome"] for each in found] == ["fail", "pass"]
    assert found[1]["guard"] == pytest.approx(0.83 * 0.04)


@pytest.mark.parametrize(
    ("called", "says"),
    [
        (("--value", "1", "--unit", "deg"), "No limit is on record."),
        (("--value", "1", "--unit", "deg", "--upper", "2"), "The uncertainty is not stated"),
        (("--value", "1", "--unit", "deg", "--upper", "2", "--lower", "3", "--u", "1"), "is not under the upper one"),
    ],
)
def test_a_value_that_cannot_be_judged_is_refused(called: tuple[str, ...], says: str, shell: Shell):
    result = shell("compute", "decision", *called)
    assert (result.exit_code, result.stdout, says in result.stderr) == (1, "", True)


def test_rows_of_one_name_are_refused_and_not_lost(shell: Shell):
    result = shell("compute", "decision", "-", "--upper", "2", "--u", "0.1", stdin="name,value_deg\nyaw,1\nyaw,3\n")
    assert (result.exit_code, "Two rows are both called yaw." in result.stderr) == (1, True)


def test_a_value_without_its_unit_is_a_wrong_call(shell: Shell):
    assert shell("compute", "decision", "--value", "1", "--upper", "2").exit_code == 2


@pytest.mark.parametrize("name", ["ST-1", "ST-2", "ST-3", "ST-5", "ST-6"])
def test_an_interval_goes_up_and_down_by_steps(name: str, shell: Shell):
    """ILAC-G24 / OIML D 10, staircase; the guide gives no step sizes, ours stand in the case."""
    one = case(name)
    called = ("--interval-days", str(one["interval_days"]), "--tolerance", repr(one["mpe"]), "--unit", "deg/h")
    found = asked(shell, "interval", *called, "--as-found", repr(one["as_found_error"]))["results"]["interval"]
    assert (found["step"], found["new_days"]) == (one["action"], one["new_interval_days"])
    assert found["needs_approval"] is (one["action"] == "extend")


def test_the_day_it_is_due_is_told_for_both_intervals(shell: Shell):
    called = (
        "interval",
        "--interval-days",
        "365",
        "--tolerance",
        "0.01",
        "--unit",
        "deg/h",
        "--calibrated-on",
        "2026-02-11",
    )
    told = asked(shell, *called, "--as-found", "0.004")
    assert told["notes"] == ["Due on 2027-05-13, after 456 days; by the interval in force on 2027-02-11."]
    told = shell("compute", *called).stdout
    assert told.startswith("There is no as-found reading") and "  new             365 days" in told


def test_check_readings_have_their_chart(shell: Shell):
    """Case CC-3SIGMA: mean ± 3 s, common practice."""
    inputs, expected = (case("CC-3SIGMA")[part] for part in ("inputs", "expected"))
    lines = [f"{value!r},0" for value in inputs["readings"]] + [f"{value!r},1" for value in inputs["new_readings"]]
    found = asked(shell, "interval", "-", stdin="\n".join(["value_deg_h,new", *lines]))["results"]["chart"]
    assert [found[key] for key in ("mean", "s", "upper", "lower")] == pytest.approx(
        [expected[key] for key in ("mean", "s", "ucl", "lcl")], rel=1e-6
    )
    assert found["new_in_control"] == expected["new_in_control"]


def test_hours_or_days_end_an_interval_whichever_comes_first(shell: Shell):
    for one in case("IU-HOURS")["cases"]:
        found = asked(shell, "interval", "--hours-run-h", repr(one["hours"]), "--days-passed", repr(one["days"]))[
            "results"
        ]["use"]
        assert (found["due"], found["by"]) == (one.get("due", False), one.get("by"))
        assert found["hours_left"] == one.get("hours_left", found["hours_left"])


def test_an_interval_that_cannot_be_is_refused(shell: Shell):
    result = shell("compute", "interval", "--interval-days", "365", "--tolerance", "0", "--unit", "deg")
    assert (result.exit_code, "The tolerance is 0" in result.stderr) == (1, True)
    result = shell("compute", "interval", "-", stdin="value_deg\n1\n2\n")
    assert (result.exit_code, "2 of the 5 values that are needed" in result.stderr) == (1, True)


@pytest.mark.parametrize(
    "called",
    [
        ("--interval-days", "365"),
        ("--interval-days", "soon", "--tolerance", "1", "--unit", "deg"),
        ("--interval-days", "365", "--tolerance", "1", "--unit", "deg", "--calibrated-on", "11.2.2026"),
        ("--hours-run-h", "100"),
        ("--interval-days", "365", "--hours-run-h", "100"),
    ],
)
def test_an_interval_that_is_asked_for_wrongly_is_a_wrong_call(called: tuple[str, ...], shell: Shell):
    assert shell("compute", "interval", *called).exit_code == 2


def test_numbers_are_typed_as_they_are():
    assert words(0.1, -2) == ["0.1", "-2.0"] and json.loads(words(1e-5)[0]) == 1e-5
