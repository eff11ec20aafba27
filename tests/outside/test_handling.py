"""Handling against published limits: ESD readings, the leak test by the gas law, due dates (data/handling_cases.json)."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from registry.domain.calendar import months_later
from registry.domain.handling import MeterUsed, ReadingsTaken, judge_signoff
from registry.domain.openings import JUDGED_BY, LeakTest, judge_leak_test
from registry.domain.people import Trained, reasons_not_trained
from registry.domain.plans import ITEMS, Plan
from registry.domain.readings import METER_KINDS, QUANTITIES, Reading, judge_reading, limit_of

CASES = json.loads((Path(__file__).parent / "data" / "handling_cases.json").read_text("utf-8"))
LIMITS = {name: limit_of(name, Plan()) for name in QUANTITIES}
QUANTITY = {
    "wrist strap system": ("strap_mohm", Decimal("1e-6")),
    "wrist strap system, open circuit": ("strap_mohm", Decimal("1e-6")),
    "work surface to ground": ("surface_mohm", Decimal("1e-6")),
    "field at the unit": ("field_kv_m", Decimal("1e-3")),
}
#: Our limit -> the published one, and what its unit is in ours.
PUBLISHED = {
    "strap_mohm": ("ws-system", "1e-6"),
    "surface_mohm": ("wsf-ground", "1e-6"),
    "field_kv_m": ("ins-field", "1e-3"),
    "bond_mohm": ("esd-equipotential", "1e-6"),
}


#: The defaults of the plan by which leak tests are judged.
LEAK = tuple(ITEMS[name].default for name in JUDGED_BY)


def _named(cases: list[dict]) -> list:
    return [pytest.param(case, id=case["id"]) for case in cases]


@pytest.mark.parametrize("quantity", PUBLISHED)
def test_a_limit_is_the_published_one(quantity: str):
    name, scale = PUBLISHED[quantity]
    published = next(limit for limit in CASES["limits"] if limit["id"] == name)
    assert published["op"] == "<"
    assert Decimal(LIMITS[quantity].below) == Decimal(str(published["value"])) * Decimal(scale)
    assert published["standard"].split(";")[0].removeprefix("ANSI/ESD ") in LIMITS[quantity].source


def test_the_lower_limit_of_a_strap_is_a_tester_setting_and_said_to_be():
    published = next(limit for limit in CASES["limits"] if limit["id"] == "ws-lower")
    assert Decimal(LIMITS["strap_mohm"].least) == Decimal(str(published["value"])) * Decimal("1e-6")
    assert "common practice" in LIMITS["strap_mohm"].source


@pytest.mark.parametrize("case", _named(CASES["esd_verdicts"]["single"]))
def test_a_reading_is_judged_as_the_table_has_it(case):
    quantity, scale = QUANTITY[case["quantity"]]
    value = None if case["reading"] is None else format(Decimal(str(case["reading"])) * scale, "f")
    assert judge_reading(quantity, Reading(value, case["open_circuit"]), LIMITS[quantity]).verdict == case["verdict"]


def test_the_field_limit_is_per_inch_and_not_per_metre():
    """125 V per inch is 4,921 V/m, which passes; 125 V/m would be forty times too strict."""
    per_inch = Decimal(str(CASES["esd_verdicts"]["unit_trap"]["125_V_per_inch_in_V_per_m"])) / 1000
    assert judge_reading("field_kv_m", Reading(format(per_inch, "f")), LIMITS["field_kv_m"]).verdict == "pass"
    assert Decimal(125) / Decimal("0.0254") == pytest.approx(per_inch * 1000, rel=Decimal("1e-6"))


READINGS = {
    True: {"strap_mohm": "7", "surface_mohm": "40", "field_kv_m": "0.4"},
    False: {"strap_mohm": "40", "surface_mohm": "1000", "field_kv_m": "6"},
}


@pytest.mark.parametrize("case", _named(CASES["esd_verdicts"]["combine"]))
def test_readings_together_are_judged_as_the_rule_has_it(case):
    passes = {"strap_mohm": case["strap_pass"], "surface_mohm": case["surface_pass"], "field_kv_m": case["field_pass"]}
    readings = {name: Reading(READINGS[passed][name]) for name, passed in passes.items() if passed is not None}
    meters = tuple(MeterUsed(kind, kind, kind, "2026-09-01") for kind in METER_KINDS)
    found = judge_signoff(ReadingsTaken("protected_area", Plan(), "2026-05-10", readings, meters))
    assert found.verdict == case["overall"]


@pytest.mark.parametrize("case", _named(CASES["leak_test"]["cases"]))
def test_a_closed_volume_follows_the_gas_law(case):
    """A volume whose pressure moved as p1·T2/T1 has not leaked: the change told is nil, to the hundredth of a millibar."""
    test = LeakTest(case["start_mbar"], case["start_c"], case["expected_mbar"], case["end_c"], "30", *LEAK)
    found = judge_leak_test(test)
    assert (found.verdict, abs(Decimal(found.change_mbar))) == ("holds", Decimal("0.00"))


@pytest.mark.parametrize("case", _named(CASES["leak_test"]["cases"]))
def test_one_kelvin_is_more_than_the_limit_itself(case):
    per_kelvin = Decimal(case["start_mbar"]) / (Decimal(case["start_c"]) + Decimal("273.15"))
    assert per_kelvin.quantize(Decimal("0.01")) == Decimal(case["per_kelvin_mbar"])
    assert per_kelvin > Decimal(ITEMS["leak_below_mbar"].default)


@pytest.mark.parametrize("case", _named([case for case in CASES["due_dates"]["cases"] if "cal" in case]))
def test_a_due_date_is_so_many_calendar_months_later(case):
    assert months_later(case["cal"], case["months"]) == case["due"]


@pytest.mark.parametrize("case", _named([case for case in CASES["due_dates"]["cases"] if "on" in case]))
def test_a_due_date_counts_through_its_own_day(case):
    trained = [Trained("esd", "2025-01-01", case["due"])]
    at = f"{case['on']}T23:59:59.999999Z" if case["in_date"] else f"{case['on']}T00:00:00.000000Z"
    assert (reasons_not_trained("you", "esd", trained, at) == []) == case["in_date"]
