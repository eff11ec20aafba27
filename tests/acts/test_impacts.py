"""Impacts over a record: windows and lines by the published cases, the hold that waits for answers, the count anew.

The look-back cases are those of tests/outside/data/calibration_cases.json, `look_back`: the rule is that of ISO 10012 and
ISO 9001, 7.1.5.2; here they are told to the registry as acts and read off its list.
"""

import json
import math
import uuid
from pathlib import Path

import pytest

from tests.acts.stage import Stage

CASES = {
    case["id"]: case
    for case in json.loads((Path(__file__).parents[1] / "outside/data/calibration_cases.json").read_text())[
        "look_back"
    ]["cases"]
}


def instant(day: str, clock: str = "09:00") -> str:
    return f"{day}T{clock}:00Z"


def sailed(stage: Stage, reference: str, vehicle: str, first: str, last: str | None = None, **more: str) -> None:
    told = {"vehicle": vehicle, "reference": reference, "area": "Sill", "distance_km": "10", **more}
    stage.do("record_mission", instant(first, "10:00"), ended_at=instant(last or first, "16:00"), **told)


def stayed(stage: Stage, pair: str, bay: str, first: str, last: str | None = None) -> None:
    stage.sign("ida", instant(first, "07:00"))
    stage.install(pair, bay, instant(first, "08:00"), **({"removed_at": instant(last, "08:00")} if last else {}))


def opened(stage: Stage, when: str, by: str = "vera", **found: str) -> str:
    return stage.do("open_impact", when, by=by, reason="found bad", **found).entry.id


def listed(stage: Stage, impact: str, kind: str = "mission") -> list[str]:
    rows = [row for row in stage.rows("impact_line", impact_id=impact, kind=kind) if row.dropped_at is None]
    return sorted(row.told.split(",")[0] for row in rows)


def late(stage: Stage) -> None:
    """The cases run into the summer."""
    stage.later(days=80)


def test_lb_1_what_overlaps_the_window_is_listed_and_what_began_after_it_is_not(stage: Stage):
    late(stage)
    case = CASES["LB-1"]
    stage.mark()
    stage.verify("p1", instant(case["last_good"], "07:00"), review=False)
    stayed(stage, "p1", "teasel A", "2026-01-02")
    one, two, three, after = case["missions"]
    # In the case M2 begins before M1 ends; here a vehicle is on one mission at a time, so it begins that evening.
    for mission, first, clock in (
        (one, one["start"], "10:00"),
        (two, one["end"], "17:00"),
        (three, three["start"], "10:00"),
    ):
        told = {"vehicle": "teasel", "reference": mission["id"], "area": "Sill", "distance_km": "10"}
        stage.do("record_mission", instant(first, clock), ended_at=instant(mission["end"], "16:00"), **told)
    found = opened(stage, instant(case["found_oot"]), pair="p1")
    stage.remove("p1", "teasel A", instant(case["found_oot"], "12:00"), already_done=True, why_out_of_order="late")
    sailed(stage, after["id"], "teasel", after["start"], after["end"])
    assert listed(stage, found) == case["needs_assessment"]
    assert "already_so" in stage.refused("count_impact", "2026-07-20T09:00:00Z", by="vera", impact=found)


def test_lb_2_the_fitted_on_dates_are_followed_and_not_the_unit_a_vehicle_has_today(stage: Stage):
    late(stage)
    case = CASES["LB-2"]
    stage.mark()
    stage.verify("p1", instant(case["last_good"], "07:00"), review=False)
    stayed(stage, "p1", "teasel A", "2026-01-12", "2026-04-01")
    stayed(stage, "p1", "burdock A", "2026-04-01")
    vehicles = {"A": "teasel", "B": "burdock"}
    for mission in case["missions"]:
        sailed(stage, mission["id"], vehicles[mission["vehicle"]], mission["start"])
    assert listed(stage, opened(stage, instant(case["found_oot"]), pair="p1")) == case["needs_assessment"]


def test_lb_3_a_strap_tester_pulls_in_sign_offs_the_day_of_the_last_good_check_included(stage: Stage):
    case = CASES["LB-3"]
    told = {"meter": "BT-04", "calibrated_on": "2026-05-01", "as_found": "within", "certificate": "C-77"}
    stage.do("record_meter_calibration", "1 08:00", by="oda", **told)
    for day in case["sign_offs"]:
        stage.sign("vera", instant(day, "06:00"))
    found = opened(stage, "20 10:00", meter="BT-04")
    rows = stage.rows("impact_line", impact_id=found, kind="esd_signoff")
    signed = {stage.row("esd_signoff", id=row.esd_signoff_id).signed_at[:10] for row in rows}
    assert signed == set(case["needs_assessment"])
    assert stage.rows("impact_hold", impact_id=found) == []


def test_lb_4_without_an_earlier_good_result_every_use_since_receipt_is_listed(stage: Stage):
    stayed(stage, "p1", "teasel A", "2025-10-01")
    sailed(stage, "first", "teasel", "2025-10-02")
    sailed(stage, "last", "teasel", "2026-05-02")
    found = opened(stage, "12 09:00", pair="p1")
    assert listed(stage, found) == ["first", "last"]
    assert stage.row("impact_window", impact_id=found).since_on is None


def test_a_good_result_that_was_rejected_since_opens_no_window(stage: Stage):
    stage.mark()
    stayed(stage, "p1", "teasel A", "2025-10-02")
    sailed(stage, "early", "teasel", "2025-10-03")
    check = stage.verify("p1", "5 08:00", review=False).entry.id
    stage.do("review_verification", "6 09:00", by="oda", verification=check, outcome="rejected", words="wrong wall")
    assert listed(stage, opened(stage, "12 09:00", pair="p1")) == ["early"]


def test_a_verification_found_bad_opens_at_the_good_one_before_it_and_closes_at_the_next(stage: Stage):
    stage.mark()
    stayed(stage, "p1", "teasel A", "2025-10-01")
    for reference, day in (
        ("before", "2025-10-10"),
        ("between", "2026-01-20"),
        ("under", "2026-02-20"),
        ("after", "2026-04-20"),
    ):
        sailed(stage, reference, "teasel", day)
    stage.verify("p1", "2026-01-10T09:00:00Z", review=False)
    bad = stage.verify("p1", "2026-02-10T09:00:00Z", review=False).entry.id
    stage.verify("p1", "2026-04-10T09:00:00Z", review=False)
    found = opened(stage, "12 09:00", verification=bad)
    assert listed(stage, found) == ["between", "under"]
    assert stage.row("hold", id=str(uuid.uuid5(uuid.UUID(found), "hold:0"))).pairing_id == stage.ids["p1"]


def test_a_half_found_bad_pulls_in_what_it_did_with_an_earlier_partner(stage: Stage):
    stayed(stage, "p1", "teasel A", "2026-01-12", "2026-02-12")
    sailed(stage, "old pair", "teasel", "2026-01-20")
    stage.do("end_pairing", "2026-03-01T09:00:00Z", by="oda", pair="p1", why="repair")
    stage.do("end_pairing", "2026-03-01T09:00:00Z", by="oda", pair="p2", why="repair")
    told = {"grade": "calibration_sheet", "statement": "ST-new", "stated_on": "2026-03-02"}
    stage.do("record_pairing", "2026-03-02T09:00:00Z", by="oda", name="new", pair="new", sensor="p1 s", electronics="p2 e", **told)  # fmt: skip
    stage.sign("ida", "2026-03-05T07:00:00Z")
    told = {"bay": "burdock A", "sensor": "p1 s", "electronics": "p2 e", "removed_at": "2026-04-05T08:00:00Z"}
    stage.do("install_pair", "2026-03-05T08:00:00Z", **told)
    sailed(stage, "new pair", "burdock", "2026-03-20")
    assert listed(stage, opened(stage, "12 09:00", half="p1 s")) == ["new pair", "old pair"]
    assert listed(stage, opened(stage, "12 10:00", half="p2 e")) == ["new pair"]


def test_the_work_of_a_person_pulls_in_sign_offs_and_what_rode_on_what_they_put_in(stage: Stage):
    stayed(stage, "p1", "teasel A", "2026-05-02")
    stage.sign("yusuf", "3 07:00")
    stage.install("p2", "burdock A", "3 08:00", by="yusuf")
    sailed(stage, "ida’s", "teasel", "2026-05-04")
    sailed(stage, "yusuf’s", "burdock", "2026-05-04")
    found = opened(stage, "12 09:00", by="piet", person="yusuf", good_on="2026-05-01")
    assert listed(stage, found) == ["yusuf’s"]
    assert len(listed(stage, found, "esd_signoff")) == 2


def failed(stage: Stage) -> tuple[str, str]:
    """p1 sailed once, and failed on the mark: its impact and its hold."""
    stage.mark()
    stage.verify("p1", "1 08:00", review=False)
    stayed(stage, "p1", "teasel A", "2026-05-02", "2026-05-06")
    sailed(stage, "M-1", "teasel", "2026-05-03", aided_by="dvl")
    check = uuid.UUID(stage.verify("p1", "8 09:00", found_deg="120.30", review=False).entry.id)
    return str(uuid.uuid5(check, "impact")), str(uuid.uuid5(check, "hold:0"))


def test_a_fail_opens_one_list_and_its_hold_closes_only_when_every_line_is_answered(stage: Stage):
    impact, hold = failed(stage)
    assert listed(stage, impact) == ["M-1"]
    assert [row.hold_id for row in stage.rows("impact_hold", impact_id=impact)] == [hold]
    release = {"by": "rosa", "hold": hold, "reason": "seen", "evidence": "report"}
    told = stage.refused("release_hold", "10 09:00", **release)
    assert "1 line has no answer yet" in told["impact_unanswered"]
    line = stage.row("impact_line", impact_id=impact).id
    stage.do(
        "answer_impact", "9 09:00", by="piet", impact=impact, lines=[line], answer="not_affected", words="video only"
    )
    stage.do("release_hold", "10 09:00", **release)


def test_a_list_that_history_no_longer_gives_is_counted_anew_before_the_hold_closes(stage: Stage):
    impact, hold = failed(stage)
    line = stage.row("impact_line", impact_id=impact).id
    stage.do(
        "answer_impact", "9 09:00", by="piet", impact=impact, lines=[line], answer="not_affected", words="video only"
    )
    sailed(stage, "M-late", "teasel", "2026-05-04")
    release = {"by": "rosa", "hold": hold, "reason": "seen", "evidence": "report"}
    assert "would gain 1 and drop 0" in stage.refused("release_hold", "12 09:00", **release)["impact_unanswered"]
    stage.do("count_impact", "11 09:00", by="piet", impact=impact)
    assert listed(stage, impact) == ["M-1", "M-late"]
    assert "1 line has no answer" in stage.refused("release_hold", "12 09:00", **release)["impact_unanswered"]
    assert "already_so" in stage.refused("count_impact", "11 10:00", by="piet", impact=impact)


def test_an_amended_stay_drops_its_mission_and_the_dropped_line_stays_to_be_seen(stage: Stage):
    impact, _hold = failed(stage)
    act = stage.row("log_entry", act="install_pair").act_id
    change = {"act": act, "instant": "removed", "at": "2026-05-03T09:00:00Z"}
    stage.do("amend_times", "9 09:00", by="oda", changes=[change], why="read the clock wrong")
    stage.do("count_impact", "10 09:00", by="piet", impact=impact)
    assert listed(stage, impact) == []
    assert stage.row("impact_line", impact_id=impact).dropped_at == "2026-05-10T09:00:00.000000Z"
    assert len(stage.rows("impact_window", impact_id=impact)) == 2


@pytest.mark.parametrize("row", CASES["LB-6"]["rows"], ids=lambda row: f"{row['heading_error_deg']} deg")
def test_lb_6_a_stated_heading_is_priced_in_metres_across_the_track(row: dict, stage: Stage):
    stayed(stage, "p1", "teasel A", "2026-05-02", "2026-05-06")
    sailed(stage, "M-1", "teasel", "2026-05-03", distance_km=f"{row['distance_m'] / 1000:g}", aided_by="dvl")
    impact = opened(stage, "8 09:00", pair="p1")
    line = stage.row("impact_line", impact_id=impact).id
    answer = {"answer": "usable", "heading_deg": f"{row['heading_error_deg']}", "words": "wide lines"}
    done = stage.do("answer_impact", "9 09:00", by="piet", impact=impact, lines=[line], **answer)
    assert math.isclose(float(stage.row("impact_answer").error_m), row["cross_track_m"], abs_tol=5e-4)
    assert "m across the track" in done.remarks[0]


def test_from_fix_to_fix_only_the_longest_stretch_counts(stage: Stage):
    stayed(stage, "p1", "teasel A", "2026-05-02", "2026-05-06")
    sailed(stage, "M-1", "teasel", "2026-05-03", distance_km="40", aided_by="dvl_and_fixes", stretch_km="10")
    impact = opened(stage, "8 09:00", pair="p1")
    line = stage.row("impact_line", impact_id=impact).id
    answer = {"answer": "usable", "heading_deg": "0.1", "words": "wide lines"}
    stage.do("answer_impact", "9 09:00", by="piet", impact=impact, lines=[line], **answer)
    assert stage.row("impact_answer").error_m == "17.453"


def test_one_thing_is_found_bad_at_a_time_and_a_released_hold_is_none(stage: Stage):
    assert "wrong_form" in stage.refused("open_impact", "9 09:00", by="vera", reason="bad", pair="p1", half="p1 s")
    held = stage.do("place_hold", "8 09:00", pair="p1", reason="hums").entry.id
    stage.do("release_hold", "9 09:00", by="rosa", hold=held, reason="seen", evidence="report")
    assert "already_so" in stage.refused("open_impact", "10 09:00", by="vera", reason="bad", pair="p1", hold=held)
