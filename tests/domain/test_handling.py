"""The verdict over a sign-off and over a station’s check: worked out from readings, meters, the plan and the last check."""

from dataclasses import replace

import pytest

from registry.domain.handling import (
    CHECKED,
    Insulator,
    LastCheck,
    MeterUsed,
    ReadingsTaken,
    judge_check,
    judge_signoff,
)
from registry.domain.plans import Plan, PlanFigure
from registry.domain.readings import METER_KINDS, QUANTITIES, Reading

DAY = "2026-05-10"
GOOD = {"strap_mohm": "7", "surface_mohm": "40", "field_kv_m": "0.4", "bond_mohm": "12"}
METERS = tuple(MeterUsed(kind, kind.upper(), kind, DAY) for kind in METER_KINDS)
CHECK = LastCheck("pass", "2026-04-10", DAY)


def readings(**figures: str | None) -> dict[str, Reading]:
    return {name: Reading(value) for name, value in (GOOD | figures).items() if value is not None}


def taken(kind: str = "protected_area", **more) -> ReadingsTaken:
    told = {
        "plan": Plan(),
        "on": DAY,
        "readings": readings(),
        "meters": METERS,
        "insulators_cleared": True,
        "gloves_on": True,
    }
    return ReadingsTaken(kind=kind, **(told | {"check": CHECK if kind == "field_kit" else None} | more))


def allowing(*names: str) -> Plan:
    return Plan(
        {name: PlanFigure(name, "yes", "shed", f"{DAY}T00:00:00.000000Z", "qualified", "plan", 1) for name in names}
    )


ASKED = {"protected_area": {"strap_mohm", "surface_mohm", "field_kv_m"}, "field_kit": {"strap_mohm", "bond_mohm"}}


@pytest.mark.parametrize("kind", ASKED)
@pytest.mark.parametrize("missing", GOOD)
def test_what_a_station_asks_for_and_nothing_else_is_missed(kind: str, missing: str):
    found = judge_signoff(taken(kind, readings=readings(**{missing: None})))
    assert found.verdict == ("incomplete" if missing in ASKED[kind] else "pass"), found.reasons


@pytest.mark.parametrize("quantity", [name for name in QUANTITIES if name.endswith("mohm")])
def test_a_reading_nobody_asked_for_still_fails(quantity: str):
    for kind in ASKED:
        read = readings() | {quantity: Reading(None, True)}
        assert judge_signoff(taken(kind, readings=read)).verdict == "fail"


#: name -> (kind, what is otherwise, verdict, the beginning of a reason)
CASES = {
    "untrained": ("protected_area", {"trained": False}, "fail", "Your ESD training"),
    "no meter for the surface": ("protected_area", {"meters": METERS[:1] + METERS[2:]}, "incomplete", "Which meter read it is not said: Bench"),
    "a meter overdue": ("protected_area", {"meters": tuple(replace(m, due_on="2026-05-09") for m in METERS)}, "incomplete", "Meter STRAP was due on 9 May 2026"),
    "a meter never calibrated": ("field_kit", {"meters": (replace(METERS[1], due_on=None),)}, "incomplete", "No calibration of meter RESISTANCE"),
    "a meter that read nothing is not looked at": ("field_kit", {"meters": (METERS[1], replace(METERS[2], due_on=None)), "readings": {n: r for n, r in readings().items() if n in ASKED["field_kit"]}}, "pass", None),
    "a surface known from the check": ("protected_area", {"readings": readings(surface_mohm=None), "check": CHECK}, "pass", None),
    "a surface from a check that is over": ("protected_area", {"readings": readings(surface_mohm=None), "check": replace(CHECK, good_to_on="2026-05-09")}, "incomplete", "Bench surface to ground is not read"),
    "a station that failed its check": ("protected_area", {"check": replace(CHECK, verdict="fail", good_to_on=None)}, "fail", "The station failed its check"),
    "a kit never checked": ("field_kit", {"check": None, "readings": readings(surface_mohm=None)}, "incomplete", "No check of this kit"),
    "a kit whose mat is read now": ("field_kit", {"check": None}, "pass", None),
    "a kit overdue": ("field_kit", {"check": replace(CHECK, good_to_on="2026-05-09"), "readings": readings(surface_mohm=None)}, "incomplete", "The check of this kit was good to 9 May"),
    "a kit half checked": ("field_kit", {"check": replace(CHECK, verdict="incomplete", good_to_on=None), "readings": readings(surface_mohm=None)}, "incomplete", "The check of this kit on"),
    "a kit, insulators near": ("field_kit", {"insulators_cleared": False}, "incomplete", "Insulators are not cleared"),
    "a kit, bare hands": ("field_kit", {"gloves_on": False}, "incomplete", "Dissipative gloves"),
    "footwear, plan silent": ("protected_area", {"readings": readings(strap_mohm=None, footwear_mohm="40")}, "incomplete", "Wrist strap is not read"),
    "footwear by the plan": ("protected_area", {"readings": readings(strap_mohm=None, footwear_mohm="40"), "plan": allowing("standing_by_footwear")}, "pass", None),
    "footwear on a deck": ("field_kit", {"readings": readings(strap_mohm=None, footwear_mohm="40"), "plan": allowing("standing_by_footwear")}, "incomplete", "Wrist strap"),
    "a garment by the plan": ("field_kit", {"readings": readings(strap_mohm=None, garment_mohm="9"), "plan": allowing("garment_for_strap")}, "pass", None),
    "a garment at its limit": ("field_kit", {"readings": readings(strap_mohm=None, garment_mohm="35"), "plan": allowing("garment_for_strap")}, "fail", "Person through the groundable garment fails high"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_sign_off_is_judged(name: str):
    kind, more, verdict, reason = CASES[name]
    found = judge_signoff(taken(kind, **more))
    assert found.verdict == verdict, found.reasons
    assert reason is None or any(told.startswith(reason) for told in found.reasons), found.reasons


@pytest.mark.parametrize(
    ("potential_v", "distance_cm", "far"),
    # ANSI/ESD S20.20-2021 8.3.1, IEC 61340-5-1: over 2,000 V kept 30 cm off, over 125 V kept 2.5 cm off
    [("2000", "2.5", True), ("2000.1", "29.9", False), ("-2000.1", "30", True), ("125", "0", True), ("126", "2.4", False), ("-126", "2.5", True)],
)  # fmt: skip
def test_an_insulator_is_kept_off_as_far_as_its_charge_asks(potential_v: str, distance_cm: str, far: bool):
    read = readings(field_kv_m=None)
    found = judge_signoff(taken(readings=read, insulators=(Insulator("cup", potential_v, distance_cm),)))
    assert (found.insulators, found.verdict) == ((far,), "pass" if far else "fail")


@pytest.mark.parametrize("kind", CHECKED)
def test_a_check_asks_for_all_of_it_and_for_a_look(kind: str):
    assert judge_check(taken(kind, looks_sound=True)).verdict == "pass"
    assert judge_check(taken(kind)).verdict == "incomplete"
    for missing in CHECKED[kind]:
        found = judge_check(taken(kind, looks_sound=True, readings=readings(**{missing: None})))
        assert found.verdict == "incomplete"
        assert any(QUANTITIES[missing].label in told for told in found.reasons)
