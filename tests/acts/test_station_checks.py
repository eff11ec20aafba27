"""The periodic check of a station: what it asks for, until when it speaks, and what a fail stops."""

import pytest

from tests.acts.stage import Stage

GOOD = {"surface_mohm": "40", "field_kv_m": "0.4", "looks_sound": True, "meters": ["RM-1", "FM-2"]}
BENCH = {"strap_mohm": "7", "field_kv_m": "0.4", "meters": ["BT-04", "RM-1", "FM-2"]}


def test_a_check_speaks_for_the_mat_for_three_months(stages: Stage):
    done = stages.do("check_station", "10 08:00", by="oda", station="bench", **GOOD)
    row = stages.row("station_check", id=done.entry.id)
    assert (row.verdict, row.good_to_on) == ("pass", "2026-08-10")
    signed = stages.do("sign_esd", "10 09:00", station="bench", **BENCH)
    assert signed.entry.decided["verdict"] == "pass"
    assert stages.row("esd_signoff", id=signed.entry.id).station_check_id == done.entry.id
    assert stages.unlike() == []


@pytest.mark.parametrize(
    ("told", "verdict"),
    [
        ({}, "pass"), ({"surface_mohm": "1000"}, "fail"), ({"looks_sound": False}, "incomplete"), ({"field_kv_m": None}, "incomplete"),
        ({"floor_mohm": "2000"}, "fail"), ({"ioniser_offset_v": "-35"}, "fail"), ({"meters": ["RM-1"]}, "incomplete"),
        ({"surface_mohm": None, "surface_open": True}, "fail"), ({"ioniser_decay_s": "2"}, "incomplete"),
    ],
)  # fmt: skip
def test_a_check_is_judged_by_its_readings(told: dict, verdict: str, stage: Stage):
    done = stage.do("check_station", "10 08:00", by="oda", station="bench", **GOOD | told)
    row = stage.row("station_check", id=done.entry.id)
    assert (row.verdict, row.good_to_on is None) == (verdict, verdict != "pass")
    assert (done.remarks == []) == (verdict == "pass")


def test_a_station_that_failed_stays_out_of_use_until_a_check_passes(stage: Stage):
    stage.do("check_station", "10 08:00", by="oda", station="bench", **GOOD | {"surface_mohm": "2000"})
    failed = stage.do("sign_esd", "10 09:00", station="bench", **BENCH | {"surface_mohm": "40"})
    assert failed.entry.decided["verdict"] == "fail"
    stage.do("check_station", "10 10:00", by="oda", station="bench", **GOOD)
    assert stage.do("sign_esd", "10 11:00", station="bench", **BENCH).entry.decided["verdict"] == "pass"


def test_a_kit_that_was_not_checked_for_a_month_is_not_complete(stage: Stage):
    kit = {"strap_mohm": "7", "bond_mohm": "9", "insulators_cleared": True, "gloves_on": True, "meters": ["RM-1"]}
    stage.later(days=30)
    stage.do("record_training", "31 09:00", by="maren", person="ida", subject="esd", trained_on="2026-05-30")
    assert stage.do("sign_esd", "2026-06-01T09:00:00Z", station="kit", **kit).entry.decided["verdict"] == "pass"
    late = stage.do("sign_esd", "2026-06-02T09:00:00Z", station="kit", **kit)
    assert late.remarks == ["The check of this kit was good to 1 June 2026. Check it again, or read its mat now."]
    stage.check_kit("2026-06-02T10:00:00Z")
    assert stage.do("sign_esd", "2026-06-02T11:00:00Z", station="kit", **kit).entry.decided["verdict"] == "pass"
