"""What the queries say of any instant, as any length of the log tells it, is what plain Python makes of its entries."""

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from registry.acts import log
from registry.acts.entry import Entry, read
from registry.acts.fold import fold
from registry.domain.times import NEVER, later
from registry.models.whereabouts import whereabouts
from registry.queries import fleet, holds, pairings
from tests.cast import World
from tests.queries.random_history import BAYS, PAIRS, grown, picture
from tests.queries.watching import opened

SEEDS = [3, 11]


@pytest.fixture(scope="module", params=SEEDS)
def lively(
    request: pytest.FixtureRequest, furnished_file: tuple[Path, World], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[World]:
    world = opened(furnished_file, tmp_path_factory.mktemp("lively"))
    world.pictures = grown(world, 70, request.param)  # type: ignore[attr-defined]
    yield world
    world.database.dispose()


@pytest.fixture(scope="module")
def entries(lively: World) -> list[Entry]:
    with lively.database.reading() as db:
        return [read(stored.raw) for stored in log.rows(db)]


def moments(entries: list[Entry], seed: int, count: int = 30) -> list[tuple[str, int]]:
    """Instants of acts, and a microsecond before and after, each with a length of the log."""
    dice = random.Random(seed)
    instants = sorted(
        {later(entry.at, microseconds=step) for entry in entries if entry.at > "2026-05-01" for step in (-1, 0, 1)}
    )
    return [(dice.choice(instants), dice.choice([len(entries), dice.randint(46, len(entries))])) for _ in range(count)]


def held(rows: dict[str, dict[str, Any]], at: str, **key: str) -> dict[str, Any] | None:
    """The stay that covers the instant, among those of this key: one at most, or the record is broken."""
    found = [
        row
        for row in rows.values()
        if row["voided_seq"] is None
        and row["installed_at"] <= at < (row["removed_at"] or NEVER)
        and all(row[name] == value for name, value in key.items())
    ]
    assert len(found) <= 1
    return found[0] if found else None


def test_the_history_is_worth_asking_about(entries: list[Entry], lively: World):
    kinds = {entry.act for entry in entries}
    assert {
        "install_pair",
        "remove_pair",
        "swap_pairs",
        "amend_times",
        "move_halves",
        "move_vehicle",
        "record_sighting",
    } <= kinds
    late = [entry for entry in entries if entry.act == "install_pair" and entry.decided.get("until")]
    voided = [row for row in fold(entries)["installation_span"].values() if row["voided_seq"]]
    assert late and voided


def test_bays_hold_what_the_log_says_at_every_instant_for_every_length_of_it(entries: list[Entry], lively: World):
    for at, known in moments(entries, 1):
        told = fold(entries[:known])
        with lively.database.reading() as db:
            shown = {bay.id: bay for vehicle in fleet.vehicles_at(db, at, known) for bay in vehicle.bays}
        for name in BAYS:
            stay = held(told["installation_span"], at, bay_id=lively.ids[name])
            bay = shown[lively.ids[name]]
            assert (bay.pairing_id, bay.installed_at) == (
                (stay["pairing_id"], stay["installed_at"]) if stay else (None, None)
            ), (at, known, name)


def newest(rows: dict[str, dict[str, Any]], instant: str, at: str, **key: str) -> dict[str, Any] | None:
    """The last of these that began by the instant."""
    begun = (
        row
        for row in rows.values()
        if row["voided_seq"] is None and row[instant] <= at and all(row[name] == value for name, value in key.items())
    )
    return max(begun, key=lambda row: (row[instant], row["seq"]), default=None)


def place(
    told: dict[str, dict[str, dict[str, Any]]], half: str, kind: str, vehicle_of: dict[str, str], at: str
) -> tuple[str | None, str | None]:
    """The bay of a half, or the site it lies at: it lies where its vehicle stood when it came out, until it is carried on."""
    stay = newest(told["installation_span"], "installed_at", at, **{f"{kind}_id": half})
    if stay and not (stay["removed_at"] and stay["removed_at"] <= at):
        return stay["bay_id"], None
    lain = newest(told["half_place"], "since_at", at, half_id=half)
    if not stay or (lain and lain["since_at"] >= stay["removed_at"]):
        return None, lain["site_id"] if lain else None
    assert all(row["as_recorded"] for row in told["removal"].values())
    stood = newest(told["vehicle_place"], "since_at", stay["removed_at"], vehicle_id=vehicle_of[stay["bay_id"]])
    return None, stood["site_id"] if stood else None


def test_halves_are_where_the_log_says(entries: list[Entry], lively: World):
    wanted = {lively.ids[f"{pair} {kind[0]}"]: kind for pair in PAIRS for kind in ("sensor", "electronics")}
    vehicle_of = {lively.ids[name]: lively.ids[name[:-2]] for name in BAYS}
    lifted = set()
    for at, known in moments(entries, 2):
        told = fold(entries[:known])
        with lively.database.reading() as db:
            shown = whereabouts(db, wanted, at, known)
        for id_, kind in wanted.items():
            mine = place(told, id_, kind, vehicle_of, at)
            assert (shown[id_].bay_id, shown[id_].site_id) == mine, (at, known)
            lifted |= {
                shown[id_].since_at
                for row in told["installation_span"].values()
                if row["removed_at"] == shown[id_].since_at
            }
    assert lifted, "none lies where it was lifted"


def test_vehicles_are_at_the_site_the_log_says(entries: list[Entry], lively: World):
    for at, known in moments(entries, 3):
        told = fold(entries[:known])
        with lively.database.reading() as db:
            shown = {vehicle.id: vehicle.site_id for vehicle in fleet.vehicles_at(db, at, known)}
        for name in ("teasel", "burdock"):
            been = [
                row
                for row in told["vehicle_place"].values()
                if row["vehicle_id"] == lively.ids[name] and row["voided_seq"] is None and row["since_at"] <= at
            ]
            assert shown[lively.ids[name]] == max(been, key=lambda row: (row["since_at"], row["seq"]))["site_id"], (
                at,
                known,
            )


def test_a_pair_s_stays_are_those_of_the_log(entries: list[Entry], lively: World):
    for at, known in moments(entries, 4):
        rows = fold(entries[:known])["installation_span"].values()
        for pair in PAIRS:
            with lively.database.reading() as db:
                page = pairings.pair_page(db, lively.ids[pair], at, known)
            mine = sorted(
                (row["installed_at"], row["removed_at"] if row["removed_at"] and row["removed_at"] <= at else None)
                for row in rows
                if row["pairing_id"] == lively.ids[pair] and row["voided_seq"] is None and row["installed_at"] <= at
            )
            assert sorted((stay.installed_at, stay.removed_at) for stay in page.stays) == mine, (at, known, pair)


def test_open_holds_are_those_of_the_log(entries: list[Entry], lively: World):
    for at, known in moments(entries, 5):
        rows = fold(entries[:known])["hold"].values()
        mine = {
            row["id"]
            for row in rows
            if row["placed_at"] <= at < (row["released_at"] or NEVER) and row["voided_seq"] is None
        }
        with lively.database.reading() as db:
            assert {hold.row["id"] for hold in holds.holds_open(db, at, known)} == mine, (at, known)


def test_what_was_known_is_not_changed_by_what_came_after(lively: World):
    """What the fleet page told on some day is what it tells today, when it is asked for what was known then."""
    assert len(lively.pictures) > 5
    for (at, size), told in lively.pictures.items():
        assert picture(lively, at, size) == told, (at, size)
    assert any(picture(lively, at) != told for (at, _size), told in lively.pictures.items()), (
        "nothing was learned later"
    )
