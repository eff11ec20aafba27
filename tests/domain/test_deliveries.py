"""Receiving: when a bag may be opened, what a seal waits for, what an inspection and a first power-up say. Pure."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.deliveries import (
    Air,
    Carton,
    PowerUp,
    dew_point_c,
    judge_power_up,
    reasons_not_accepted,
    reasons_not_to_inspect,
    reasons_not_to_open,
    reasons_of_lines,
    reasons_too_cold,
    rested_at,
)
from registry.domain.plans import Plan

IN, NOON, NIGHT = "2026-05-09T08:00:00.000000Z", "2026-05-09T12:00:00.000000Z", "2026-05-09T20:00:00.000000Z"


def carton(**told) -> Carton:
    return Carton(
        **{
            "id": "c",
            "name": "carton 1 of DN-1",
            "half_id": "s",
            "site_id": "shed",
            "taken_in_at": IN,
            "deep_cold": False,
            **told,
        }
    )


@given(st.floats(-40, 60), st.floats(1, 100))
def test_the_dew_point_is_never_above_the_air_and_rises_with_its_water(air: float, humidity: float):
    found = dew_point_c(air, humidity)
    assert found <= air + 1e-9
    assert dew_point_c(air, min(100, humidity + 1)) >= found


@pytest.mark.parametrize(("air", "humidity"), [(61, 50), (-46, 50), (20, 0), (20, 100.1)])
def test_the_formula_refuses_what_it_does_not_hold_for(air: float, humidity: float):
    with pytest.raises(ValueError, match="Magnus"):
        dew_point_c(air, humidity)


def test_unmeasured_a_unit_rests_twelve_hours_in_its_carton_four_in_its_bag_a_day_from_deep_cold():
    assert rested_at(carton(), Plan()) == NIGHT
    assert rested_at(carton(opened_at="2026-05-09T09:00:00.000000Z"), Plan()) == "2026-05-09T13:00:00.000000Z"
    assert rested_at(carton(opened_at="2026-05-09T19:00:00.000000Z"), Plan()) == NIGHT
    assert rested_at(carton(deep_cold=True, opened_at=NOON), Plan()) == "2026-05-10T08:00:00.000000Z"
    assert reasons_too_cold(carton(), Air(), NIGHT, Plan())[0] == []
    reasons, _told = reasons_too_cold(carton(), Air(), "2026-05-09T19:59:59.999999Z", Plan())
    assert [reason.code for reason in reasons] == ["too_cold"]


@pytest.mark.parametrize(("surface", "cold"), [("12.2", True), ("12.3", False), ("20", False)])
def test_measured_the_surface_is_three_degrees_above_the_dew_point(surface: str, cold: bool):
    """At 20 °C and 50 % the dew point is 9.26 °C."""
    reasons, told = reasons_too_cold(carton(), Air(surface, "20", "50"), IN, Plan())
    assert bool(reasons) is cold
    assert "dew point 9.3 °C" in told


def codes(reasons) -> list[str]:
    return [reason.code for reason in reasons]


def test_a_seal_waits_for_the_papers_or_for_a_word_why_it_is_alone():
    assert codes(reasons_not_to_open(carton(), None, None, [], NOON)) == ["not_matched"]
    assert codes(reasons_not_to_open(carton(), None, "back from repair", [], NOON)) == []
    assert codes(reasons_not_to_open(carton(), "e", None, [], NOON)) == []
    assert codes(reasons_not_to_open(carton(half_id=None), None, None, [], NOON)) == []


def test_one_pair_on_a_mat():
    other, mate = carton(id="x", half_id="other"), carton(id="y", half_id="e")
    assert codes(reasons_not_to_open(carton(), "e", None, [mate], NOON)) == []
    assert codes(reasons_not_to_open(carton(), "e", None, [mate, other], NOON)) == ["mat_in_use"]
    assert codes(reasons_not_to_open(carton(half_id=None), None, None, [other], NOON)) == []


def test_a_half_that_is_not_what_its_carton_says_is_held_or_sent_back():
    ready = carton(opened_at=IN, bag_opened_at=IN)
    assert codes(reasons_not_to_inspect(ready, "s", "it", "accept", NOON)) == []
    for outcome in ("accept", "accept_noted"):
        assert codes(reasons_not_to_inspect(ready, "x", "it", outcome, NOON)) == ["carton_differs"]
    for outcome in ("hold", "reject"):
        assert codes(reasons_not_to_inspect(ready, None, "it", outcome, NOON)) == []
    assert codes(reasons_not_to_inspect(carton(opened_at=IN), "s", "it", "accept", NOON)) == ["not_open"]


def test_every_line_that_is_not_simply_there_says_why():
    reasons = reasons_of_lines([("lead", "done", None), ("plug", "missing", None), ("cap", "damaged", "cracked")])
    assert [(reason.code, reason.field) for reason in reasons] == [("needs_reason", "lines.1.words")]


POWER = {
    "off_load_v": "24.1",
    "on_load_v": "23.8",
    "current_a": "0.9",
    "fault_mohm": "50",
    "least_v": "18",
    "most_v": "32",
}


@pytest.mark.parametrize(
    ("told", "verdict"),
    [
        ({}, "pass"),
        ({"on_load_v": "18"}, "pass"),
        ({"on_load_v": "17.9"}, "fail"),
        ({"off_load_v": "32.1"}, "fail"),
        ({"current_a": "0.00"}, "fail"),
        ({"fault_mohm": "1"}, "pass"),
        ({"fault_mohm": "0.99"}, "fail"),
        ({"fault_mohm": None}, "incomplete"),
        ({"least_v": None}, "incomplete"),
        ({"least_v": None, "current_a": "0"}, "fail"),
    ],
)
def test_a_power_up_passes_when_everything_read_is_within_its_limit(told: dict, verdict: str):
    found = judge_power_up(PowerUp(**POWER | told))
    assert found.verdict == verdict
    assert bool(found.told) is (verdict != "pass")


SEEN = {"opened_at": IN, "bag_opened_at": IN, "inspected_at": NOON}


@pytest.mark.parametrize(
    ("stands", "told", "come"),
    [
        ({}, "not inspected: it stands sealed in carton 1 of DN-1.", "open_carton"),
        ({"opened_at": IN}, "not inspected: carton 1 of DN-1 is open.", "open_bag"),
        ({"opened_at": IN, "bag_opened_at": IN}, "not inspected: carton 1 of DN-1 is open.", "inspect_half"),
        (SEEN | {"outcome": "reject"}, "rejected at its inspection, 9 May 2026, 12:00 UTC.", None),
        (SEEN | {"outcome": "accept"}, None, None),
        (SEEN | {"outcome": "accept_noted"}, None, None),
        (SEEN | {"outcome": "hold"}, None, None),  # the hold itself stands against it, until it is released
    ],
)
def test_what_receiving_has_not_let_in_says_why_and_what_comes_next(stands: dict, told: str | None, come: str | None):
    reasons = reasons_not_accepted(carton(**stands), "Sensor half K7Q2", "sensor")
    if told is None:
        assert reasons == []
    else:
        (reason,) = reasons
        assert (reason.code, reason.field, reason.overridable) == ("not_accepted", "sensor", True)
        assert reason.message == f"Sensor half K7Q2 is {told}"
        assert (reason.offer.act if reason.offer else None) == come


def test_a_half_that_never_came_in_a_carton_is_not_asked_for_one():
    assert reasons_not_accepted(None, "Sensor half K7Q2", "sensor") == []
