"""Meters on their pages: until when each is good, and what rests on it."""

from tests.web.doors import Doors


def test_meters_are_listed_with_the_day_they_are_good_to(untouched: Doors):
    page = untouched.visitor("ida").get("/meters")
    assert "Strap tester, North shed. Good to 1 September 2026." in page.words


def test_a_meter_found_out_of_tolerance_lists_what_rests_on_it(doors: Doors):
    oda = doors.visitor("oda")
    told = {"calibrated_on": "2026-05-19", "as_found": "outside", "certificate": "C-77"}
    page = oda.follow(oda.act("record_meter_calibration", meter=doors.world.ids["RM-1"], **told))
    assert page.heading == "RM-1 is in date."
    flashed = [node.words for node in page.root.all("p", cls="strip")]
    assert any(words.startswith("RM-1 was found out of tolerance:") for words in flashed)
    assert "What it read since 1 September 2025 is in doubt" in page.words
    assert "Pass: Ida" in page.words and "Kit 1" in page.words


def test_a_meter_out_of_use_says_why(doors: Doors):
    oda = doors.visitor("oda")
    page = oda.follow(oda.act("retire_meter", meter=doors.world.ids["BT-04"], reason="dropped overboard"))
    assert page.heading == "BT-04 is out of use."
    assert oda.get("/meters").words.count("Out of use since 20 May 2026: dropped overboard") == 1


def test_a_meter_that_is_not_there_is_not_found(untouched: Doors):
    assert untouched.visitor("oda").get("/meters/nothing").status == 404
