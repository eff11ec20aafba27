"""Fleet, vehicle and bay: what sits where, what stands against deploying, and the act that clears it."""

from tests.lived import MOUNTED, RIGHT, SHEET
from tests.web.doors import Doors, Page
from tests.web.html import Node

LEAK = {"start_mbar": "750.0", "start_c": "20.0", "end_mbar": "751.0", "end_c": "20.0", "hold_min": "30"}


def vehicle(doors: Doors, name: str = "teasel") -> Page:
    return doors.visitor("oda").get(f"/vehicles/{doors.code(name)}")


def findings(page: Page) -> list[tuple[str, str]]:
    """(severity, fact) of every finding, in the order shown."""
    return [(item.classes[0], _fact(item)) for item in page.root.one("ol", cls="findings").all("li")]


def _fact(item: Node) -> str:
    return item.one("h3").words.removeprefix(item.one("span", cls="sev").words)


def test_the_fleet_counts_what_nothing_stops_and_shows_the_worst_first(untouched: Doors):
    page = untouched.visitor("piet").get("/fleet")
    assert page.heading == "0 of 3 have nothing that stops them."
    assert [node.one("h2").words for node in page.root.all("article", cls="vehicle")] == [
        "Burdock",
        "Spare hull",
        "Teasel",
    ]
    teasel = page.root.all("article", cls="vehicle")[2]
    assert "Whole: p1" in teasel.one("ol", cls="bays").words
    assert "Must not deploy" in teasel.words


def test_every_vehicle_has_its_hull_with_a_ruler_and_the_list_that_says_the_same(untouched: Doors):
    page = untouched.visitor("piet").get("/fleet")
    for article in page.root.all("article", cls="vehicle"):
        hull = article.one("svg", cls="hull")
        letters = [node.words for node in hull.all("text") if node.words.isalpha() and len(node.words) == 1]
        assert letters == [item.all("strong")[0].words for item in article.one("ol", cls="bays").all("li")]
        assert any(node.words.endswith(" m") for node in hull.all("text"))
        assert hull.has(aria_hidden="true")


def test_an_empty_bay_stops_a_vehicle_and_says_what_to_do(doors: Doors):
    page = vehicle(doors)
    assert page.heading == "Teasel: must not deploy."
    assert findings(page) == [("stops", "Bay A is empty"), ("stops", "Bay B is empty")]
    assert page.links("act")["Install in bay A"] == f"/bays/{doors.world.ids['teasel A']}/swap"


def test_a_vehicle_becomes_fit_as_its_findings_are_cleared(doors: Doors):
    world = doors.world
    world.install("p1", "teasel A", "20 08:30")
    world.install("p2", "teasel B", "20 08:40")
    overdue = {
        ("care", f"Bay {letter}: {pair} is overdue for verification") for letter, pair in (("A", "p1"), ("B", "p2"))
    }
    assert overdue <= set(findings(vehicle(doors)))
    world.mark()
    for pair in ("p1", "p2"):
        world.verify(pair, "20 08:50")
    signs = [("stops", f"Bay {bay}: axis and sign check missing") for bay in "AB"]
    angles = [("care", f"Bay {bay}: no alignment") for bay in "AB"]
    notes = [("note", f"Bay {bay}: no settings sheet") for bay in "AB"]
    assert findings(vehicle(doors)) == [*signs, ("stops", "Forward housing is open"), *angles, *notes]
    world.do("close_housing", "20 09:00", housing="teasel forward")
    untested = ("stops", "Forward housing: no leak test since it was opened")
    closed = ("note", "Forward housing: no closing sheet")
    assert findings(vehicle(doors)) == [*signs, untested, *angles, *notes, closed]
    for bay in ("teasel A", "teasel B"):
        world.do("record_axis_check", "20 09:10", bay=bay, **RIGHT)
    assert findings(vehicle(doors)) == [untested, *angles, *notes, closed]
    for bay in ("teasel A", "teasel B"):
        world.do("record_mounting", "20 09:20", bay=bay, **MOUNTED)
        world.do("record_alignment", "20 09:30", bay=bay, **SHEET)
    assert findings(vehicle(doors)) == [untested, *notes, closed]
    world.do("record_leak_test", "20 10:00", housing="teasel forward", **LEAK)
    page = vehicle(doors)
    assert page.heading == "Teasel: nothing on record stands against it."
    assert findings(page) == [*notes, ("note", "Forward housing: leak test holds"), closed]
    assert not page.root.one("section", cls="verdict").has(cls="stops")


def test_where_the_plan_of_the_site_says_so_an_overdue_verification_stops_it(doors: Doors):
    world = doors.world
    world.install("p1", "teasel A", "20 08:30")
    overdue = "Bay A: p1 is overdue for verification"
    assert ("care", overdue) in findings(vehicle(doors))
    told = {"reason": "the contract asks for it", "source": "contract 7, clause 4"}
    world.do("set_plan_figure", "20 08:40", by="oda", figure="overdue_stops", site="shed", value="yes", **told)
    assert ("stops", overdue) in findings(vehicle(doors))
    told = {"figure": "verification_months", "value": "36", "reason": "few hours", "source": "plan, issue 3"}
    world.do("set_plan_figure", "20 08:50", by="oda", **told)
    assert overdue not in [fact for _severity, fact in findings(vehicle(doors))]


def test_a_failed_leak_test_stops_it_and_puts_it_on_hold(doors: Doors):
    world = doors.world
    world.install("p1", "teasel A", "20 08:30")
    world.do("close_housing", "20 09:00", housing="teasel forward")
    world.do("record_leak_test", "20 10:00", housing="teasel forward", **(LEAK | {"end_mbar": "760"}))
    facts = [fact for severity, fact in findings(vehicle(doors)) if severity == "stops"]
    assert "Forward housing: the leak test does not hold" in facts
    assert any("is on hold since 20 May 2026" in fact for fact in facts)
    assert [row.cause for row in doors.rows("hold")] == ["failed_leak_test"]


def test_a_knock_asks_for_rechecks_until_each_is_answered(doors: Doors):
    world = doors.world
    world.install("p1", "teasel A", "20 08:30")
    world.do("record_knock", "20 10:00", vehicle="teasel", words="struck the quay")
    asked = [fact for _severity, fact in findings(vehicle(doors)) if "after a knock" in fact]
    assert len(asked) == 3
    for row in doors.rows("recheck"):
        doors.visitor("ida").act("answer_recheck", recheck=row.id, answer="nothing found")
    assert not [fact for _severity, fact in findings(vehicle(doors)) if "after a knock" in fact]


def test_each_finding_has_its_evidence_and_its_act(untouched: Doors):
    page = vehicle(untouched)
    for item in page.root.one("ol", cls="findings").all("li"):
        if "note" not in item.classes:
            ways = [node for node in item.all("a") if "entry" not in node.words]
            assert ways or " may." in item.words, item.words


def test_a_retired_vehicle_stops_for_good(doors: Doors):
    doors.world.do("retire_vehicle", "20 10:00", by="piet", vehicle="burdock", why="sold")
    assert findings(vehicle(doors, "burdock")) == [("stops", "Retired on 20 May 2026")]


def test_a_bay_shows_what_it_holds_accepts_and_has_held(untouched: Doors):
    page = untouched.visitor("oda").get(f"/bays/{untouched.code('teasel A')}")
    assert page.heading == "Teasel, bay A holds p1."
    assert "In since 10 May 2026, 09:30 UTC, Ida." in page.words
    assert "Ardlune Reed" in page.words
    assert page.links("act")["Swap this bay"] == f"/bays/{untouched.code('teasel A')}/swap"
    assert "Amended: entered as 10 May 2026, 09:00 UTC" in page.words


def test_a_sighting_that_agrees_confirms_and_one_that_does_not_stops(doors: Doors):
    world = doors.world
    world.install("p1", "teasel A", "10 09:00")
    world.do("record_sighting", "15 09:00", by="anselm", bay="teasel A", sensor="p1 s", electronics="p1 e")
    page = doors.visitor("oda").get(f"/bays/{doors.code('teasel A')}")
    assert "Last scanned there 15 May 2026, 5 days ago; no mission day rests on it." in page.words
    assert not page.root.one("section", cls="verdict").has(cls="stops")
    world.do("record_sighting", "16 09:00", by="anselm", bay="teasel A", sensor="p1 s", electronics="p2 e")
    page = doors.visitor("oda").get(f"/bays/{doors.code('teasel A')}")
    assert page.root.one("section", cls="verdict").has(cls="stops")


def test_a_type_is_accepted_and_refused_from_the_page_of_the_bay(doors: Doors):
    oda, bay = doors.visitor("oda"), doors.code("teasel A")
    page = oda.get(oda.get(f"/bays/{bay}").links("act")["Accept a type"])
    done = oda.send(page, page.form("/act/accept_type"), unit_type=doors.world.ids["sedge"])
    assert "Ardlune Sedge" in oda.follow(done).words
    ways = [node.attrs["href"] for node in oda.get(f"/bays/{bay}").root.all("a") if node.words == "Stop accepting it"]
    stops = [oda.get(way).form("/act/stop_accepting_type") for way in ways]
    assert [form.value("bay") for form in stops] == [bay, bay]
    assert [form.value("unit_type") for form in stops] == [doors.world.ids["reed"], doors.world.ids["sedge"]]


def test_things_are_found_by_code_id_and_name(untouched: Doors):
    ida = untouched.visitor("ida")
    for ref in (untouched.code("teasel"), untouched.world.ids["teasel"], "Teasel", "teasel", "HN-teasel"):
        assert ida.get(f"/vehicles/{ref}").title.startswith("Teasel ·")
    for ref in (untouched.code("teasel A"), untouched.world.ids["teasel A"], "Teasel, bay A", "teasel A"):
        assert ida.get(f"/bays/{ref}").title.startswith("Teasel, bay A ·")


def test_a_thing_that_is_not_there_is_told_with_what_is(untouched: Doors):
    page = untouched.visitor("ida").get("/vehicles/Thistle")
    assert (page.status, page.heading) == (404, "No vehicle is called “Thistle”. Known: Burdock, Spare hull, Teasel.")
    wrong_kind = untouched.visitor("ida").get(f"/vehicles/{untouched.code('teasel A')}")
    assert wrong_kind.status == 404
    assert "is a bay, not a vehicle" in wrong_kind.heading


def test_a_registry_that_was_empty_then_says_so(doors: Doors):
    page = doors.visitor("piet").get("/fleet?at=2024-01-01")
    assert page.heading == "No vehicle was known then."
