"""The pages of spares: of a bay, for a voyage, and the plan of fewest openings."""

from tests.web.doors import Doors, Page

TIMES = {"from": "2026-06-01T06:00", "to": "2026-06-08T18:00"}


def ask(doors: Doors, path: str, **query: object) -> Page:
    return doors.visitor("oda").get(path, query_string={**TIMES, **query})


def test_the_page_of_a_bay_shows_its_best_spares_and_leads_to_all_of_them(untouched: Doors):
    code = untouched.code("burdock A")
    page = untouched.visitor("oda").get(f"/bays/{code}")
    part = next(one for one in page.root.all("section", cls="part") if one.one("h2").words.startswith("Spares"))
    assert len(part.one("ul", cls="rows").all("li")) <= 3
    full = untouched.visitor("oda").get(f"/bays/{code}/spares")
    assert full.status == 200
    assert "kept out, and why" in full.words
    assert "p3 is on hold" in full.words or "Sensor half of p3 is on hold" in full.words
    assert "Release it, with evidence: a release authority may." in full.words


def test_a_past_page_of_spares_offers_nothing(untouched: Doors):
    page = untouched.visitor("oda").get(
        f"/bays/{untouched.code('burdock A')}/spares", query_string={"at": "2026-05-09T10:00"}
    )
    assert "As it stood on 9 May 2026" in page.words
    assert "Set the swap kit" not in page.words


def test_a_voyage_lists_bays_without_a_ready_spare_and_keeps_what_was_typed(untouched: Doors):
    page = ask(untouched, "/spares", vehicle=untouched.code("burdock"))
    assert page.status == 200
    assert "a bay without a ready spare aboard" in page.heading
    assert "Burdock 1 June 2026, 06:00 UTC to 8 June 2026, 18:00 UTC" in page.words
    ticked = [
        node.attrs["value"]
        for node in page.root.all("input")
        if node.attrs.get("name") == "vehicle" and "checked" in node.attrs
    ]
    assert ticked == [untouched.code("burdock")]


def test_a_plan_says_what_it_does_and_why_not_and_what_it_assumed(untouched: Doors):
    page = ask(untouched, "/fewest-openings", vehicle=[untouched.code("teasel"), untouched.code("burdock")])
    assert page.status == 200
    assert "of 2 can be made fit" in page.heading
    assert "Not made fit" in page.words
    assert "Every verification, leak test and check run passes" in page.words


def test_what_cannot_be_asked_is_told_and_the_form_stays(untouched: Doors):
    for path in ("/spares", "/fewest-openings"):
        page = ask(untouched, path, sailing="Burdock soon")
        assert page.status == 422
        assert "is not readable as a sailing" in page.words
        assert "Burdock soon" in page.root.one("textarea").words
        late = untouched.visitor("oda").get(
            path, query_string={"vehicle": "Burdock", "from": "2026-06-01T06:00", "to": ""}
        )
        assert (late.status, "Say from when to when they sail." in late.words) == (422, True)
