"""Holds and sightings through their pages: anybody places one, an authority who had no part in it releases it."""

from tests.web.doors import PIN, Doors


def test_anybody_places_a_hold_and_lands_on_its_page(doors: Doors):
    anselm = doors.visitor("anselm")
    page = anselm.get(anselm.get("/pairs/p1").links("go")["Hold this pair"])
    form = page.form("/act/place_hold")
    assert form.value("pair") == doors.code("p1 s")
    done = anselm.send(page, form, cause="dropped", reason="Fell from the bench.")
    hold = anselm.follow(done)
    assert hold.heading == "Pair p1 is on hold."
    assert "Placed 20 May 2026, 12:00 UTC, Anselm" in hold.words
    assert "Fell from the bench." in hold.words


def test_a_hold_lies_on_one_thing(untouched: Doors):
    told = {"half": untouched.code("p1 s"), "bay": untouched.code("teasel A"), "reason": "both"}
    answer = untouched.visitor("ida").act("place_hold", **told)
    assert answer.status == 422
    assert answer.told()[0].endswith("A hold lies on one thing: a half, a pair, a vehicle or a bay.")


def test_an_authority_releases_it_with_evidence(lived: Doors):
    rosa, hold = lived.visitor("rosa"), lived.world.ids["hold"]
    shown = rosa.get(f"/holds/{hold}")
    page = rosa.get(shown.links("act")["Release it, with evidence"])
    form = page.form("/act/release_hold")
    assert form.value("hold") == hold
    done = rosa.send(page, form, reason="dried", evidence="photo 12", pin=PIN)
    released = rosa.follow(done)
    assert released.heading.endswith(": released.")
    assert "photo 12" in released.words
    assert "Release it, with evidence" not in released.links()


def test_whoever_placed_it_or_did_the_work_does_not_release_it(doors: Doors):
    doors.world.do("give_role", "20 09:00", by="maren", person="ida", role="release_authority")
    done = doors.world.do("place_hold", "20 09:30", by="ida", half="p1 s", reason="hums")
    answer = doors.visitor("ida").act("release_hold", hold=done.entry.id, reason="fine", evidence="none")
    assert (answer.status, answer.told()) == (
        403,
        ["You placed this hold; another authority releases it. Ask another release authority."],
    )


def test_a_hold_says_what_is_missing_before_it_is_released_and_who_may(lived: Doors):
    hold, world = lived.world.ids["hold"], lived.world
    told = {"half": "p3 s", "hold": "hold", "reason": "its heading jumped"}
    impact = world.do("open_impact", "20 10:00", by="vera", **told).entry.id
    page = lived.visitor("rosa").get(f"/holds/{hold}")
    assert "is not answered: 4 lines have no answer yet." in page.words
    assert page.links("go")["Look at the list"].endswith(impact)
    assert page.words.index("no answer yet") < page.words.index("Release it, with evidence")
    assert "Release it, with evidence: a release authority may." in lived.visitor("piet").get(f"/holds/{hold}").words
    world.do("give_role", "20 09:00", by="maren", person="ida", role="release_authority")
    own = world.do("place_hold", "20 09:30", by="ida", half="p1 s", reason="hums").entry.id
    shown = lived.visitor("ida").get(f"/holds/{own}")
    assert "You placed this hold; another authority releases it. A release authority who had no part in it may." in (
        shown.words
    )
    assert "Release it, with evidence" not in shown.links()


def test_a_hold_that_was_released_meanwhile_is_told(lived: Doors):
    rosa = lived.visitor("rosa")
    page = rosa.get("/act/release_hold")
    form = page.form("/act/release_hold")
    lived.world.do("release_hold", "20 11:00", by="rosa", hold="hold", reason="dry", evidence="photo")
    answer = rosa.send(page, form, hold=lived.world.ids["hold"], reason="dry", evidence="photo", pin=PIN)
    assert answer.status == 409
    assert answer.told()[0] == "It was released on 20 May 2026, 11:00 UTC. There is nothing to release."


def test_open_holds_are_listed_oldest_first_and_counted(untouched: Doors):
    page = untouched.visitor("rosa").get("/holds")
    assert page.heading == "2 open holds."
    assert [node.words for node in page.root.one("main").all("a", cls="what")][1] == "Pair p2"


def test_a_hold_that_is_not_there_is_not_found(untouched: Doors):
    for path in ("/holds/nothing", f"/holds/{untouched.world.ids['p1']}"):
        assert untouched.visitor("rosa").get(path).status == 404


def test_a_sighting_that_differs_tells_both_ends_and_is_settled(doors: Doors):
    doors.world.install("p1", "teasel A", "10 09:00")
    anselm = doors.visitor("anselm")
    done = anselm.act("record_sighting", bay=doors.code("teasel B"), sensor=doors.code("p1 s"))
    assert done.status == 303
    assert len(anselm.follow(done).flashes) == 3
    piet = doors.visitor("piet")
    doors.world.later(minutes=10)
    waits = piet.get("/waiting")
    assert waits.heading == "2 things wait for a hand."
    page = piet.get(waits.links("go")["Settle it"])
    for row in doors.rows("discrepancy"):
        form = piet.get("/act/settle_discrepancy").form("/act/settle_discrepancy")
        done = piet.send(page, form, discrepancy=row.id, answer="a label was misread", pin=PIN)
        assert done.response.headers["Location"].rstrip("/").endswith(doors.world.ids["teasel"])
        assert piet.follow(done).heading.startswith("Teasel")
    assert piet.get("/waiting").heading == "0 things wait for a hand."


def test_an_empty_bay_and_a_half_cannot_both_be_seen(untouched: Doors):
    for told in ({"sensor": untouched.code("p1 s"), "empty": "y"}, {}):
        answer = untouched.visitor("anselm").act("record_sighting", bay=untouched.code("teasel A"), **told)
        assert answer.status == 422
        assert answer.told()[0].endswith("Say what you found: scan a half, or say that the bay is empty.")
