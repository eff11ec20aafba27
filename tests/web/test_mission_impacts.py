"""A mission tells what it rode on that was found bad since: its page, JSON, the command and the evidence pack."""

import json

from registry.domain.packs import FILE
from registry.models.seeks import EVER
from registry.output.attached import attached
from registry.queries.mission_impacts import impacts_of_mission
from tests.printed import read
from tests.queries.watching import statements
from tests.web.doors import PIN, Doors

NOW = "2026-05-20T12:00:00.000000Z"


def test_a_mission_heads_with_the_worst_answer_and_leads_to_the_impact(untouched: Doors):
    page = untouched.visitor("ida").get("/missions/M-0")
    assert page.heading == "M-0: affected, usable with a stated uncertainty: 99.5 m."
    assert page.links("act")["Look at the impact"].endswith(untouched.world.ids["impact"])
    assert "Found bad since worst answer first" in page.words
    assert "nothing was mapped by heading Vera" in page.words
    (told,) = untouched.api("ida").get("/missions/M-0").json["impacts"]
    assert (told["id"], told["answer"], told["error_m"]) == (untouched.world.ids["impact"], "usable", "99.466")
    shown = untouched.cli("missions", "M-0").stdout
    assert "Affected, usable with a stated uncertainty: 99.5 m. Pair p3 was found bad." in shown
    assert untouched.api("ida").get("/missions/M-1").json["impacts"] == []


def test_a_line_not_answered_says_so_and_a_withdrawn_one_stops(lived: Doors):
    piet, impact = lived.visitor("piet"), lived.world.ids["impact"]
    piet.act("count_impact", impact=impact, happened_at="2026-05-19T09:00")
    page = piet.get("/missions/M-00")
    assert page.heading == "M-00: found bad, not answered yet."
    form_page = piet.get(page.links("act")["Answer the impact"])
    form_page = piet.get(form_page.links("act")["Answer the worst line"])
    piet.send(form_page, form_page.form("/act/answer_impact"), answer="withdrawn", words="Run again.", pin=PIN)
    assert piet.get("/missions/M-00").heading == "M-00: affected, withdrawn."


def test_only_what_was_known_then_is_told_in_one_statement(untouched: Doors):
    world = untouched.world
    mission = world.ids["M-0"]
    with world.database.reading() as db:
        (one,) = impacts_of_mission(db, mission, NOW, EVER)
        answered, found = one.entries[-1], one.entries[0]
        (before,) = impacts_of_mission(db, mission, NOW, answered - 1)
        assert before.answer is None and answered not in before.entries
        (earlier,) = impacts_of_mission(db, mission, "2026-05-09T10:00:00.000000Z", EVER)
        assert earlier.answer is None
        assert impacts_of_mission(db, mission, NOW, found - 1) == ()
        assert impacts_of_mission(db, mission, "2026-05-08T00:00:00.000000Z", EVER) == ()
    assert len(statements(world, lambda db: impacts_of_mission(db, mission, NOW, EVER))) == 1


def test_the_pack_prints_the_impact_and_proves_its_entries(untouched: Doors):
    raw = untouched.visitor("piet").get("/missions/M-0/pack.pdf").response.get_data()
    printed = " ".join(read(raw)[0])
    assert "Found bad since: what became of this mission" in printed
    assert "Affected, usable with a stated uncertainty: 99.5 m — Pair p3, found bad" in printed
    told = json.loads(attached(raw, FILE))
    (one,) = untouched.api("ida").get("/missions/M-0").json["impacts"]
    (statement,) = [
        each for each in told["statements"] if each["told"].startswith("Impact of pair p3: Affected, usable")
    ]
    assert statement["entries"] == one["entries"]
    assert set(one["entries"]) <= {entry["seq"] for entry in told["entries"]}
