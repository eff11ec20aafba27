"""Impacts, the same batch and the fault diary: pages, JSON and the command."""

import json

from tests.web.doors import PIN, Doors


def test_an_impact_shows_its_lines_their_answers_and_what_an_amended_history_would_change(untouched: Doors):
    page = untouched.visitor("piet").get(f"/impacts/{untouched.world.ids['impact']}")
    assert page.heading == "Pair p3: every line is answered."
    for told in (
        "Since receipt, no good result before it is on record, to 8 May 2026, when it was found.",
        "At most 99.5 m over 3 km.",
        "Affected, usable with a stated uncertainty: 99.5 m for 1.9°. nothing was mapped by heading Vera",
        "As it stands now the list would gain 1 and drop 0:",
        "M-00, Teasel: Outer bank, from 2 April 2026: added",
    ):
        assert told in page.words, told
    assert "Count it anew" in page.links("act")
    assert "Count it anew" not in untouched.visitor("anselm").get(f"/impacts/{untouched.world.ids['impact']}").links()


def test_what_the_count_adds_is_answered_from_its_line(lived: Doors):
    piet, impact = lived.visitor("piet"), lived.world.ids["impact"]
    counted = piet.follow(piet.act("count_impact", impact=impact, happened_at="2026-05-19T09:00"))
    assert counted.heading == "Pair p3: 1 line has no answer."
    page = piet.get(counted.links("act")["Answer the worst line"])
    form = page.form("/act/answer_impact")
    assert form.value("impact") == impact
    done = piet.send(page, form, answer="withdrawn", words="run again", pin=PIN)
    assert piet.follow(done).heading == "Pair p3: every line is answered."


def test_a_failed_verification_leads_to_its_impact_and_a_hold_to_its_batch(untouched: Doors):
    piet, ids = untouched.visitor("piet"), untouched.world.ids
    failed = piet.get(f"/verifications/{ids['check p3']}")
    assert failed.links()["What it was used for, line by line"].endswith(ids["impact"])
    batch = piet.get(piet.get(f"/holds/{ids['hold']}").links()["The same batch"])
    assert batch.heading.endswith("wait for a word.")
    assert "Handled at the same station (Bench 2, 9 May 2026)" in batch.words
    assert "Not held. the bench was dry Piet" in batch.words


def test_a_half_of_the_same_batch_is_held_by_name(lived: Doors):
    vera, hold = lived.visitor("vera"), lived.world.ids["hold"]
    told = {"hold": hold, "half": lived.code("p2 e"), "kinship": "station", "reason": "it lay beside it"}
    done = vera.follow(vera.act("hold_same_batch", **told))
    assert "Held. it lay beside it Vera" in done.words
    assert vera.get("/halves/E-p2").heading.endswith("is on hold.")
    other = vera.act("pass_same_batch", **told | {"half": lived.code("p5 s"), "kinship": "delivery"})
    assert "does not say that" in other.words


def test_the_diary_of_a_half_tells_faults_and_what_became_of_each_removal(lived: Doors):
    ida = lived.visitor("ida")
    page = ida.get("/halves/S-p3")
    assert "Fault diary 0 removals under suspicion, 1 with no fault found" in page.words
    assert "What became of p3, out of Teasel, bay B: No fault found. ran for a day on the bench" in page.words
    told = {"removal": lived.world.ids["removal p2"], "outcome": "fault_found", "words": "gyro y noisy"}
    assert "A fault that was found is in a half." in ida.act("state_outcome", **told).words
    ida.act("state_outcome", **told, fault_in="sensor")
    assert "Fault found, in the sensor half. gyro y noisy" in ida.get("/halves/S-p2").words


def test_json_and_the_command_tell_the_lines(untouched: Doors):
    impact = untouched.world.ids["impact"]
    told = untouched.api("piet").get(f"/impact/{impact}").json
    (line,) = told["lines"]
    assert (line["kind"], line["of"], line["error_m"]) == ("mission", untouched.world.ids["M-0"], "99.466")
    assert told["would_add"] == ["M-00, Teasel: Outer bank"]
    assert untouched.api("piet").get("/impact/p3").json["id"] == impact
    shown = untouched.cli("impact", "p3")
    assert shown.exit_code == 1  # the list is not that of today
    assert (
        "M-0, Teasel: Outer bank  at most 99.5 m: affected, usable with a stated uncertainty, 99.466 m" in shown.stdout
    )
    shown = untouched.cli("impact", "--json")
    assert shown.exit_code == 1  # every line of it is answered, and it would gain one
    listed = json.loads(shown.stdout)["impacts"]
    assert [(one["of"], one["lines"], one["answered"]) for one in listed] == [("pair p3", 1, 1)]


def test_the_list_tells_what_counting_anew_would_change_although_every_line_is_answered(lived: Doors):
    told = "History was amended: counted anew it would gain 1 and lose 0."
    piet, api = lived.visitor("piet"), lived.api("piet")
    assert told in piet.get("/impacts").words
    assert told in lived.cli("impact").stdout
    (one,) = api.get("/impact").json["impacts"]
    assert (one["would_add"], one["would_drop"]) == (1, 0)
    piet.act("count_impact", impact=lived.world.ids["impact"], happened_at="2026-05-19T09:00")
    assert "History was amended" not in piet.get("/impacts").words
    (one,) = api.get("/impact").json["impacts"]
    assert (one["lines"], one["answered"], one["would_add"], one["would_drop"]) == (2, 1, 0, 0)


def test_a_half_on_hold_is_not_offered_again_and_a_hold_and_its_impact_count_alike(lived: Doors):
    vera, hold = lived.visitor("vera"), lived.world.ids["hold"]
    told = {"half": "p3 s", "hold": "hold", "reason": "its heading jumped"}
    impact = lived.world.do("open_impact", "20 10:00", by="vera", **told).entry.id
    pages = f"/holds/{hold}/batch", f"/impacts/{impact}/batch"
    lived.world.later(days=1)
    before = [vera.get(page) for page in pages]
    code = before[0].text.partition("/act/hold_same_batch?half=")[2][:8]
    assert before[0].heading == before[1].heading
    assert all(f"half={code}" in page.text for page in before)
    lived.world.do("place_hold", "20 11:00", by="ida", half=code, cause="wet", reason="It lay in the bilge")
    lived.world.later(hours=1)
    after = [vera.get(page) for page in pages]
    assert after[0].heading == after[1].heading != before[0].heading
    for page in after:
        assert "Held. It lay in the bilge" in page.words
        assert f"half={code}" not in page.text


def test_an_impact_on_which_nothing_rests_speaks_of_no_lines(lived: Doors):
    oda = lived.visitor("oda")
    done = oda.act("open_impact", pair=lived.world.ids["p5"], reason="its case was found cracked")
    page = oda.follow(done)
    assert "nothing rests on it" in page.heading or "nothing rests on it" in page.words
    assert "no line waits for an answer" in page.words
    assert "when every line has an answer" not in page.words
