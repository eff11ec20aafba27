"""The plan, meters and stations at the command line and over JSON."""

import json

from tests.web.doors import Doors


def test_the_plan_of_a_site_is_printed_with_what_it_sets_itself(untouched: Doors):
    said = untouched.cli("plan", "--site", "North shed").stdout
    assert "  An ESD sign-off: 10 h. plan, issue 2 (the site’s plan since 6 May 2026). Default: 12 h.\n" in said
    assert "  An ESD sign-off: 12 h. Common practice, no source.\n" in untouched.cli("plan").stdout
    before = untouched.cli("plan", "--site", "North shed", "--at", "2026-05-05T00:00:00Z").stdout
    assert "  An ESD sign-off: 12 h." in before


def test_both_ways_of_asking_for_the_plan_answer_alike(untouched: Doors):
    told = json.loads(untouched.cli("plan", "--site", "North shed", "--json").stdout)
    assert told == untouched.api("ida").get("/plan", site="North shed").json
    line = next(one for one in told["figures"] if one["figure"] == "signoff_holds_h")
    assert (line["value"], line["default"], line["unit"], line["own"]["reason"]) == ("10", "12", "h", "short shifts")


def test_a_site_that_is_not_there_is_told_with_those_that_are(untouched: Doors):
    result = untouched.cli("plan", "--site", "nowhere")
    assert (result.exit_code, result.stdout) == (1, "")
    assert "No site is called “nowhere”. Known: Halcyon Tern, North shed." in result.stderr
    assert untouched.api("ida").get("/plan", site="nowhere").status_code == 404


def test_meters_are_listed_with_the_day_they_are_good_to(untouched: Doors):
    assert "RM-1: resistance meter, North shed, good to 1 September 2026\n" in untouched.cli("meters").stdout
    late = untouched.cli("meters", "--at", "2026-09-02T00:00:00Z").stdout
    assert "RM-1: resistance meter, North shed, was due on 1 September 2026\n" in late
    assert json.loads(untouched.cli("meters", "--json").stdout) == untouched.api("ida").get("/meters").json


def test_a_meter_tells_what_rests_on_it(untouched: Doors):
    told = untouched.api("ida").get("/meters/RM-1").json
    assert (told["due_on"], [one["as_found"] for one in told["calibrations"]]) == ("2026-09-01", ["within"])
    assert told["signoffs"] and told["checks"][0]["station"] == "Kit 1"


def test_a_station_tells_its_check_with_the_readings(untouched: Doors):
    api = untouched.api("ida")
    checks = {one["name"]: one["check"] for one in api.get("/stations").json["stations"]}
    assert checks["Bench 2"] is None and checks["Kit 1"]["good_to_on"] == "2026-06-01"
    told = api.get("/stations/Kit 1").json
    assert [(one["quantity"], one["verdict"]) for one in told["readings"]] != []
    assert api.get("/stations/nowhere").status_code == 404
