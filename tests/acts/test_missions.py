"""Missions: one at a time for a vehicle, started before they end, and asked about data that came after."""

from tests.acts.stage import Stage

PLAN = {"area": "Sill", "planned_from": "2026-06-01T08:00:00Z", "planned_to": "2026-06-02T08:00:00Z"}
RAN = {"area": "Sill", "distance_km": "10"}


def planned(stage: Stage, reference: str, vehicle: str = "teasel") -> str:
    return stage.do("plan_mission", "9 09:00", by="piet", vehicle=vehicle, reference=reference, **PLAN).entry.id


def test_a_plan_may_lie_ahead_and_ends_after_it_begins(stage: Stage):
    planned(stage, "M-1")
    assert stage.row("mission", reference="M-1").planned_to_at == "2026-06-02T08:00:00.000000Z"
    backwards = {"vehicle": "teasel", "reference": "M-2", **PLAN, "planned_to": PLAN["planned_from"]}
    assert "wrong_form" in stage.refused("plan_mission", "9 09:00", by="piet", **backwards)
    again = {"vehicle": "burdock", "reference": "M-1", **PLAN}
    assert "already_known" in stage.refused("plan_mission", "9 09:00", by="piet", **again)


def test_a_vehicle_is_on_one_mission_at_a_time_and_another_may_start_when_it_has_ended(stage: Stage):
    one, two = planned(stage, "M-1"), planned(stage, "M-2")
    stage.do("start_mission", "10 08:00", mission=one)
    assert "M-1" in stage.refused("start_mission", "10 12:00", mission=two)["overlaps_history"]
    whole = {"vehicle": "teasel", "reference": "M-3", "ended_at": "2026-05-10T18:00:00Z", **RAN}
    assert "overlaps_history" in stage.refused("record_mission", "10 09:00", **whole)
    stage.do("end_mission", "10 16:00", mission=one, distance_km="12")
    stage.do("start_mission", "10 16:00", mission=two)
    assert "already_so" in stage.refused("end_mission", "10 17:00", mission=one, distance_km="12")
    assert stage.unlike() == []


def test_what_has_not_started_does_not_end_and_has_run_nothing(stage: Stage):
    one = planned(stage, "M-1")
    assert "not_open" in stage.refused("end_mission", "10 16:00", mission=one, distance_km="12")
    assert "not_open" in stage.refused("record_distance", "10 16:00", mission=one, distance_km="12")


def test_data_after_the_end_are_asked_about(stage: Stage):
    one = planned(stage, "M-1")
    stage.do("start_mission", "10 08:00", mission=one)
    told = {"mission": one, "distance_km": "12", "data_until": "2026-05-10T16:20:00Z"}
    assert "data_after_end" in stage.refused("end_mission", "10 16:00", **told)
    stage.do("end_mission", "10 16:00", **told, data_words="on deck")
    assert stage.row("mission_distance").words == "on deck"


def test_the_newest_figures_count_and_those_before_stay(stage: Stage):
    whole = {"vehicle": "teasel", "reference": "M-1", "ended_at": "2026-05-10T18:00:00Z", **RAN}
    one = stage.do("record_mission", "10 09:00", **whole).entry.id
    stage.do("record_distance", "11 09:00", mission=one, distance_km="11", aided_by="gnss")
    assert {row.distance_km for row in stage.rows("mission_distance")} == {"10", "11"}
    early = {**whole, "reference": "M-2", "ended_at": "2026-05-09T18:00:00Z"}
    assert "overlaps_history" in stage.refused("record_mission", "10 09:00", **early)


def test_a_retired_vehicle_sails_no_more(stage: Stage):
    stage.do("retire_vehicle", "9 09:00", by="piet", vehicle="teasel", why="sold")
    told = {"vehicle": "teasel", "reference": "M-9", **PLAN}
    assert "retired" in stage.refused("plan_mission", "10 09:00", by="piet", **told)


def test_a_distance_that_no_hull_can_have_run_is_refused_wherever_it_is_told(stage: Stage):
    whole = {"vehicle": "teasel", "reference": "M-1", "ended_at": "2026-05-10T18:00:00Z", **RAN}
    far = "3,100 km in 9 hours would be 344 km/h"
    assert far in stage.refused("record_mission", "10 09:00", **whole | {"distance_km": "3100"})["wrong_form"]
    one = stage.do("record_mission", "10 09:00", **whole).entry.id
    assert far in stage.refused("record_distance", "11 09:00", mission=one, distance_km="3100")["wrong_form"]
    short = {"mission": one, "ended": "2026-05-10T09:00:24Z", "why": "a slip"}
    assert "10 km in 24 seconds" in stage.refused("amend_mission", "11 09:00", by="oda", **short)["wrong_form"]
    late = {"mission": one, "started": "2026-05-10T17:59:36Z", "why": "a slip"}
    assert "10 km in 24 seconds" in stage.refused("amend_mission", "11 09:00", by="oda", **late)["wrong_form"]
    two = planned(stage, "M-2", "burdock")
    stage.do("start_mission", "10 08:00", mission=two)
    ended = stage.refused("end_mission", "10 08:06", mission=two, distance_km="50")
    assert "50 km in 6 minutes would be 500 km/h" in ended["wrong_form"]
