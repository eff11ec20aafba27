"""A vehicle that is out on a mission says so: on the fleet page, its own page, in JSON and at the command line."""

from tests.web.doors import Doors

OUT = "Out on M-2, Sill, since 12 May 2026, 10:00 UTC."


def test_a_vehicle_that_is_out_says_so_wherever_it_is_shown(untouched: Doors):
    ida, mission = untouched.visitor("ida"), untouched.world.ids["M-2"]
    for path in ("/fleet", "/vehicles/burdock"):
        page = ida.get(path)
        assert OUT in page.words
        assert page.links()[OUT[:-1]].endswith(mission)
    assert OUT not in ida.get("/vehicles/teasel").words
    api = untouched.api("ida")
    out = {one["name"]: one["out_on"] for one in api.get("/fleet").json["vehicles"]}
    assert out["Burdock"]["reference"] == "M-2" and out["Teasel"] is None
    assert api.get("/vehicles/burdock").json["out_on"]["id"] == mission
    assert OUT in untouched.cli("fleet").stdout


def test_before_it_left_it_was_not_out(untouched: Doors):
    ida = untouched.visitor("ida")
    assert OUT not in ida.get("/fleet?at=2026-05-12T09:59").words
    assert untouched.api("ida").get("/vehicles/burdock", at="2026-05-12T09:59:00Z").json["out_on"] is None
