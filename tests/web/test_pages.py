"""What holds for every page: well-formed, one heading, everything named, nothing inline, every template rendered."""

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest
from flask import template_rendered

from registry.paths import TEMPLATES
from tests.web.addresses import addresses
from tests.web.doors import PIN, Doors, Page
from tests.web.html import Node

STATES = {
    "nothing scanned": "/", "one half": "/?text={p1 s}", "whole": "/?on={p1 s}&on={p1 e}", "mixed": "/?on={p1 s}&on={p2 e}", "two of a kind": "/?on={p1 s}&on={p2 s}",
    "former": "/?on={gone s}&on={gone e}", "heap": "/?on={p1 s}&on={p1 e}&on={p2 s}", "on hold": "/?on={p3 s}&on={p3 e}", "unknown": "/?text=QQ-17", "a bay": "/?text={teasel A}",
    "pair and bay": "/?on={p5 s}&on={p5 e}&on={burdock A}", "two of no pair": "/?on={lone s}&on={lone e}", "a station": "/?text={bench}", "a person": "/?text={ida}",
    "go": "/bays/{burdock A}/swap?sensor_in={p5 s}&electronics_in={p5 e}", "no go": "/bays/{burdock A}/swap?sensor_in={p1 s}&electronics_in={p2 e}",
    "lifted": "/bays/{teasel A}/swap/lift?sensor_out={p1 s}&electronics_out={p1 e}", "found other": "/bays/{teasel A}/swap/lift?sensor_out={p2 s}&electronics_out={p1 e}",
    "seated": "/bays/{burdock A}/swap/seat?sensor_seen={p5 s}&electronics_seen={p5 e}", "seated mixed": "/bays/{burdock A}/swap/seat?sensor_seen={p5 s}&electronics_seen={p1 e}",
    "sign": "/bays/{burdock A}/swap/sign?sensor_in={p5 s}&electronics_in={p5 e}", "sign a swap": "/bays/{teasel A}/swap/sign?sensor_in={p5 s}&electronics_in={p5 e}&sensor_out={p1 s}&electronics_out={p1 e}",
    "sign a lift": "/bays/{teasel A}/swap/sign?only=lift&sensor_out={p1 s}&electronics_out={p1 e}",
    "readings": "/esd?station={bench}", "readings of a kit": "/esd?station={kit}", "former pair": "/pairs/gone", "held half": "/halves/{p3 s}", "retired half": "/halves/{lone2 s}",
    "lone half": "/halves/{lone e}", "past fleet": "/fleet?at=2026-05-10T12:00", "past vehicle": "/vehicles/{teasel}?at=2026-05-10T12:00", "past bay": "/bays/{teasel A}?known_on=2026-05-10",
    "nothing there": "/nowhere", "unknown pair": "/pairs/nothing", "wrong day": "/fleet?at=yesterday", "prefilled": "/act/amend_times?changes-0-act={install 1}&changes-0-instant=installed",
}  # fmt: skip
#: Two questions about a form that only refusals show.
_REFUSED = {"words": "x" * 5000}


def spelt(doors: Doors, text: str) -> str:
    """`{p1 s}` is that half's label code; of things without one, the id."""
    has_code = {name for name in doors.world.ids if name.split()[0] not in ("install", "order", "sign-off", "hold")}
    return re.sub(r"\{([^}]+)\}", lambda m: doors.code(m[1]) if m[1] in has_code else doors.world.ids[m[1]], text)


def every_page(doors: Doors) -> Iterator[tuple[str, Page]]:
    """Every address, every state of the pages that have several, and what refusals look like."""
    maren, ida = doors.visitor("maren"), doors.visitor("ida")
    yield "sign-in", doors.stranger().get("/sign-in")
    for one in addresses(doors, "GET"):
        if one.is_api or one.endpoint in (
            "static",
            "fleet.sheet",
            "labels.svg",
            "labels.png",
            "log.checkpoint",
            "scan.labelled",
            "account.sign_in",
        ):
            continue
        yield one.path, maren.get(one.path)
    for name, path in STATES.items():
        yield name, ida.get(spelt(doors, path))
    yield "refused act", ida.act("note_fault", half=doors.code("p1 s"), **_REFUSED)
    yield (
        "refused readings",
        ida.send(page := ida.get(spelt(doors, "/esd?station={bench}")), page.form("/esd"), strap_mohm="much", pin=PIN),
    )
    yield "refused swap", ida.send(page := ida.get(spelt(doors, STATES["sign"])), page.form(method="post"), pin="0000")
    yield (
        "refused list",
        ida.send(page := ida.get("/act/amend_times"), page.form("/act/amend_times"), changes__1__act="x", pin=PIN),
    )
    page = ida.get("/labels")
    yield "refused labels", ida.send(page, page.form("/labels", "post"), codes="x", copies="0", size_mm="12", dpi="203")
    yield "refused photo", ida.send(page := ida.get("/"), page.form("/photo"))
    stranger = doors.stranger()
    yield "no password", stranger.send(page := stranger.get("/sign-in"), page.form(method="post"))


@pytest.fixture(scope="module")
def pages(untouched: Doors) -> dict[str, Page]:
    rendered: set[str] = set()

    def note(_sender: object, template: Any, **_more: Any) -> None:
        rendered.add(template.name)

    with template_rendered.connected_to(note, untouched.app):
        found = {
            name: page
            for name, page in every_page(untouched)
            if page.response.mimetype == "text/html" and page.status != 303
        }
    found["rendered"] = rendered  # type: ignore[assignment]
    return found


@pytest.fixture
def shown(pages: dict[str, Page]) -> dict[str, Page]:
    return {name: page for name, page in pages.items() if name != "rendered"}


def test_the_pages_are_of_every_kind(shown: dict[str, Page]):
    assert len(shown) > 60
    assert {200, 401, 404, 422} <= {page.status for page in shown.values()}
    assert not [name for name, page in shown.items() if page.status == 500]


def test_every_page_is_well_formed(shown: dict[str, Page]):
    assert {name: page.faults for name, page in shown.items() if page.faults} == {}


def test_nothing_on_a_page_is_inline(shown: dict[str, Page]):
    for name, page in shown.items():
        for node in page.root.walk():
            assert node.tag != "style", name
            assert not [attr for attr in node.attrs if attr == "style" or attr.startswith("on")], (name, node.tag)
            assert node.tag != "script" or (node.attrs.get("src") and not node.words), name
            assert (
                not node.attrs.get("href", "").lower().startswith(("javascript:", "data:", "http:", "https:", "//"))
            ), (name, node.attrs)


def test_every_id_stands_once_and_every_name_that_is_pointed_at_is_there(shown: dict[str, Page]):
    for name, page in shown.items():
        ids = [node.attrs["id"] for node in page.root.walk() if "id" in node.attrs and not node.inside("svg")]
        assert sorted({one for one in ids if ids.count(one) > 1}) == [], name
        for node in page.root.walk():
            pointed = [
                *node.attrs.get("aria-labelledby", "").split(),
                *node.attrs.get("aria-describedby", "").split(),
                *([node.attrs["for"]] if "for" in node.attrs else []),
            ]
            assert [one for one in pointed if one not in ids] == [], (name, node.tag, node.attrs)


def test_every_page_has_one_heading_of_the_first_rank(shown: dict[str, Page]):
    found = {name: [node.words for node in page.root.all("h1")] for name, page in shown.items()}
    assert {name: words for name, words in found.items() if len(words) != 1 or not words[0]} == {}


def test_no_heading_skips_a_rank(shown: dict[str, Page]):
    for name, page in shown.items():
        ranks = [
            int(node.tag[1])
            for node in page.root.one("main").walk()
            if node.tag in ("h1", "h2", "h3", "h4", "h5", "h6")
        ]
        assert all(later - earlier <= 1 for earlier, later in pairwise(ranks)), (name, ranks)


def test_every_sign_that_is_used_is_drawn_on_the_page(shown: dict[str, Page]):
    for name, page in shown.items():
        drawn = {node.attrs["id"] for node in page.root.all("symbol")}
        used = {node.attrs["href"].removeprefix("#") for node in page.root.all("use")}
        assert used <= drawn, name


def test_every_drawing_is_hidden_from_readers_or_named(shown: dict[str, Page]):
    for name, page in shown.items():
        for node in page.root.all("svg"):
            assert node.has(aria_hidden="true") or (node.has(role="img") and node.attrs.get("aria-label")), (
                name,
                node.attrs,
            )
        assert all(node.attrs.get("alt") for node in page.root.all("img")), name


def test_every_entry_has_a_label(shown: dict[str, Page]):
    for name, page in shown.items():
        for node in page.root.walk():
            if node.tag in ("input", "select", "textarea") and node.attrs.get("type") != "hidden":
                assert named(page, node), (name, node.attrs)


def named(page: Page, node: Node) -> bool:
    labels = page.root.all("label", **{"for": node.attrs.get("id", "")})
    return any(label.words for label in labels) or node.inside("label") or bool(node.attrs.get("aria-label"))


def test_every_form_that_posts_brings_its_token(shown: dict[str, Page]):
    for name, page in shown.items():
        for form in page.root.all("form"):
            tokens = form.all("input", name="csrf_token")
            assert len(tokens) == (1 if form.attrs.get("method") == "post" else 0), (name, form.attrs)


def test_every_page_says_what_it_is_and_in_which_language(shown: dict[str, Page]):
    for name, page in shown.items():
        assert page.root.one("html").attrs["lang"] == "en", name
        assert re.fullmatch(r".+ · Test Shed", page.title), name
        assert len(page.root.all("main")) == 1, name


def test_no_page_shows_the_words_of_a_programming_language(shown: dict[str, Page]):
    strange = re.compile(
        r"\bNone\b(?!\.)|Undefined|<built-in|object at 0x|Traceback|\bTrue\b|\bFalse\b|&lt;|&amp;|\{\{|%\}"
    )
    for name, page in shown.items():
        assert not strange.search(page.root.one("body").words), (name, strange.search(page.root.one("body").words))


def test_every_template_is_rendered_at_least_once(pages: dict[str, Page]):
    assert all_but_parts() - pages["rendered"] == WHILE_IT_WORKS  # type: ignore[operator]


#: Shown while a process works: tests/web/test_imports.py and test_apart.py have them drawn.
WHILE_IT_WORKS = {"imports/import.html", "acts/under_way.html"}


def all_but_parts() -> set[str]:
    """Templates that are pages: parts are imported or included by these."""
    names = {str(path.relative_to(TEMPLATES)) for path in TEMPLATES.rglob("*.html")}
    text = "".join((TEMPLATES / name).read_text(encoding="utf-8") for name in names)
    return {name for name in names if f'"{name}"' not in text and not name.startswith("parts/")}


def test_what_people_typed_is_shown_as_text_and_never_as_markup(untouched: Doors):
    for path in (
        '/?text=<b>"x"</b>',
        "/pairs/<img src=x>",
        "/fleet?at=<b>",
        "/act/note_fault?words=</textarea><b>",
        '/act/note_fault?half="><b>',
        "/nowhere/<b>",
    ):
        page = untouched.visitor("ida").get(path)
        assert page.faults == [], path
        assert not [node for node in page.root.all("b") if node.words == "x"], path
        assert "<img" not in page.text and "<b>x" not in page.text, path
