"""Deliveries at the command line and over JSON."""

import json

from tests.web.doors import Doors


def test_deliveries_are_listed_with_how_far_each_is(untouched: Doors):
    result = untouched.cli("deliveries")
    assert result.stdout == "DN-7 from Ardlune, North shed, 8 May 2026, 07:00 UTC: 4 of 5 entered, 1 inspected\n"
    assert json.loads(untouched.cli("deliveries", "--json").stdout)["deliveries"][0]["reference"] == "DN-7"


def test_one_delivery_is_told_carton_by_carton(untouched: Doors):
    lines = untouched.cli("deliveries", "DN-7").stdout.splitlines()
    assert "received, sealed, not inspected; next: open_carton" in lines[1]
    assert lines[-1].split() == ["5", "not", "entered", "yet"]
    told = json.loads(untouched.cli("deliveries", "DN-7", "--json").stdout)
    assert [one["next"] for one in told["contents"]] == ["open_carton", "open_bag", "inspect_half", None]
    assert told["missing"] == [5]


def test_a_delivery_that_is_not_there_is_told_with_those_that_are(untouched: Doors):
    result = untouched.cli("deliveries", "DN-9")
    assert result.exit_code == 1
    assert "No delivery is called “DN-9”. Known: DN-7." in result.stderr


def test_json_tells_the_same(untouched: Doors):
    api = untouched.api("ida")
    assert api.get("/deliveries").json["deliveries"][0]["inspected"] == 1
    told = api.get("/deliveries/DN-7").json
    assert told["contents"][0]["state"] == "received, sealed, not inspected"
    assert told["contents"][0]["partner"]["id"] == untouched.world.ids["p6 e"]
    assert api.get("/deliveries/DN-9").status_code in (404, 422)


def test_both_doors_give_the_same_json(untouched: Doors):
    api = untouched.api("ida")
    for words, path in (((), "/deliveries"), (("DN-7",), "/deliveries/DN-7")):
        assert json.loads(untouched.cli("deliveries", *words, "--json").stdout) == api.get(path).json
