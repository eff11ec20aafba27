"""What a page costs does not grow with what it shows: the number of statements is fixed."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from registry.models.seeks import EVER
from registry.queries import bays, fleet, halves, holds, pairings, people, units
from registry.queries import history as queries
from registry.queries.tray import tray
from registry.queries.under_way import under_way
from tests.cast import World
from tests.queries.watching import Sent, opened, statements, watched
from tests.web.doors import Doors

AT = "2026-05-20T12:00:00.000000Z"


@pytest.fixture(scope="module")
def grown(furnished_file: tuple[Path, World], tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """Thirty vehicles of two bays each, a pair in many of them, and a long history of one pair."""
    world = opened(furnished_file, tmp_path_factory.mktemp("grown"))
    for number in range(28):
        world.add_vehicle(f"v{number}")
    for number in range(5, 20):
        world.add_pair(f"p{number}")
        world.install(f"p{number}", f"v{number - 5} A", "10 09:00")
    for number in range(12):
        world.install("p1", "teasel A", f"10 1{number // 6}:{number % 6}0")
        world.remove("p1", "teasel A", f"10 1{number // 6}:{number % 6}5")
    yield world
    world.database.dispose()


@pytest.fixture(scope="module")
def small(furnished_file: tuple[Path, World], tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    world = opened(furnished_file, tmp_path_factory.mktemp("small"))
    yield world
    world.database.dispose()


Ask = Callable[[sa.Connection], Any]


def cost(world: World, ask: Ask) -> int:
    return len(statements(world, ask))


def test_the_fleet_costs_the_same_with_three_vehicles_and_with_thirty(grown: World):
    few = cost(
        grown, lambda db: fleet.vehicles_at(db, AT, only=[grown.ids[name] for name in ("teasel", "burdock", "v0")])
    )
    all_ = cost(grown, lambda db: fleet.vehicles_at(db, AT))
    with grown.database.reading() as db:
        assert len(fleet.vehicles_at(db, AT)) == 30
    assert few == all_ == 21


def test_which_vehicles_are_out_costs_one_statement_for_all_of_them(grown: World, small: World):
    assert cost(small, lambda db: under_way(db, AT, EVER)) == cost(grown, lambda db: under_way(db, AT, EVER)) == 1


QUESTIONS = {
    "pair page": (lambda w, name: lambda db: pairings.pair_page(db, w.ids[name], AT), "p1", "p6"),
    "half page": (lambda w, name: lambda db: units.half_page(db, w.ids[f"{name} s"], AT), "p1", "p6"),
    "bay page": (
        lambda w, name: lambda db: bays.bay_page(db, w.ids[{"p1": "teasel A", "p6": "v1 A"}[name]], AT),
        "p1",
        "p6",
    ),
    "history": (lambda w, name: lambda db: queries.history(db, queries.About(pairings=(w.ids[name],)), AT), "p1", "p6"),
}


@pytest.mark.parametrize("what", QUESTIONS)
def test_a_page_costs_the_same_with_a_long_history_and_a_short_one(what: str, grown: World):
    ask, long, short = QUESTIONS[what]
    assert cost(grown, ask(grown, long)) == cost(grown, ask(grown, short))


@pytest.mark.parametrize(
    ("what", "ask"),
    [
        ("pairs", lambda db: pairings.pairs_listed(db, AT)),
        ("halves", lambda db: halves.halves_listed(db, AT)),
        ("holds", lambda db: holds.holds_open(db, AT)),
        ("waiting", lambda db: holds.waiting(db, AT)),
        ("people", lambda db: people.people_listed(db, AT)),
    ],
)
def test_a_list_costs_the_same_however_long_it_is(what: str, ask: Ask, small: World, grown: World):
    assert cost(small, ask) == cost(grown, ask) <= 5


def test_a_tray_costs_a_fixed_number_a_scan_and_a_fixed_number_besides(grown: World):
    def lying(names: list[str]) -> int:
        codes = [_code(grown, name) for name in names]
        return cost(grown, lambda db: tray(db, codes, AT))

    pairs = [f"p{number}" for number in range(5, 11)]
    two, twelve = lying(["p5 s", "p5 e"]), lying([f"{pair} {half}" for pair in pairs for half in "se"])
    each = (twelve - two) / 10
    assert each <= 2
    assert two - 2 * each <= 6


def _code(world: World, name: str) -> str:
    with world.database.reading() as db:
        return db.exec_driver_sql(
            "SELECT code FROM half WHERE id = ?", (bytes.fromhex(world.ids[name].replace("-", "")),)
        ).scalar_one()


#: What each page may cost, who is asking and the foot of the page included.
COSTS = {
    "/": 17, "/fleet": 30, "/pairs": 18, "/halves": 16, "/holds": 14, "/waiting": 16, "/people": 16, "/sites": 15, "/types": 19, "/log": 15, "/log/40": 25,
    "/acts": 12, "/me": 14, "/esd": 18, "/plan": 15, "/meters": 14, "/act/install_pair": 24, "/pairs/p1": 62, "/halves/S-p1": 61, "/vehicles/teasel": 70, "/bays/teasel A": 90, "/bays/teasel A/spares": 30, "/spares": 29, "/fewest-openings": 29, "/audits": 14, "/audits/A-1": 22, "/audits/A-4/certificate": 22, "/movements": 16, "/deliveries": 15, "/deliveries/DN-7": 22, "/verifications": 17, "/marks": 14,
}  # fmt: skip


@pytest.mark.parametrize("path", COSTS)
def test_a_page_costs_no_more_than_it_did(path: str, untouched: Doors):
    visitor = untouched.visitor("oda")
    visitor.get(path)
    with watched(untouched.instance.database) as sent:
        assert visitor.get(path).status == 200
    assert len(_of_the_page(sent)) <= COSTS[path]


def _of_the_page(sent: list[Sent]) -> list[Sent]:
    """Without the hashes that the root is made from, as many as the size of the log has ones: they say nothing of the page."""
    return [one for one in sent if not one.sql.startswith(("SELECT log_node.hash", "SELECT log_entry.leaf"))]


def test_no_template_asks_the_database(untouched: Doors, monkeypatch: pytest.MonkeyPatch):
    """While a template is rendered only the frame of the page is asked for: outfit, log size and root; twice where
    cautions are rendered as a template of their own."""
    import flask

    from registry.web import page

    while_rendering: dict[str, int] = {}
    real = flask.render_template
    visitor = untouched.visitor("oda")
    with watched(untouched.instance.database) as sent:

        def counted(template: str, **context: Any) -> str:
            before = len(sent)
            text = real(template, **context)
            while_rendering[template] = len(sent) - before
            return text

        monkeypatch.setattr(page, "render_template", counted)
        for path in COSTS:
            visitor.get(path)
    assert len(while_rendering) > 15
    limit = 2 * (3 + _ones(untouched.size()))
    assert {name: asked for name, asked in while_rendering.items() if asked > limit} == {}


def _ones(size: int) -> int:
    """The root of a tree is made from as many stored hashes as its size has ones."""
    return bin(size).count("1")
