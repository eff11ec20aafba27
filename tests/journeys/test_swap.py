"""The technician at an open hull, gloves, a phone: readings signed, go or no go, told MIXED in time, then the lawful swap."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.journeys.browser import Phone
from tests.journeys.server import Sea

PIN = "2846"
WHERE = {True: ("Teasel", "A"), False: ("Tansy", "A")}


def readings(technician: Phone, station: str) -> None:
    technician.go("/esd")
    row = technician.page.locator("li", has_text=station).filter(
        has=technician.page.get_by_role("link", name="Take the readings")
    )
    row.get_by_role("link", name="Take the readings").click()
    technician.page.get_by_label("Wrist strap").fill("7.2")
    technician.page.get_by_label("Bench surface to ground").fill("40")
    technician.page.get_by_label("Field at the unit").fill("0.4")
    technician.page.get_by_label("Your PIN, Ida Brekke").fill(PIN)
    technician.press("Sign these readings")
    assert technician.heading() == "Pass."


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_the_technician_is_told_mixed_and_then_swaps(script: bool, phone: Callable[..., Phone], sea: Sea):
    name, letter = WHERE[script]
    bay = sea.vehicle(name).bay(letter)
    into, other = sea.spares("Reed")[:2]
    technician, size = phone("Ida Brekke", 360, script=script), sea.size()
    # Before anything is signed: no go, and the way to the readings.
    technician.go(f"/bays/{bay.code}")
    technician.press("Swap this bay")
    technician.scan_both(*sea.codes(into))
    assert technician.heading() == "No go."
    technician.press("Take the readings")
    readings(technician, "Bench 2, North shed" if name == "Teasel" else "Quay bench, South quay")
    # Hull shut: a half of another pair lies in the bag.
    technician.go(f"/bays/{bay.code}/swap")
    technician.scan_both(sea.codes(into)[0], sea.codes(other)[1])
    assert technician.heading() == "Mixed. Do not join."
    for half in (sea.codes(into)[1], sea.codes(other)[0]):
        assert f"{half[:4]} {half[4:]}" in technician.words()
    assert "Nothing was written." in technician.words()
    technician.scan_both(*sea.codes(into))
    assert technician.heading() == f"Go. {into} may go into {name}, bay {letter}."
    technician.press("Lift the old pair")
    technician.scan_both(bay.sensor_code, bay.electronics_code)
    assert technician.heading() == f"Lifted: {bay.pair}."
    technician.press("Seat the next pair")
    # Seated with the wrong half: said before the lid is on.
    technician.scan_both(sea.codes(into)[0], sea.codes(other)[1])
    assert technician.heading() == "Mixed. Do not join."
    technician.scan_both(*sea.codes(into))
    assert technician.heading() == f"Whole. {into} is seated."
    technician.press("Sign it")
    assert sea.size() == size + 1, "nothing but the readings was written until here"
    technician.page.get_by_label("Your PIN, Ida Brekke").fill(PIN)
    technician.press("Sign the swap")
    assert technician.heading() == f"{name}, bay {letter} holds {into}."
    assert sea.vehicle(name).bay(letter).pair == into
    technician.go(f"/vehicles/{sea.vehicle(name).code}")
    assert technician.heading() == f"{name}: must not deploy."
    assert "housing is open" in technician.words()


def test_a_glove_that_taps_twice_signs_once(phone: Callable[..., Phone], sea: Sea):
    technician, size = phone("Ida Brekke", 360), sea.size()
    half = sea.codes(sea.spares("Sedge")[0])[0]
    technician.go(f"/act/note_fault?half={half}")
    technician.page.get_by_label("What was seen").fill("a loose screw")
    technician.page.get_by_role("button", name="Note a fault").dblclick()
    # The second tap may cut the first answer short: where one lands counts, not by which of them.
    expect(technician.page).to_have_url(re.compile("/halves/"), timeout=10_000)
    assert sea.size() == size + 1
    assert "a loose screw" in technician.words()
