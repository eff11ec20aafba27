"""Pages as they are drawn: no sideways scrolling, text that reads in every light, targets for gloves, a focus one sees."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from tests.journeys.browser import Phone
from tests.journeys.server import Sea
from tests.journeys.walk import routes_of, walked

BY_THE_DEVICE = "dark by the device"
CHOOSE = (
    "light => light ? document.documentElement.dataset.light = light : delete document.documentElement.dataset.light"
)
LOOK = (Path(__file__).parent / "reach.js").read_text(encoding="utf-8")


def pages(sea: Sea) -> dict[str, str]:
    """One page of every kind, and every state of those that have several."""
    teasel, burdock, mallow = (sea.vehicle(name) for name in ("Teasel", "Burdock", "Mallow"))
    bay, empty = teasel.bay("B"), mallow.bay("A")
    spare, other = sea.spares("Dunlin")[:1] or sea.spares("Plover")[:1], sea.spares("Plover")
    into, wrong = spare[0], (other or spare)[0]
    (s, e), (_ws, we) = sea.codes(into), sea.codes(wrong)
    past = sea.days_ago(150).strftime("%Y-%m-%dT%H:%M")
    with sea.database.reading() as db:
        hold = db.exec_driver_sql("SELECT lower(hex(id)) FROM hold WHERE released_at IS NULL").scalars().first()
        signoff = db.exec_driver_sql("SELECT lower(hex(id)) FROM esd_signoff").scalars().first()
        station = db.exec_driver_sql("SELECT code FROM station WHERE name = 'Kit 1'").scalar_one()
        test = (
            db.exec_driver_sql("SELECT lower(hex(id)) FROM verification WHERE kind = 'static_test'").scalars().first()
        )
        fit = db.exec_driver_sql("SELECT lower(hex(id)) FROM alignment WHERE found_by = 'dvl_run'").scalars().first()
        reference = db.exec_driver_sql("SELECT reference FROM delivery").scalars().first()
    spelt = lambda raw: f"{raw[:8]}-{raw[8:12]}-{raw[12:16]}-{raw[16:20]}-{raw[20:]}"  # noqa: E731
    return {
        "scan line": "/", "whole": f"/?on={s}&on={e}", "mixed": f"/?on={bay.sensor_code}&on={e}", "unknown": "/?text=QQ-17", "long unknown": "/?text=https://elsewhere.example/" + "x" * 70, "copy": f"/i/{s}/2", "fleet": "/fleet", "past fleet": f"/fleet?at={past}",
        "vehicle": f"/vehicles/{burdock.code}", "bay": f"/bays/{bay.code}", "empty bay": f"/bays/{empty.code}", "pair": f"/pairs/{bay.pair}", "half": f"/halves/{bay.sensor_code}",
        "pairs": "/pairs", "types": "/types", "people": "/people", "sites": "/sites", "holds": "/holds", "hold": f"/holds/{spelt(hold)}", "waiting": "/waiting",
        "readings": f"/esd?station={station}", "sign-off": f"/esd/{spelt(signoff)}", "no go": f"/bays/{bay.code}/swap?sensor_in={bay.sensor_code}&electronics_in={we}",
        "lift": f"/bays/{bay.code}/swap/lift", "seat": f"/bays/{bay.code}/swap/seat?sensor_seen={bay.sensor_code}&electronics_seen={we}",
        "sign": f"/bays/{bay.code}/swap/sign?sensor_in={s}&electronics_in={e}&sensor_out={bay.sensor_code}&electronics_out={bay.electronics_code}",
        "act": "/act/install_pair", "list act": "/act/amend_times", "ticks": "/act/add_unit_type", "acts": "/acts", "labels": "/labels", "labels of people": "/labels?kind=person", "log": "/log", "entry": "/log/200", "me": "/me", "nothing there": "/nowhere",
        "delivery": f"/deliveries/{reference}", "inspection": "/act/inspect_half", "station": f"/stations/{station}", "plan": "/plan", "meter": "/meters/BT-04",
        "due": "/verifications", "static test": f"/verifications/{spelt(test)}", "alignment": f"/alignments/{spelt(fit)}",
    }  # fmt: skip


Measured = dict[str, dict[str, Any]]


@pytest.fixture(scope="module")
def reader(chromium: Browser, sea: Sea) -> Iterator[Phone]:
    phone = Phone(chromium, sea.url, 360)
    phone.sign_in("Maren Holt", "invented harbour lamp")
    yield phone
    phone.context.close()


#: Looked at every day; all others, and one of each route that links lead to, in the long runs.
DAILY = (
    "scan line",
    "mixed",
    "fleet",
    "vehicle",
    "bay",
    "pair",
    "half",
    "no go",
    "sign",
    "act",
    "log",
    "nothing there",
)


@pytest.fixture(scope="module")
def walk(reader: Phone, sea: Sea) -> dict[str, str]:
    """Beside the pages named above, one of each route that links lead to."""
    named = pages(sea)
    met = walked(reader.context.request, routes_of(sea), ["/fleet", "/acts", *named.values()])
    return named | {route: path for route, path in met.items() if path not in named.values()}


@pytest.fixture(
    scope="module",
    params=[
        pytest.param((DAILY, (360,), ("day",)), id="a phone by day"),
        pytest.param(
            (None, (320, 360, 1280), ("day", "dark", "red", BY_THE_DEVICE)), id="all of it", marks=pytest.mark.long
        ),
    ],
)
def measured(reader: Phone, sea: Sea, request: pytest.FixtureRequest) -> Measured:
    """`page, state` -> what was measured: the shape at these widths, the texts in these lights."""
    daily, widths, lights = request.param
    named = pages(sea)
    looked_at = {name: named[name] for name in daily} if daily else request.getfixturevalue("walk")
    found: Measured = {}
    page = reader.page
    for name, path in looked_at.items():
        page.goto(path)
        for width in widths:
            page.set_viewport_size({"width": width, "height": 780})
            found[f"{name}, {width} px"] = page.evaluate(LOOK, "shape")
        for light in lights:
            page.emulate_media(color_scheme="dark" if light == BY_THE_DEVICE else "light")
            page.evaluate(CHOOSE, "" if light == BY_THE_DEVICE else light)
            found[f"{name}, {light}"] = page.evaluate(LOOK, "texts")
    return found


def faults(measured: Measured, what: str) -> dict[str, Any]:
    return {where: told[what] for where, told in measured.items() if told.get(what)}


@pytest.mark.long
def test_the_walk_meets_pages_of_every_feature(walk: dict[str, str]):
    """That links lead to every page is held by tests/craft/test_reach.py; here it is shown that the walk followed them."""
    assert walk.keys() >= {"missions.one", "impacts.one", "audits.one", "audits.closed", "movement.every", "spares.fewest", "settings.one", "settings.readback", "imports.every", "exports.choose", "impacts.batch"}  # fmt: skip


def test_nothing_scrolls_sideways_at_any_width(measured: Measured):
    assert faults(measured, "wide") == {}
    assert faults(measured, "beyond") == {}


def test_text_reads_seven_to_one_in_every_light(measured: Measured):
    assert faults(measured, "texts") == {}


def test_what_is_pressed_is_large_enough_for_a_glove(measured: Measured):
    assert faults(measured, "targets") == {}


def test_every_page_has_one_heading_that_is_seen(measured: Measured):
    assert {where: told["headings"] for where, told in measured.items() if told.get("headings", 1) != 1} == {}


def test_every_entry_and_every_way_has_a_name(measured: Measured):
    assert faults(measured, "unlabelled") == {}
    assert faults(measured, "unnamed") == {}


def test_every_drawing_is_hidden_or_named(measured: Measured):
    assert faults(measured, "drawings") == {}


def test_the_measure_sees_what_it_looks_for(phone: Callable[..., Phone], sea: Sea):
    """Grey text, a small button, a wide box, a second heading, an entry and a way without a name."""
    lead = phone("Oda Fenn", 360)
    lead.go("/me")
    lead.page.evaluate(
        """() => { document.documentElement.style.setProperty('--soft', '#888');
             const main = document.querySelector('main');
             for (const [tag, told] of [['h1', {textContent: 'Second'}], ['input', {}], ['button', {}], ['button', {textContent: 'x', className: 'small'}], ['div', {textContent: 'wide', className: 'wide'}]])
               main.append(Object.assign(document.createElement(tag), told));
             main.querySelector('.small').style.cssText = 'width: 20px; height: 20px; padding: 0';
             main.querySelector('.wide').style.width = '900px'; }"""
    )
    shape, texts = lead.page.evaluate(LOOK, "shape"), lead.page.evaluate(LOOK, "texts")
    assert shape["wide"] > 0 and shape["beyond"] and shape["headings"] == 2
    assert shape["targets"] and shape["unlabelled"] and shape["unnamed"]
    assert texts["texts"]


FOCUS = """() => {
  const e = document.activeElement, style = getComputedStyle(e), box = e.getBoundingClientRect();
  if (e === document.body) return null;
  const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 3;
  return { name: `${e.tagName} ${e.id} ${e.textContent.trim().slice(0, 30)}`, outlined, line: style.backgroundSize, parts: e.matches("[type=date], [type=datetime-local]"), seen: box.bottom > 0 && box.top < innerHeight && box.width > 1 };
}"""


@pytest.mark.parametrize("path", ["/", "/fleet", "/act/install_pair", "/esd", "/me"])
def test_who_goes_by_keyboard_sees_where_they_are(path: str, phone: Callable[..., Phone], sea: Sea):
    """Every stop of the Tab key is in sight and outlined; the scan line thickens instead. In the parts of a day and time
    the browser shows the place itself."""
    lead = phone("Oda Fenn", 360)
    lead.go(path)
    lead.page.locator("body").press("Shift")
    at_rest = lead.page.evaluate("getComputedStyle(document.querySelector('#scan') || document.body).backgroundSize")
    stops = []
    for _ in range(30):
        lead.page.keyboard.press("Tab")
        stop = lead.page.evaluate(FOCUS)
        if stop is None:
            break
        stops.append(stop)
    assert len(stops) > 8
    assert [stop["name"] for stop in stops if not stop["seen"]] == []
    assert [
        stop["name"]
        for stop in stops
        if not stop["outlined"] and not stop["parts"] and not ("scan" in stop["name"] and stop["line"] != at_rest)
    ] == []


def test_the_first_stop_leads_past_the_head_of_the_page(phone: Callable[..., Phone], sea: Sea):
    lead = phone("Oda Fenn", 360)
    lead.go("/fleet")
    lead.page.keyboard.press("Tab")
    assert lead.page.evaluate("document.activeElement.textContent") == "To the page"
    lead.page.keyboard.press("Enter")
    assert lead.page.url.endswith("#main")


def test_the_page_reads_at_twice_the_size_of_text_and_with_wide_spacing(phone: Callable[..., Phone], sea: Sea):
    """WCAG 1.4.4 and 1.4.12, as a reader's own style sheet would have it."""
    lead = phone("Oda Fenn", 360)
    for path in ("/", "/fleet", "/pairs", f"/vehicles/{sea.vehicle('Teasel').code}", "/act/install_pair"):
        lead.go(path)
        lead.page.evaluate(
            """() => { const sheet = new CSSStyleSheet();
                 sheet.replaceSync('* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important }');
                 document.adoptedStyleSheets = [sheet]; }"""
        )
        assert lead.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0, (
            path
        )
    lead.page.set_viewport_size({"width": 640, "height": 780})
    for path in ("/", "/fleet"):
        lead.go(path)
        lead.page.evaluate("document.documentElement.style.fontSize = '200%'")
        assert lead.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0, (
            path
        )


def test_the_new_address_of_a_calendar_is_broken_where_a_phone_is_narrow(phone: Callable[..., Phone], sea: Sea):
    lead = phone("Oda Fenn", 360)
    lead.go("/me")
    lead.page.fill("#password_for_calendar", "invented harbour lamp")
    lead.page.get_by_role("button", name="Make the address").click()
    assert "/calendar/" in lead.page.inner_text("main code")
    assert lead.page.evaluate("document.documentElement.scrollWidth") == 360
