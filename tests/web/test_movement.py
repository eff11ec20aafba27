"""Movements: loans, repairs and crossings on one page, and on the pages of the things themselves."""

from tests.web.doors import Doors


def test_what_is_out_is_listed_with_the_act_that_brings_it_back(untouched: Doors):
    page = untouched.visitor("piet").get("/movements")
    assert page.heading == "2 things are out."
    assert "Spare hull lent to Lowmoor Survey" in page.words
    assert "Due back on 30 June 2026." in page.words
    assert "Ardlune works" in page.words
    assert "Reminder only. Ask your export officer." in page.words
    assert "Its classification is not stated. A border crossing is planned on 28 May 2026." in page.words
    assert "Classification: not stated" not in page.words
    assert {"Enter its return", "Agree another day", "Say what became of it"} <= set(page.links("go"))


def test_a_past_page_shows_what_was_out_then_and_no_act(untouched: Doors):
    page = untouched.visitor("piet").get("/movements?at=2026-05-16T10:00")
    assert page.heading == "0 things are out."
    assert "Enter a loan" not in page.links()


def test_a_vehicle_tells_its_loan_and_a_half_where_it_is(untouched: Doors):
    page = untouched.visitor("piet").get(f"/vehicles/{untouched.code('spare hull')}")
    assert "On loan to Lowmoor Survey" in page.words
    assert "Lent to Lowmoor Survey." in page.words
    half = untouched.visitor("piet").get(f"/halves/{untouched.code('odd e')}")
    assert "at repair, Ardlune works, since 16 May 2026" in half.words


def test_every_claim_of_a_place_says_how_old_its_proof_is(untouched: Doors):
    piet = untouched.visitor("piet")
    assert "Whole: p1, scanned 10 days ago" in piet.get("/fleet").words
    assert "scanned 10 days ago; 1 mission day rests on it" in piet.get(f"/vehicles/{untouched.code('teasel')}").words
    assert "10 days ago; 1 mission day rests on it." in piet.get("/bays/teasel A").words
    assert "10 May 2026, 10 days ago; 1 mission day rests on it." in piet.get("/pairs/p1").words
    then = piet.get("/fleet?at=2026-05-12T10:00").words
    assert "p1, scanned 2 days ago" in then


def test_json_tells_the_same(untouched: Doors):
    told = untouched.api("piet").get("/movements").get_json()
    assert [one["of"] for one in told["loans"]] == ["Spare hull"]
    assert [one["keeper"] for one in told["repairs"]] == ["Ardlune works"]
    assert told["crossings"][0]["classification"] == "not stated"
    assert told["reminder"] == "Reminder only. Ask your export officer."
