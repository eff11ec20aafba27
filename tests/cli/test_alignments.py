"""Alignments at the command line and over JSON."""

import json

from tests.web.doors import PIN, Doors


def test_a_bay_is_told_with_what_to_enter_in_its_unit(untouched: Doors):
    lines = untouched.cli("alignments", "Teasel, bay A").stdout.splitlines()
    assert lines[0] == "Mounted: x to starboard, y aft, z down."
    assert lines[1] == "p1 is in, since 10 May 2026, 09:30 UTC."
    assert lines[2].startswith("Axis and sign check: right, 13 May 2026, 08:00 UTC.")
    assert lines[3].startswith("Mounting check: agrees, 13 May 2026, 07:55 UTC.")
    assert lines[4].startswith("Fitted to pairs of directions on 13 May 2026, 09:00 UTC: cannot decide; confirmed.")
    assert "  Lever arm to the DVL, forward    −0.62 m  (0.62 m aft, sigma 0.005 m)" in lines


def test_as_json_it_names_the_state_and_the_next_act(untouched: Doors):
    told = json.loads(untouched.cli("alignments", "Teasel A", "--json").stdout)
    assert (told["orientation"], told["pair"], told["axis_check"]["verdict"]) == ("starboard aft down", "p1", "right")
    assert (told["in_force"]["state"], told["next"]) == ("confirmed", [])
    assert told["settings"][0]["what"] == "Mounting"


def test_the_past_is_asked_for_by_an_instant(untouched: Doors):
    told = json.loads(untouched.cli("alignments", "Teasel A", "--at", "2026-05-12T00:00:00Z", "--json").stdout)
    assert (told["axis_check"], told["in_force"]) == (None, None)
    signs = ["record_axis_check", "record_axis_recording"]
    assert told["next"] == [*signs, "carry_alignment", "record_alignment", "fit_alignment", "fit_dvl_run"]


def test_an_empty_bay_and_one_that_is_not_there(untouched: Doors):
    lines = untouched.cli("alignments", "Teasel B").stdout.splitlines()
    assert lines[:2] == ["Mounted: nobody entered how.", "The bay is empty."]
    assert "Next: record_mounting" in lines
    result = untouched.cli("alignments", "Teasel Z")
    assert result.exit_code == 1
    assert "No bay is called “Teasel Z”." in result.stderr


def test_json_tells_the_bay_and_one_alignment(untouched: Doors):
    api, id_ = untouched.api("ida"), untouched.world.ids["alignment"]
    bay = api.get(f"/bays/{untouched.code('teasel A')}/alignments").json
    assert (bay["mounting"]["orientation"], bay["in_force"]["id"], bay["in_force"]["state"]) == (
        "starboard aft down",
        id_,
        "confirmed",
    )
    assert [arm["leads_to"] for arm in bay["lever_arms"]] == ["dvl"]
    one = api.get(f"/alignments/{id_}").json
    assert [part["part"] for part in one["parts"]] == ["plate_vehicle", "unit_plate"]
    assert [left["judged"] for left in one["left"]] == ["yaw"]
    assert len(one["residuals"]) == 2
    assert one["superseded"] is False
    missing = api.get("/alignments/nothing")
    assert (missing.status_code, missing.json["code"]) == (404, "not_found")
    early = api.get(f"/alignments/{id_}", at="2026-05-12T00:00:00Z")
    assert early.status_code == 404


def test_an_act_is_entered_by_the_command_and_told(doors: Doors):
    doors.world.install("p1", "teasel A", "20 08:30")
    result = doors.cli(
        "act", "record_axis_check", "--as", "Ida", "--at", "2026-05-20T09:00:00Z", "bay=Teasel A", "bow_down=pitch_down", "roll_right=roll_right", "turn=rises", stdin=f"{PIN}\n",
    )  # fmt: skip
    assert result.exit_code == 0, result.stderr
    assert "Right. The three signs are right." in result.stdout + result.stderr
