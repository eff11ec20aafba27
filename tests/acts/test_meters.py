"""Meters: calibrated, due, found out of tolerance, out of use; a reading counts only with a meter in date."""

from tests.acts.stage import Stage

BENCH = {"strap_mohm": "7", "surface_mohm": "40", "field_kv_m": "0.4", "meters": ["BT-04", "RM-1", "FM-2"]}
FOUND = {"as_found": "within", "certificate": "C-9"}


def test_a_reading_counts_to_the_last_day_its_meter_is_good_for(stages: Stage):
    stages.do(
        "record_meter_calibration",
        "9 09:00",
        by="oda",
        meter="BT-04",
        calibrated_on="2025-12-01",
        due_on="2026-05-10",
        **FOUND,
    )
    last = stages.do("sign_esd", "10 09:00", station="bench", **BENCH)
    over = stages.do("sign_esd", "11 09:00", station="bench", **BENCH)
    assert [done.entry.decided["verdict"] for done in (last, over)] == ["pass", "incomplete"]
    assert over.remarks == ["Meter BT-04 was due on 10 May 2026."]
    row = stages.row("esd_reading", esd_signoff_id=over.entry.id, quantity="strap_mohm")
    assert (row.meter_id, row.meter_due_on) == (stages.ids["BT-04"], "2026-05-10")
    assert stages.unlike() == []


def test_a_calibration_without_a_day_is_due_as_the_plan_says(stage: Stage):
    figure = {"figure": "meter_months", "site": "shed", "value": "6", "reason": "rough handling", "source": "plan"}
    stage.do("set_plan_figure", "9 08:00", by="oda", **figure)
    done = stage.do("record_meter_calibration", "9 09:00", by="oda", meter="RM-1", calibrated_on="2026-05-01", **FOUND)
    assert stage.row("meter_calibration", id=done.entry.id).due_on == "2026-11-01"


def test_a_meter_found_out_of_tolerance_counts_what_rests_on_it(stage: Stage):
    """Sign-offs and checks since it was last known good, and none before (ISO 9001 7.1.5.2 asks for them)."""
    stage.do("sign_esd", "10 09:00", station="bench", **BENCH)
    told = {"calibrated_on": "2026-05-12", "as_found": "outside", "certificate": "C-10"}
    done = stage.do("record_meter_calibration", "12 09:00", by="oda", meter="FM-2", **told)
    begun = "FM-2 was found out of tolerance: 3 sign-offs and 1 check of stations rest on it since 1 September 2025"
    assert done.remarks[0].startswith(begun)
    again = {**told, "calibrated_on": "2026-05-13"}
    assert (
        "0 sign-offs and 0 checks"
        in stage.do("record_meter_calibration", "13 09:00", by="oda", meter="FM-2", **again).remarks[0]
    )


def test_a_calibration_is_refused(stage: Stage):
    sent = stage.sent(
        "record_meter_calibration", "10 09:00", meter="RM-1", calibrated_on="2026-07-01", due_on="2026-06-01", **FOUND
    )
    assert stage.refusal(sent, "oda") == {"in_the_future": "calibrated_on", "wrong_form": "due_on"}


def test_a_meter_is_added_once_and_taken_out_of_use_once(stages: Stage):
    known = stages.sent("add_meter", site="shed", reads="resistance") | {"meter": "RM-1"}
    assert stages.refusal(known, "oda") == {"already_known": "meter"}
    stages.do("retire_meter", "10 09:00", by="oda", meter="RM-1", reason="dropped")
    sent = stages.sent("retire_meter", "11 09:00", meter="RM-1", reason="dropped")
    assert stages.refusal(sent, "oda") == {"already_so": "meter"}
    assert stages.unlike() == []
