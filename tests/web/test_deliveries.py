"""Deliveries and cartons: their pages, and the way from one step of unboxing to the next."""

from tests.web.doors import PIN, Doors


def test_the_list_says_how_far_each_delivery_is(untouched: Doors):
    page = untouched.visitor("ida").get("/deliveries")
    assert page.heading == "1 delivery."
    assert "4 of 5 cartons entered, 1 inspected." in page.words
    assert page.links()["DN-7"]


def test_a_delivery_shows_every_carton_with_its_half_its_partner_and_the_next_step(untouched: Doors):
    page = untouched.visitor("ida").get("/deliveries/DN-7")
    assert page.heading == "DN-7: 1 of 5 inspected."
    for told in (
        "received, sealed, not inspected",
        "carton open, bag closed",
        "bag open, not inspected",
        "Comes alone: back from repair",
        "Shock indicator tripped",
        "Accepted with a noted defect.",
        "handbook 1 missing: to follow",
        "Not entered yet carton 5",
    ):
        assert told in page.words, told
    ways = page.links("act")
    assert {"Open the carton", "Open the bag", "Inspect the half", "Enter carton 5"} <= set(ways)
    assert "lines-0-item=power" in ways["Inspect the half"]


def test_an_auditor_sees_the_steps_and_who_may_take_them(untouched: Doors):
    page = untouched.visitor("anselm").get("/deliveries/DN-7")
    assert "Open the carton: a " in page.words
    assert not [to for to in page.links().values() if "/act/open_carton" in to]


def test_one_step_leads_to_the_next(lived: Doors):
    ida, carton = lived.visitor("ida"), lived.world.ids["sealed carton"]
    done = ida.act("open_carton", carton=carton, station=lived.world.ids["bench 3"], happened_at="2026-05-20T08:30")
    page = ida.follow(done)
    assert page.heading == "Carton 1 of DN-7: carton open, bag closed."
    assert page.links("act")["Open the bag"] == f"/act/open_bag?carton={carton}"
    refused = ida.act("open_bag", carton=carton, pin=PIN, surface_c="5", air_c="20", humidity_pct="50")
    assert refused.status == 409
    assert "It must be 3 °C above the dew point" in refused.beside("surface_c")[0]


def test_a_half_says_how_it_came_in(untouched: Doors):
    page = untouched.visitor("ida").get(f"/halves/{untouched.code('p6 s')}")
    assert "As it came in received, sealed, not inspected" in page.words
    assert "Came in sealed: carton 1 of DN-7, from Ardlune." in page.words
    assert "Open the carton" in page.links("go")


def test_a_pair_says_how_its_first_power_up_went(untouched: Doors):
    assert "Bench power-up: incomplete. 23.9 V on load, 0.8 A." in untouched.visitor("ida").get("/pairs/p2").words


def test_the_scope_of_a_type_is_shown_and_filled_in_when_it_is_set_anew(untouched: Doors):
    page = untouched.visitor("oda").get("/types")
    assert "Scope of delivery 1 × power lead, 1 × handbook" in page.words.replace(" ,", ",")
    way = next(to for to in [node.attrs["href"] for node in page.root.all("a", cls="go")] if "lines-1-item" in to)
    form = untouched.visitor("oda").get(way).form("/act/set_scope")
    assert {form.value("lines-0-item"), form.value("lines-1-item")} == {"power lead", "handbook"}


def test_what_is_not_there_is_not_found(untouched: Doors):
    ida = untouched.visitor("ida")
    assert ida.get("/deliveries/nothing").status == 404
    for id_ in ("nothing", untouched.world.ids["p1"]):
        assert ida.get(f"/cartons/{id_}").status == 404
