"""Missions and crossings put right: times, vehicle and plan amended, entries taken back; both versions stay and are told."""

from typing import Any

import pytest

from registry.models.seeks import EVER
from registry.queries.history import About, history
from registry.queries.impacts import impact_page
from registry.queries.lives import vehicle_life
from registry.queries.mission_packs import mission_evidence
from registry.queries.missions import MissionPage, mission_page, missions_of_vehicle
from tests.acts.stage import Stage

LATE = "2026-05-20T12:00:00.000000Z"
RAN = {"area": "Sill", "distance_km": "10"}
PLAN = {"area": "Sill", "planned_from": "2026-05-10T06:00:00Z", "planned_to": "2026-05-10T20:00:00Z"}


def at(hour: str, day: int = 10) -> str:
    return f"2026-05-{day:02d}T{hour}:00Z"


def whole(stage: Stage, reference: str, since: str, until: str, vehicle: str = "teasel", day: int = 10) -> str:
    told = {"vehicle": vehicle, "reference": reference, "ended_at": at(until, day), **RAN}
    return stage.do("record_mission", f"{day} {since}", **told).entry.id


def amend(stage: Stage, mission: str, **parts: Any) -> Any:
    return stage.do("amend_mission", "19 09:00", by="oda", mission=mission, why="the clock ran fast", **parts)


def refused(stage: Stage, mission: str, **parts: Any) -> dict[str, str]:
    return stage.refused("amend_mission", "19 09:00", by="oda", mission=mission, why="the clock ran fast", **parts)


def back(stage: Stage, *acts: str) -> Any:
    return stage.do("withdraw_acts", "19 10:00", by="oda", acts=list(acts), why="entered twice")


def page(stage: Stage, mission: str, known: int = EVER) -> MissionPage:
    found = mission_page(stage.db, mission, LATE, known)
    assert found is not None
    return found


def sailed(stage: Stage, vehicle: str = "teasel") -> list[tuple[str, str, str | None]]:
    rows = missions_of_vehicle(stage.db, stage.ids[vehicle], LATE)
    return [(row["reference"], row["started_at"][8:16], row["ended_at"] and row["ended_at"][8:16]) for row in rows]


def test_a_start_and_an_end_are_amended_and_both_versions_stay(stages: Stage):
    one, size = whole(stages, "M-1", "08:00", "16:00"), stages.size()
    amend(stages, one, started=at("08:30"), ended=at("15:00"))
    assert sailed(stages) == [("M-1", "10T08:30", "10T15:00")]
    assert [row.say() for row in page(stages, one).amended] == [
        "Ended: entered as 10 May 2026, 16:00 UTC; it was 10 May 2026, 15:00 UTC. the clock ran fast",
        "Started: entered as 10 May 2026, 08:00 UTC; it was 10 May 2026, 08:30 UTC. the clock ran fast",
    ]
    before = page(stages, one, size)
    assert (before.span.since[8:16], before.span.until[8:16], before.amended) == ("10T08:00", "10T16:00", ())
    amend(stages, one, ended=at("15:10"))
    assert sailed(stages) == [("M-1", "10T08:30", "10T15:10")]
    assert stages.unlike() == []


def test_a_mission_under_way_that_was_amended_is_ended_as_any(stage: Stage):
    one = stage.do("plan_mission", "9 09:00", by="piet", vehicle="teasel", reference="M-1", **PLAN).entry.id
    stage.do("start_mission", "10 08:00", mission=one)
    assert "nothing_to_amend" in refused(stage, one, ended=at("15:00"))
    amend(stage, one, started=at("07:00"))
    stage.do("end_mission", "10 16:00", mission=one, distance_km="12")
    assert sailed(stage) == [("M-1", "10T07:00", "10T16:00")]
    assert stage.unlike() == []


def test_a_vehicle_is_still_on_one_mission_at_a_time(stages: Stage):
    one = whole(stages, "M-1", "08:00", "10:00")
    two = whole(stages, "M-2", "10:00", "12:00")
    assert "M-2" in refused(stages, one, ended=at("10:30"))["overlaps_history"]
    assert "ended before it started" in refused(stages, one, started=at("11:00"))["overlaps_history"]
    other = whole(stages, "M-3", "09:00", "09:30", "burdock")
    assert "M-1" in refused(stages, other, vehicle="teasel")["overlaps_history"]
    amend(stages, two, started=at("10:30"))
    amend(stages, one, ended=at("10:30"))
    assert sailed(stages) == [("M-2", "10T10:30", "10T12:00"), ("M-1", "10T08:00", "10T10:30")]


def test_a_mission_of_another_vehicle_rides_on_what_that_one_carried(stage: Stage):
    stage.install("p1", "teasel A", "10 08:30")
    stage.install("p2", "burdock A", "10 08:30")
    one = whole(stage, "M-1", "09:00", "16:00")
    amend(stage, one, vehicle="burdock")
    assert (sailed(stage), sailed(stage, "burdock")) == ([], [("M-1", "10T09:00", "10T16:00")])
    shares = [share.pair for bay in page(stage, one).bays for share in bay.shares]
    assert shares == ["p2"]
    for vehicle in ("teasel", "burdock"):
        told = [event.words for event in history(stage.db, About(vehicles=(stage.ids[vehicle],)), LATE)]
        assert "Mission M-1, vehicle: entered as Teasel; it was Burdock: the clock ran fast" in told
    again = stage.do("record_mission", "10 09:00", vehicle="teasel", reference="M-2", ended_at=at("10:00"), **RAN)
    assert again.entry.act == "record_mission"


def test_a_plan_is_amended_and_what_was_never_told_is_not(stage: Stage):
    one = stage.do("plan_mission", "9 09:00", by="piet", vehicle="teasel", reference="M-1", **PLAN).entry.id
    amend(stage, one, planned_to="2026-05-28T20:00:00Z")
    assert page(stage, one).row["planned_to_at"].startswith("2026-05-28T20:00")
    assert "wrong_form" in refused(stage, one, planned_from="2026-05-29T20:00:00Z")
    assert "nothing_to_amend" in refused(stage, one, started=at("08:00"))
    assert "already_so" in refused(stage, one, vehicle="teasel")
    assert "nothing_to_amend" in refused(stage, whole(stage, "M-2", "08:00", "09:00"), planned_from=at("06:00"))
    assert "in_the_future" in refused(stage, one, started="2026-05-29T20:00:00Z")


def test_an_end_before_the_last_data_is_asked_about(stage: Stage):
    told = {"vehicle": "teasel", "reference": "M-1", "ended_at": at("16:00"), **RAN, "data_until": at("15:50")}
    one = stage.do("record_mission", "10 08:00", **told).entry.id
    assert "data_after_end" in refused(stage, one, ended=at("15:00"))
    told = {"distance_km": "10", "data_until": at("15:50"), "data_words": "left running on deck"}
    stage.do("record_distance", "18 08:00", mission=one, **told)
    amend(stage, one, ended=at("15:00"))


def test_the_life_line_and_the_evidence_tell_of_it(stage: Stage):
    stage.install("p1", "teasel A", "10 08:30")
    one = whole(stage, "M-1", "09:00", "16:00")
    first = stage.size()
    put_right = amend(stage, one, ended=at("15:00")).entry.seq
    (lane,) = [lane for lane in vehicle_life(stage.db, stage.ids["teasel"], LATE) if lane.name == "Missions"]
    assert [stretch.words for stretch in lane.stretches] == ["M-1, put right since it was entered"]
    found = mission_evidence(stage.db, one, LATE)
    told = {statement.told: statement.entries for statement in found.statements}
    assert told["Mission M-1: start"] == told["Mission M-1: end"] == (first, put_right)
    (words,) = [words for words in told if words.startswith("Mission M-1, put right: Ended: entered as")]
    assert told[words] == (put_right,)


def test_an_impact_is_counted_anew_when_a_mission_is_amended(stage: Stage):
    stage.install("p1", "teasel A", "10 08:30")
    one = whole(stage, "M-1", "09:00", "16:00")
    bad = stage.do("open_impact", "12 08:00", by="vera", pair="p1", reason="drifts").entry.id
    assert not impact_page(stage.db, bad, LATE).outdated
    done = amend(stage, one, vehicle="burdock")
    assert done.remarks == ["It stands on the list of 1 impact: count it anew."]
    assert len(impact_page(stage.db, bad, LATE).now.dropped) == 1
    stage.do("count_impact", "19 12:00", by="vera", impact=bad)
    assert not impact_page(stage.db, bad, LATE).outdated


@pytest.fixture
def planned(stages: Stage) -> Stage:
    """M-1: planned, started at 8, ended at 16, and its distance told once more."""
    told = {"vehicle": "teasel", "reference": "M-1", **PLAN}
    stages.ids["plan"] = stages.do("plan_mission", "9 09:00", by="piet", **told).entry.id
    stages.ids["start"] = stages.do("start_mission", "10 08:00", mission="plan").entry.id
    stages.ids["end"] = stages.do("end_mission", "10 16:00", mission="plan", distance_km="12").entry.id
    stages.ids["ran"] = stages.do("record_distance", "11 08:00", mission="plan", distance_km="13").entry.id
    return stages


def test_what_a_mission_ran_is_taken_back_to_what_was_told_before(planned: Stage):
    back(planned, planned.ids["ran"])
    assert page(planned, planned.ids["plan"]).row["distance_km"] == "12"


def test_an_end_is_taken_back_and_the_mission_goes_on(planned: Stage):
    back(planned, planned.ids["end"], planned.ids["ran"])
    assert sailed(planned) == [("M-1", "10T08:00", None)]
    assert page(planned, planned.ids["plan"]).row["distance_km"] is None
    planned.do("end_mission", "10 17:00", mission="plan", distance_km="14")
    assert sailed(planned) == [("M-1", "10T08:00", "10T17:00")]
    assert planned.unlike() == []


def test_an_end_is_not_taken_back_into_the_next_mission(planned: Stage):
    whole(planned, "M-2", "18:00", "19:00")
    sent = planned.sent("withdraw_acts", "19 10:00", acts=[planned.ids["end"]], why="it went on")
    assert planned.refusal(sent, "oda") == {"overlaps_history": "acts.0"}


def test_a_plan_goes_with_what_followed_from_it(planned: Stage):
    for acts in (["plan"], ["start"], ["plan", "start"]):
        sent = planned.sent("withdraw_acts", "19 10:00", acts=[planned.ids[act] for act in acts], why="entered twice")
        assert "overlaps_history" in planned.refusal(sent, "oda")
    back(planned, *(planned.ids[act] for act in ("plan", "start", "end")))
    assert sailed(planned) == []
    gone = page(planned, planned.ids["plan"])
    assert (gone.state, gone.row["withdrawn_why"]) == ("taken back", "entered twice")
    told = [event.words for event in history(planned.db, About(vehicles=(planned.ids["teasel"],)), LATE)]
    assert sum("was taken back: entered twice" in words for words in told) == 3
    for act, more in (
        ("start_mission", {}),
        ("end_mission", {"distance_km": "1"}),
        ("record_distance", {"distance_km": "1"}),
    ):
        assert "taken back" in planned.refused(act, "12 08:00", mission="plan", **more)["not_open"]
    assert (
        "keeps its reference"
        in planned.refused("plan_mission", "9 09:00", by="piet", vehicle="teasel", reference="M-1", **PLAN)[
            "already_known"
        ]
    )
    whole(planned, "M-2", "08:00", "16:00")
    assert planned.unlike() == []


def test_a_mission_entered_twice_is_taken_back(stage: Stage):
    one = whole(stage, "M-1", "08:00", "10:00")
    back(stage, one)
    whole(stage, "M 1", "08:00", "10:00")
    assert sailed(stage) == [("M 1", "10T08:00", "10T10:00")]


def test_a_crossing_is_taken_back_with_what_became_of_it(stages: Stage):
    told = {"from_country": "Norland", "to_country": "Sudland", "crosses_on": "2026-06-02", "vehicle": "teasel"}
    plan = stages.do("plan_crossing", "10 09:00", by="piet", **told).entry.id
    end = stages.do("end_crossing", "12 09:00", by="piet", crossing=plan, outcome="dropped").entry.id
    for alone in (plan, end):
        sent = stages.sent("withdraw_acts", "19 10:00", acts=[alone], why="another vehicle")
        assert stages.refusal(sent, "oda") == {"overlaps_history": "acts.0"}
    back(stages, plan, end)
    assert [row.voided_seq is not None for row in stages.rows("crossing", id=plan)] == [True]
    told = [event.words for event in history(stages.db, About(vehicles=(stages.ids["teasel"],)), LATE)]
    assert not any(words.startswith("A border crossing was planned") for words in told)
    assert stages.unlike() == []
