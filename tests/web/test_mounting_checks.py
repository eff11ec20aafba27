"""The page of a mounting check, the bay and vehicle pages beside it, JSON and the command line."""

from tests.web.doors import PIN, Doors


def test_the_page_says_verdict_next_nearest_limit_and_the_poses(untouched: Doors):
    shown = untouched.visitor("ida").get(f"/mounting-checks/{untouched.world.ids['mounting check']}")
    assert shown.heading == "Sits as entered."
    assert "Next nearest" in shown.words and "m/s² off" in shown.words
    rows = shown.root.all("div", cls="scroll")[0].all("tr")
    assert [row.all("th")[0].words for row in rows[1:]] == ["level", "bow up"]
    assert "What it gives out is shown by the axis and sign check alone." in shown.words


def test_a_check_that_cannot_decide_is_entered_on_a_page_and_says_what_to_do(lived: Doors):
    ida = lived.visitor("ida")
    form = ida.get("/act/record_mounting_check").form("/act/record_mounting_check")
    told = dict(form.filled(bay="Teasel A", pin=PIN))
    pose = {"pitch_deg": "0", "roll_deg": "0", "force_x_m_s2": "0", "force_y_m_s2": "0", "force_z_m_s2": "-9.81"}
    told |= {f"poses-0-{name}": value for name, value in pose.items()}
    shown = ida.follow(ida.post("/act/record_mounting_check", told))
    assert shown.heading == "Cannot decide."
    assert "Raise the bow by 5° or more, record 60 s" in shown.words
    bay = ida.get("/bays/Teasel A")
    assert "Cannot decide, 20 May 2026" in bay.words


def test_json_and_command_line_tell_the_same(untouched: Doors):
    id_ = untouched.world.ids["mounting check"]
    told = untouched.api("ida").get(f"/mounting-checks/{id_}").json
    assert (told["now"], told["best"], len(told["poses"])) == ("agrees", "starboard aft down", 2)
    bay = untouched.api("ida").get("/bays/Teasel A/alignments").json
    assert bay["mounting_check"]["id"] == id_
    assert (
        "Mounting check: agrees, 13 May 2026, 07:55 UTC." in untouched.cli("alignments", "Teasel A", who="ida").stdout
    )


def test_a_vehicle_page_lists_its_contracts_with_what_they_demand(untouched: Doors):
    shown = untouched.visitor("piet").get("/vehicles/Spare hull")
    assert "survey 12: in force" in shown.words
    assert "an overdue verification stops the vehicle; a verification holds 6 months" in shown.words
    assert "End it" in shown.links()
    assert untouched.api("piet").get("/vehicles/Spare hull").json["contracts"][0]["state"] == "in force"
