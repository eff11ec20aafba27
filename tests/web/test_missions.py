"""Missions: their pages, JSON and command; what a mission rode on, and what throws doubt on it."""

import json

from registry.queries.mission_acts import acts_of_mission
from registry.queries.mission_choices import missions_for
from tests.web.doors import PIN, Doors


def test_a_mission_shows_each_bay_with_the_share_of_each_pair_and_what_it_rested_on(untouched: Doors):
    page = untouched.visitor("ida").get("/missions/M-1")
    assert page.heading == "M-1 ended 10 May 2026."
    for told in (
        "6.0 hours of it had no alignment.",
        "p1: 100 % of it",
        "Verified 7 May 2026",
        "ESD sign-off at Bench 2",
        "8 km, aided by DVL, with position fixes on the way; longest stretch without a fix 3 km",
        "Empty for all of it.",
    ):
        assert told in page.words, told
    assert untouched.visitor("ida").get("/missions/M-3").heading == "M-3 is planned."


def test_a_mission_started_and_ended_by_its_pages(lived: Doors):
    ida = lived.visitor("ida")
    started = ida.act("start_mission", mission=lived.world.ids["M-3"], happened_at="2026-05-19T09:00")
    assert ida.follow(started).heading == "M-3 is under way."
    told = {"mission": lived.world.ids["M-3"], "distance_km": "4", "happened_at": "2026-05-19T12:00"}
    late = ida.act("end_mission", **told, data_until="2026-05-19T12:30")
    assert "The data run on to 19 May 2026, 12:30 UTC, after the mission ended" in late.words
    done = ida.act("end_mission", **told, data_until="2026-05-19T12:30", data_words="left running on deck")
    assert ida.follow(done).heading == "M-3 ended 19 May 2026."


def test_a_half_sighted_elsewhere_leaves_the_pair_not_confirmed_until_it_is_settled(lived: Doors):
    """design, rulings: missions since the last confirmation print “pair not confirmed”."""
    lived.world.do("record_sighting", "19 09:00", by="anselm", bay="burdock A", sensor="p1 s", electronics="p1 e")
    page = lived.visitor("ida").get("/missions/M-1")
    assert page.heading == "M-1: pair not confirmed."
    assert "Pair not confirmed since 10 May 2026, 09:30 UTC" in page.words


def test_a_pair_and_a_vehicle_list_their_missions(untouched: Doors):
    ida = untouched.visitor("ida")
    assert "M-1" in ida.get("/pairs/p1").links()
    assert "M-0" not in ida.get("/pairs/p1").links()
    assert {"M-00", "M-0", "M-1"} <= set(ida.get("/vehicles/teasel").links())


def test_the_scan_line_takes_a_reference(untouched: Doors):
    page = untouched.visitor("ida").get("/?text=M-1")
    assert page.links()["M-1"].endswith(untouched.world.ids["M-1"])
    assert untouched.api("ida").get("/resolve", text="M-1").json["kind"] == "mission"


def test_json_and_the_command_tell_the_same(untouched: Doors):
    told = untouched.api("ida").get("/missions/M-1").json
    same = json.loads(untouched.cli("missions", "M-1", "--json", "--at", "2026-05-20T12:00:00Z").stdout)
    assert told.pop("at") and same.pop("at")
    assert told == same
    (bay, empty) = told["bays"]
    assert [(share["pair"], share["percent"], share["unaligned_h"]) for share in bay["shares"]] == [("p1", 100.0, 6.0)]
    assert (empty["shares"], empty["empty_h"]) == ([], 6.0)
    assert told["severity_at_sailing"] == "stops"
    listed = untouched.api("ida").get("/missions").json["missions"]
    assert {one["reference"]: one["state"] for one in listed}["M-2"] == "under way"
    assert "M-1  Teasel, Outer bank: ended" in untouched.cli("missions").stdout
    assert "No mission is called “M-77”" in untouched.cli("missions", "M-77").stderr


def test_a_mission_is_put_right_from_its_page_and_says_both_versions(lived: Doors):
    oda = lived.visitor("oda")
    page = oda.get("/missions/M-1")
    assert {"Put it right", "Take it back"} <= page.links().keys()
    told = {"mission": lived.world.ids["M-1"], "ended": "2026-05-10T15:00", "why": "The boat’s own clock."}
    done = oda.act("amend_mission", **told)
    assert done.status == 303
    both = "Ended: entered as 10 May 2026, 16:00 UTC; it was 10 May 2026, 15:00 UTC. The boat’s own clock."
    assert both in oda.get("/missions/M-1").words
    assert f"Put right. {both}" in lived.cli("missions", "M-1").stdout
    first = lived.api("oda").get("/missions/M-1").json["seq"]
    assert "the mission was amended." in oda.get(f"/log/{first}").words


def test_a_mission_that_was_taken_back_says_so(lived: Doors):
    oda = lived.visitor("oda")
    oda.act("withdraw_acts", acts=lived.world.ids["M-1"], why="It never sailed.")
    page = oda.get("/missions/M-1")
    assert page.heading == "M-1 was taken back."
    assert "It never sailed." in page.words
    assert "taken back by entry" in lived.cli("missions", "M-1").stdout
    assert "M-1" not in lived.cli("missions").stdout.replace("M-10", "")


def test_a_form_offers_the_missions_its_act_may_be_about(untouched: Doors):
    """M-2 is out, M-3 planned, the rest ended."""
    oda = untouched.visitor("oda")

    def offered(act: str) -> list[str]:
        with untouched.instance.database.reading() as db:
            return [words.split(",")[0] for _id, words in missions_for(db, act)]

    assert (offered("start_mission"), offered("end_mission")) == (["M-3"], ["M-2"])
    assert offered("record_distance") == ["M-2", "M-1", "M-0", "M-00"]
    assert offered("amend_mission") == ["M-3", "M-2", "M-1", "M-0", "M-00"]
    for act, there, gone in (("start_mission", "M-3", "M-1,"), ("end_mission", "M-2", "M-3,")):
        page = oda.get(f"/act/{act}")
        assert there in page.text and gone not in page.text


def test_a_mission_that_was_started_and_ended_is_taken_back_whole_by_one_button(lived: Doors):
    oda, mission = lived.visitor("oda"), lived.world.ids["M-3"]
    lived.world.do("start_mission", "18 09:00", mission="M-3")
    lived.world.do("end_mission", "18 12:00", mission="M-3", distance_km="4")
    lived.world.do("record_distance", "18 13:00", mission="M-3", distance_km="5")
    page = oda.get("/missions/M-3")
    page = oda.get(page.links()["Take it back"])
    done = oda.send(page, page.form("/act/withdraw_acts"), why="It never sailed.", pin=PIN)
    assert done.status == 303
    assert oda.follow(done).path.startswith("/vehicles/")
    assert oda.get("/missions/M-3").heading == "M-3 was taken back."
    with lived.instance.database.reading() as db:
        assert acts_of_mission(db, mission) == []


def test_the_form_that_amends_a_mission_says_how_it_stands(untouched: Doors):
    page = untouched.visitor("oda").get("/act/amend_mission?mission=M-1")
    (told,) = [node.words for node in page.root.one("main").all("p", cls="strip")]
    assert told.startswith("As it stands: Teasel, ") and "started " in told
