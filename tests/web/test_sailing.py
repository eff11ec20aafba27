"""Before a mission starts, its page and the form say what stands against its vehicle; a start told now then asks for words."""

from tests.web.doors import Doors


def test_a_planned_mission_says_what_stands_against_its_vehicle_and_the_form_asks_why_it_sails(lived: Doors):
    ida, mission = lived.visitor("ida"), lived.world.ids["M-3"]
    lived.world.do(
        "place_hold", "19 09:00", by="ida", vehicle="spare hull", cause="placed", reason="A dent in the bow."
    )
    page = ida.get("/missions/M-3")
    assert page.heading == "M-3 is planned."
    told = lived.api("ida").get("/missions/M-3").json["findings_ahead"]
    stops = [one["fact"] for one in told if one["severity"] == "stops"]
    assert stops and all(fact in page.words for fact in stops)
    assert "for these days." in page.words
    assert stops[0] in lived.cli("missions", "M-3").stdout
    form = ida.get(f"/act/start_mission?mission={mission}")
    assert "What stands against sailing" in form.words and stops[0] in form.words
    answer = lived.world.check("start_mission", "20 12:00", mission="M-3")
    assert [reason.code for reason in answer.reasons] == ["needs_reason"]
    assert any(stops[0] in remark for remark in answer.remarks)
    refused = ida.act("start_mission", mission=mission)
    assert "say in your words why it sails all the same" in refused.words
    assert "What stands against sailing" in refused.words
    page = ida.follow(ida.act("start_mission", mission=mission, all_the_same="Towed out for a photograph."))
    assert page.heading == "M-3 is under way."
    assert "Why it sailed all the same: Towed out for a photograph." in page.words
    assert lived.api("ida").get("/missions/M-3").json["why_it_sailed_all_the_same"] == "Towed out for a photograph."
    assert "Why it sailed all the same: Towed out" in lived.cli("missions", "M-3").stdout


def test_a_start_told_afterwards_needs_no_words_and_tells_what_stood_against_it_all_the_same(lived: Doors):
    done = lived.world.do("start_mission", "19 09:00", mission="M-3")
    assert done.entry.body["all_the_same"] is None
    assert any(remark.startswith("Stops: ") for remark in done.remarks)
