"""Fit to deploy as people meet it: the fleet for a voyage and a use, acceptance at a finding, the sheet on paper, the life line."""

import re
from itertools import pairwise

import pytest

from registry.output.fit_sheets import fit_sheets
from registry.output.lifelines import Bar, Lane, life_line
from registry.output.sheets import Proof, Question, Sheet, in_letters
from registry.output.vehicle_lines import vehicle_line
from registry.queries.lives import LifeLane, Stretch
from tests.printed import read
from tests.web.doors import Doors, Page

VOYAGE = "from=2026-05-21&to=2026-05-29"
ASKED = f"{VOYAGE}&use=multibeam"


def facts_of(page: Page) -> list[str]:
    return [node.words for node in page.root.one("ol", cls="findings").all("li")]


def test_a_voyage_and_a_use_are_told_and_carried_to_the_vehicle_and_its_bays(untouched: Doors):
    page = untouched.visitor("piet").get(f"/fleet?{ASKED}")
    assert "For a voyage 21 to 29 May 2026. Judged for multibeam: heading within 0.1°, roll within 0.05°." in page.words
    links = [href for words, href in page.links().items() if words == "Teasel"]
    assert [set(VOYAGE.split("&")) < set(href.split("?")[1].split("&")) for href in links] == [True]
    vehicle = untouched.visitor("piet").get(links[0])
    assert "Judged for multibeam" in vehicle.words
    assert "use=multibeam" in vehicle.links()["Open bay A"]
    assert any("for multibeam" in told for told in facts_of(vehicle))
    form = page.form("/fleet", "get")
    assert form is not None


def test_a_voyage_that_is_over_turns_the_page_to_its_beginning(untouched: Doors):
    visitor = untouched.visitor("piet")
    page = visitor.get("/fleet?from=2026-05-09&to=2026-05-12")
    assert page.status == 303
    turned = visitor.follow(page)
    assert "As it stood on 9 May 2026, 00:00 UTC." in turned.words
    assert turned.links()["Back to now"] == "/fleet"


@pytest.mark.parametrize(
    "query", ["from=2026-05-21", "from=2026-05-29&to=2026-05-21", "from=soon&to=2026-05-21", "use=fishing"]
)
@pytest.mark.parametrize("path", ["/fleet", "/vehicles/Teasel", "/vehicles/Teasel/fit.pdf"])
def test_a_voyage_or_a_use_that_cannot_be_is_refused_in_a_sentence(path: str, query: str, untouched: Doors):
    page = untouched.visitor("piet").get(f"{path}?{query}")
    assert page.status == 422
    assert page.heading.endswith(".")


def test_a_finding_is_accepted_from_the_page_it_stands_on(lived: Doors):
    """What else stands against Burdock stays; the accepted finding says by whom."""
    doors, visitor = lived, lived.visitor("piet")
    page = visitor.get(f"/vehicles/{doors.code('burdock')}?{VOYAGE}")
    item = next(node for node in page.root.one("ol", cls="findings").all("li") if "no alignment" in node.words)
    href = next(node.attrs["href"] for node in item.all("a") if node.words == "Accept it by name")
    form = visitor.get(href)
    done = visitor.send(form, form.form("/act/accept_finding"), reason="the run is on the first day", pin="2846")
    assert done.response.headers["Location"].endswith(f"?{VOYAGE}")
    shown = visitor.follow(done).words
    assert "Accepted by Piet for the voyage 21 to 29 May 2026: the run is on the first day" in shown
    technician = doors.visitor("ida").get(f"/vehicles/{doors.code('teasel')}?{VOYAGE}").words
    assert "Withdraw it" not in technician


def test_who_may_not_accept_is_told_who_may(untouched: Doors):
    page = untouched.visitor("ida").get(f"/vehicles/{untouched.code('burdock')}")
    assert "Accept it by name: a release authority or a fleet manager may." in page.words


def test_every_finding_says_how_it_is_cleared_or_who_may(untouched: Doors):
    for who in ("ida", "piet", "anselm"):
        page = untouched.visitor(who).get("/fleet")
        for item in page.root.all("li", cls="stops") + page.root.all("li", cls="care"):
            assert [node for node in item.all("a") if "go" in node.classes] or item.words.rstrip().endswith("may."), (
                item.words
            )
            assert "Evidence: entry" in item.words


# paper


def test_the_sheet_says_what_the_page_says_and_leads_back_to_it(untouched: Doors):
    code = untouched.code("burdock")
    answer = untouched.visitor("piet").get(f"/vehicles/{code}/fit.pdf?{ASKED}&known_on=2026-05-20")
    assert answer.response.mimetype == "application/pdf"
    words, symbols = read(answer.response.get_data())
    text = " ".join(words)
    assert "Burdock: must not deploy." in text
    assert "As known on 20 May 2026" in text and "multibeam: heading within 0.1°, roll within 0.05°" in text
    assert f"{untouched.size():,} entries" in words[0] and "Root " in words[0]
    assert [f"Page {number} of {len(words)}" in page for number, page in enumerate(words, 1)] == [True] * len(words)
    page = untouched.visitor("piet").get(f"/vehicles/{code}?{ASKED}&known_on=2026-05-20")
    for node in page.root.one("ol", cls="findings").all("h3"):
        fact = node.words.removeprefix(node.one("span", cls="sev").words)
        assert fact in text
    assert len(symbols) == 1
    assert f"/vehicles/{code}?" in symbols[0]
    back = untouched.visitor("piet").get("/" + symbols[0].split("/", 3)[3])
    assert back.heading == page.heading


PROOF = Proof("Test Shed", True, "pairs.example", 1204, "x9Kd0uQp7mZtVb3sYcE1nRfGhJ5wLaXoTi8DqMyQ2vA=", "2026-05-14T18:05:00.000000Z")  # fmt: skip


def test_a_long_sheet_counts_its_pages_and_repeats_its_foot():
    sheet = Sheet("audit certificate", PROOF)
    sheet.head("Ninety rows", "All of them.", "/audits/1")
    sheet.table(("Number", "Words"), [(str(number), "a line of words") for number in range(90)], (40, 120))
    words, symbols = read(sheet.pdf())
    assert len(words) >= 2
    assert all("Root x9Kd0uQp7mZtVb3sYcE1nRfGhJ5wLaXoTi8DqMyQ2vA=" in page for page in words)
    assert all("Number Words" in page for page in words)
    assert words[-1].endswith(f"Page {len(words)} of {len(words)}") or f"Page {len(words)} of {len(words)}" in words[-1]
    assert symbols == ["https://pairs.example/audits/1"]


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("0.3° ± 0.02 – “so” ’", "0.3° ± 0.02 – “so” ’"),
        ("−0.11", "-0.11"),
        ("Łódź", "?ódz"),
        ("40 MΩ", "40 Mohm"),
        ("船", "?"),
    ],
)
def test_letters_the_sheet_does_not_have_are_written_by_others(text: str, printed: str):
    assert in_letters(text) == printed


def test_nothing_on_a_sheet_is_read_as_markup(untouched: Doors):
    sheet = Sheet("<b>sheet</b>", PROOF)
    sheet.head("a < b & c", "<i>words</i>", "/x")
    assert "a < b & c <i>words</i>" in read(sheet.pdf())[0][0]


def test_the_sheets_of_a_fleet_are_one_paper(untouched: Doors):
    from registry.queries.fleet import vehicles_at

    at = "2026-05-20T12:00:00.000000Z"
    with untouched.instance.database.reading() as db:
        states = vehicles_at(db, at)
    words, symbols = read(fit_sheets([(one, f"/vehicles/{one.code}") for one in states], Question(at), PROOF))
    assert symbols == [f"https://pairs.example/vehicles/{one.code}" for one in states]
    assert "By when things happened" in words[0]


# the life line


def test_the_life_of_a_vehicle_is_drawn_and_told_in_words(untouched: Doors):
    page = untouched.visitor("piet").get(f"/vehicles/{untouched.code('teasel')}")
    drawn = page.root.all("svg", cls="line")
    assert len(drawn) == 2 and all(node.attrs["aria-hidden"] == "true" for node in drawn)
    assert "p2, 9 May 2026, 09:00 UTC to 9 May 2026, 11:00 UTC" in page.words
    assert "p1, 10 May 2026, 09:30 UTC and on" in page.words
    assert "aligned: " in page.words


def test_hundreds_of_stays_are_drawn_and_no_label_runs_into_the_next():
    """Widths by the same rule of thumb as the drawing: eight pixels a letter."""
    stays = [
        Bar(f"{2020 + n // 300}-{n // 28 % 12 + 1:02d}-{n % 28 + 1:02d}T00:00:00.000000Z", None, f"QH-{n:04d}")
        for n in range(600)
    ]
    stays.sort(key=lambda bar: bar.since)
    svg = str(life_line([Lane("Bay A", "A", stays)], stays[0].since, "2022-12-31T00:00:00.000000Z"))
    across = svg[svg.index('class="line across"') :]
    assert across.count("<path") > 600
    places = [(float(x), len(words)) for x, words in re.findall(r'<text x="([\d.]+)" y="25.0"[^>]*>(QH-\d+)<', across)]
    assert len(places) > 5
    assert all(x + 8 * length <= following for (x, length), (following, _l) in pairwise(places))


DAYS = {day: f"2022-03-{day:02}T00:00:00.000000Z" for day in (1, 5, 8, 10)}


@pytest.mark.parametrize(
    "stay, hold, solid, hatched",
    [
        ((1, None), (5, None), 1, 1),  # on hold still
        ((1, None), (5, 8), 2, 1),  # held for a while
        ((5, 8), (1, None), 0, 2),  # held all through it
        ((1, 5), (8, None), 1, 1),  # held only after it
    ],
)
def test_a_held_stretch_is_hatched_and_nothing_solid_lies_under_it(stay: tuple, hold: tuple, solid: int, hatched: int):
    """The rule of every drawing here: fill rises with gravity, from open to hatched to solid."""
    lasted = [
        Stretch(DAYS[one[0]], DAYS.get(one[1]), "VP-118" if one is stay else "on hold: struck", 1, hold=one is hold)
        for one in (stay, hold)
    ]
    svg = str(vehicle_line([LifeLane("Bay A", tuple(lasted), ())], DAYS[10]))
    across = svg[svg.index('class="line across"') :]
    assert (across.count('z" fill="currentColor"'), across.count('fill="url(#hatch-across)"')) == (solid, hatched)
    assert across.count(">VP-118<") == 1
