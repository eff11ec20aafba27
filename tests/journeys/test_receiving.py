"""The workshop lead and two boxes: scanned as a hand scanner types, received, matched, and paired by their statement."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from tests.journeys.browser import SCRIPT, Phone
from tests.journeys.server import Sea

PIN = "2846"


def label(part: str, serial: str) -> str:
    """A format-06 symbol with maker, part and serial between its separators."""
    return f"[)>\x1e06\x1d17V7K2Q9\x1d1P{part}\x1dS{serial}\x1e\x04"


def spelt(text: str) -> str:
    """The same as a scanner spells it that sends no control keys."""
    return text.replace("\x1d", "{GS}").replace("\x1e", "{RS}").replace("\x04", "{EOT}")


@pytest.mark.parametrize("script", SCRIPT)
def test_the_lead_receives_two_boxes_and_pairs_them(script: bool, phone: Callable[..., Phone], sea: Sea):
    lead, marks = phone("Oda Fenn", 1280, script=script), ("J1" if script else "J2")
    boxes = (("sensor", label("AR-3100-C", f"S-{marks}7")), ("electronics", label("AR-3200-B", f"E-{marks}8")))
    for kind, text in boxes:
        lead.go("/")
        lead.page.locator("#scan").focus()
        lead.scan(text if script else spelt(text))
        assert lead.heading() == "Nothing in the registry bears this label."
        for fact in ("17V 7K2Q9", f"1P {'AR-3100-C' if kind == 'sensor' else 'AR-3200-B'}"):
            assert fact in lead.words()
        receive(lead, kind)
    lead.go("/")
    for _kind, text in boxes:
        lead.page.locator("#scan").focus()
        lead.scan(text if script else spelt(text))
    assert lead.heading() == "No statement joins these two."
    lead.press("Enter their matched-pair statement")
    lead.page.get_by_label("Name of the pair").fill(f"QH-9{marks}")
    lead.page.get_by_label("Statement", exact=True).select_option(label="calibration sheet of the pair")
    lead.page.get_by_label("Number of the statement").fill(f"AC-9{marks}")
    lead.page.get_by_label("Date of the statement").fill(datetime.now(UTC).date().isoformat())
    lead.page.get_by_label("Your PIN, Oda Fenn").fill(PIN)
    lead.press("Enter a matched-pair statement")
    assert lead.heading() == f"QH-9{marks} is whole."
    lead.go("/")
    for _kind, text in boxes:
        lead.page.locator("#scan").focus()
        lead.scan(text if script else spelt(text))
    assert lead.heading() == f"Whole. QH-9{marks}."


def receive(lead: Phone, kind: str) -> None:
    lead.press("Receive this half")
    lead.page.get_by_label("Half", exact=True).select_option(label=f"{kind} half")
    lead.page.get_by_label("Unit type").select_option(label="Ardlune Quenholt Reed")
    lead.page.get_by_label("Where it lies").select_option(label="North shed")
    lead.page.get_by_label("Shelf or bench").fill("bench 2")
    lead.press("Receive a half")
    assert lead.heading().endswith("is alone.")


def test_a_heap_on_the_bench_is_sorted_with_where_the_missing_partners_are(phone: Callable[..., Phone], sea: Sea):
    lead = phone("Oda Fenn", 360)
    seated = sea.vehicle("Teasel").bay("B")
    one, other = sea.spares("Sedge")[:1][0], seated
    for code in (*sea.codes(one), other.sensor_code):
        lead.page.locator("#scan").focus()
        lead.scan(code)
    assert lead.heading() == "1 pair is whole."
    assert "1 half has no partner here." in lead.words()
    assert "in Teasel, bay B, since" in lead.words()
