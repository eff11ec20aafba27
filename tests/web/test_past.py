"""Pages turned to a past instant: the strip says so loudly, what stood then is shown, and nothing can be done."""

import re

import pytest

from tests.web.doors import Doors, Page

#: What holds on every day of May 2026 in the registry that has been lived in.
PAGES = [
    "/fleet",
    "/vehicles/{teasel}",
    "/bays/{teasel A}",
    "/pairs",
    "/pairs/p1",
    "/pairs/gone",
    "/halves",
    "/halves/{p1 s}",
    "/halves/{lone e}",
    "/halves/{p3 s}",
    "/holds",
]
INSTANTS = [
    "2026-05-09T10:00",
    "2026-05-10T12:00",
    "2026-05-12T10:00",
    "2026-05-15T10:00",
    "2026-05-17T08:00",
    "2026-05-20T11:59",
]
TURNS = [f"at={instant}" for instant in INSTANTS] + ["known_on=2026-05-20", "at=2026-05-12T10:00&known_on=2026-05-20"]
#: Ways that lead to an act, whatever they look like.
TO_AN_ACT = re.compile(r"^/act/|/swap\b|^/esd\b|^/waiting\b")


def turned(doors: Doors, path: str, turn: str) -> Page:
    from tests.web.test_pages import spelt

    return doors.visitor("oda").get(f"{spelt(doors, path)}?{turn}")


def offered(page: Page) -> list[str]:
    """Everything on a page that leads to an act or sends one, but for light, hand-over and the turn."""
    main = page.root.one("main")
    links = [
        node.words for node in main.all("a") if "act" in node.classes or TO_AN_ACT.search(node.attrs.get("href", ""))
    ]
    forms = [
        node.attrs.get("action", "")
        for node in page.root.all("form", method="post")
        if node.attrs.get("action") not in ("/light", "/hand-over")
    ]
    buttons = [node.words for node in main.all("button") if node.words != "Turn"]
    return links + forms + buttons


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("path", PAGES)
def test_a_past_page_says_so_and_offers_nothing(path: str, turn: str, untouched: Doors):
    page = turned(untouched, path, turn)
    assert page.status == 200
    strips = [node for node in page.root.one("main").all("p", cls="strip") if node.words.startswith("As it stood on ")]
    assert len(strips) == 1
    assert strips[0].words.endswith("Nothing can be done on a past page. Back to now")
    assert strips[0].has(role="status")
    assert offered(page) == []


def test_the_same_pages_offer_acts_now(untouched: Doors):
    """What the test above looks for is there on pages of today, so that it can fail."""
    assert [
        path for path in PAGES if path not in ("/fleet", "/pairs/gone") and not offered(turned(untouched, path, ""))
    ] == []


def test_the_strip_names_the_instant_and_the_day(untouched: Doors):
    page = turned(untouched, "/fleet", "at=2026-05-12T10:00&known_on=2026-05-20")
    assert "As it stood on 12 May 2026, 10:00 UTC, as known when 20 May 2026 ended." in page.words


def test_back_to_now_leads_back_to_now(untouched: Doors):
    page = turned(untouched, "/pairs/p1", "at=2026-05-12T10:00")
    assert page.links()["Back to now"] == "/pairs/p1"
    now = untouched.visitor("oda").get("/pairs/p1")
    assert "As it stood on" not in now.words


@pytest.mark.parametrize("path", PAGES)
def test_links_to_things_stay_in_the_past(path: str, untouched: Doors):
    """Who follows a link on a past page stays on that day."""
    page = turned(untouched, path, "at=2026-05-12T10:00&known_on=2026-05-20")
    things = [
        node.attrs["href"]
        for node in page.root.one("main").all("a")
        if re.match(r"/(vehicles|bays|pairs|halves)/", node.attrs.get("href", "")) and node.words != "Back to now"
    ]
    assert [
        href
        for href in things
        if "at=2026-05-12T10:00" not in href.replace("%3A", ":") or "known_on=2026-05-20" not in href
    ] == []


SHOWN = [
    ("2026-05-09T10:00", "Teasel, bay B holds p2."),
    ("2026-05-09T11:00", "Teasel, bay B is empty."),
    ("2026-05-10T12:00", "Teasel, bay B is empty."),
]


@pytest.mark.parametrize(("instant", "heading"), SHOWN)
def test_a_bay_shows_what_it_held_then(instant: str, heading: str, untouched: Doors):
    assert turned(untouched, "/bays/{teasel B}", f"at={instant}").heading == heading


def test_a_pair_shows_where_it_was_then(untouched: Doors):
    assert "In Teasel, bay B, since 9 May 2026." in turned(untouched, "/pairs/p2", "at=2026-05-09T10:30").words
    assert "In Burdock, bay B, since 12 May 2026." in turned(untouched, "/pairs/p2", "at=2026-05-12T10:30").words
    assert turned(untouched, "/pairs/gone", "at=2026-05-16T10:30").heading == "gone is whole."
    assert turned(untouched, "/pairs/gone", "at=2026-05-18T10:30").heading == "gone: were a pair once."


def test_what_was_known_is_not_what_was_so(doors: Doors):
    """The swap of the 12th was entered on the 20th: on the 19th nobody knew."""
    doors.world.install("p1", "teasel A", "10 09:00")
    doors.world.later(days=2)
    doors.world.sign("ida", "21 08:00")
    doors.world.swap("p1", "p2", "teasel A", "21 09:00")
    asked = {
        turn: turned(doors, "/bays/{teasel A}", turn).heading
        for turn in (
            "at=2026-05-21T10:00",
            "at=2026-05-21T10:00&known_on=2026-05-20",
            "known_on=2026-05-20",
            "at=2026-05-19T10:00",
        )
    }
    assert asked == {
        "at=2026-05-21T10:00": "Teasel, bay A holds p2.",
        "at=2026-05-21T10:00&known_on=2026-05-20": "Teasel, bay A holds p1.",
        "known_on=2026-05-20": "Teasel, bay A holds p1.",
        "at=2026-05-19T10:00": "Teasel, bay A holds p1.",
    }


@pytest.mark.parametrize(
    "instant",
    [
        "2026-05-10T12:00",
        "2026-05-10T12:00:00",
        "2026-05-10T12:00:00Z",
        "2026-05-10T14:00:00+02:00",
        "2026-05-10T07:00:00-05:00",
        " 2026-05-10T12:00 ",
    ],
)
def test_an_instant_may_be_written_as_a_field_sends_it_or_with_its_offset(instant: str, untouched: Doors):
    page = untouched.visitor("ida").get("/fleet", query_string={"at": instant})
    assert "As it stood on 10 May 2026, 12:00 UTC." in page.words


def test_a_day_alone_is_its_beginning(untouched: Doors):
    page = untouched.visitor("ida").get("/fleet", query_string={"at": "2026-05-10"})
    assert "As it stood on 10 May 2026, 00:00 UTC." in page.words


@pytest.mark.parametrize(
    "query",
    [
        "at=yesterday",
        "at=1969-12-31",
        "at=2999-01-01",
        "at=2026-02-30T10:00",
        "at=2026-05-10T12:00:00-00:00",
        "at=" + "9" * 1000,
        "known_on=never",
        "known_on=2026-02-30",
        "known_on=1969-01-01",
        "known_on=2026-05-10T12:00",
        "at=%00",
    ],
)
@pytest.mark.parametrize("path", ["/fleet", "/pairs/p1"])
def test_a_time_that_cannot_be_is_refused_in_a_sentence(path: str, query: str, untouched: Doors):
    page = untouched.visitor("ida").get(f"{path}?{query}")
    assert page.status == 422
    assert page.heading.endswith(".")
    assert page.root.one("p", cls="why").words.startswith("A day ")


def test_before_anything_was_entered_there_is_nothing(untouched: Doors):
    assert turned(untouched, "/fleet", "at=2024-01-01").heading == "No vehicle was known then."
    assert "Enter the first" not in turned(untouched, "/fleet", "at=2024-01-01").words
    assert turned(untouched, "/holds", "at=2024-01-01").heading == "0 open holds."
    for path in ("/vehicles/{teasel}", "/bays/{teasel A}", "/pairs/p1", "/halves/{p1 s}"):
        assert turned(untouched, path, "known_on=2024-01-01").status == 404


def test_what_was_retired_later_was_not_known_to_be_retired(doors: Doors):
    """Entered on the 23rd for the 19th: as known on the 21st, nobody had retired anything."""
    doors.world.later(days=3)
    doors.world.do("retire_vehicle", "19 09:00", by="piet", vehicle="burdock", why="sold")
    doors.world.do("retire_half", "19 09:00", by="piet", half="p3 s", why="worn out")
    assert "Retired on" not in turned(doors, "/vehicles/{burdock}", "known_on=2026-05-21").words
    assert not turned(doors, "/halves/{p3 s}", "known_on=2026-05-21").heading.endswith("is retired.")


@pytest.mark.parametrize("day", [" 2026-05-20", "%092026-05-20"])
def test_a_day_with_blanks_around_it_is_that_day(day: str, untouched: Doors):
    assert untouched.visitor("ida").get(f"/fleet?known_on={day}").status == 200


def test_turning_a_list_stays_in_the_past(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    from registry.web import units

    monkeypatch.setattr(units, "PAGE", 3)
    for path in ("/halves", "/pairs"):
        page = untouched.visitor("ida").get(f"{path}?at=2026-05-12T10:00&known_on=2026-05-20")
        onward = page.links("plain")["After"]
        assert "at=2026-05-12T10" in onward
        assert "known_on=2026-05-20" in onward


def test_a_past_fleet_without_vehicles_offers_none(untouched: Doors):
    assert offered(turned(untouched, "/fleet", "at=2024-01-01")) == []


def test_a_pair_that_was_sighted_elsewhere_offers_nothing_on_a_past_page(doors: Doors):
    doors.world.install("p1", "teasel A", "10 09:00")
    doors.world.do("record_sighting", "15 09:00", by="anselm", bay="teasel B", sensor="p1 s")
    assert offered(turned(doors, "/pairs/p1", "at=2026-05-16T10:00")) == []


@pytest.mark.parametrize("path", ["/vehicles/{teasel}", "/bays/{teasel A}", "/pairs/p1", "/halves/{p1 s}"])
def test_a_thing_that_was_not_known_yet_is_told_so_with_a_way_back(path: str, untouched: Doors):
    page = turned(untouched, path, "known_on=2024-01-01")
    assert page.status == 404
    assert page.heading != "Nothing is at this address."
    assert "Back to now" in page.links()


def test_history_names_who_did_it_and_not_who_amended_the_time(untouched: Doors):
    page = untouched.visitor("piet").get("/pairs/p1")
    assert "p1 installed in Teasel, bay A. Ida." in page.words


def test_a_move_whose_time_was_amended_says_so(lived: Doors):
    entry = next(row for row in lived.rows("log_entry") if row.act == "move_vehicle")
    change = {"act": entry.act_id, "instant": "moved", "at": "2026-05-16T08:00:00Z"}
    lived.world.do("amend_times", "20 10:00", by="oda", changes=[change], why="it was earlier")
    shown = lived.visitor("oda").get(f"/vehicles/{lived.code('teasel')}").words
    assert "Amended: entered as 16 May 2026, 09:00 UTC" in shown


def test_a_sighting_that_differs_does_not_undo_the_last_one_that_agreed(doors: Doors):
    world = doors.world
    world.install("p1", "teasel A", "10 09:00")
    world.do("record_sighting", "15 09:00", by="anselm", bay="teasel A", sensor="p1 s", electronics="p1 e")
    world.do("record_sighting", "16 09:00", by="anselm", bay="teasel A", sensor="p1 s", electronics="p2 e")
    assert (
        "Last scanned there 15 May 2026, 5 days ago; no mission day rests on it."
        in doors.visitor("oda").get(f"/bays/{doors.code('teasel A')}").words
    )


@pytest.mark.parametrize(
    "query, field, typed",
    [
        ("from=2026-05-29&to=2026-05-21", "to", {"from": "2026-05-29", "to": "2026-05-21"}),
        ("from=2026-05-21", "to", {"from": "2026-05-21", "to": ""}),
        ("to=2026-05-21", "from", {"from": "", "to": "2026-05-21"}),
        ("from=soon&to=2026-05-21", "from", {"from": "soon", "to": "2026-05-21"}),
        ("at=once", "at", {"at": "once"}),
        ("known_on=once", "known_on", {"known_on": "once"}),
        ("at=2031-01-01T00:00", "at", {"at": "2031-01-01T00:00"}),
    ],
)
def test_a_day_that_cannot_be_gives_the_form_back_as_it_was_typed(
    query: str, field: str, typed: dict, untouched: Doors
):
    page = untouched.visitor("piet").get(f"/fleet?{query}")
    assert page.status == 422
    form = page.form("/fleet")
    assert {name: form.value(name) for name in typed} == typed
    assert page.beside(field) and page.beside(field)[0].startswith(page.heading)
    assert [name for name in ("at", "known_on", "from", "to") if page.beside(name)] == [field]
    assert page.links()["As it stands now"] == "/fleet"


def test_the_day_a_voyage_cannot_end_on_is_the_day_that_was_typed(untouched: Doors):
    page = untouched.visitor("piet").get("/fleet?from=2026-12-12&to=2026-11-28")
    assert page.heading == "A voyage from 12 December 2026 cannot end on 28 November 2026. Look at the days."


def test_an_instant_still_to_come_is_no_past_page(untouched: Doors):
    for path in ("/fleet", "/pairs"):
        page = untouched.visitor("piet").get(f"{path}?at=2031-01-01T00:00")
        assert page.heading.startswith("1 January 2031, 00:00 UTC is still to come")
        assert "name a voyage" in page.beside("at")[0] and "As it stood" not in page.words
