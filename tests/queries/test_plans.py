"""How SQLite runs the statements: every seek goes through its index, and no table of the record's growth is read whole."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from registry.acts import seats
from registry.acts.references import resolve
from registry.models.lookups import bearer, halves_bearing
from registry.models.whereabouts import whereabouts
from registry.queries import alignments, attachments, bays, fleet, history, pairings, spares, units, verifications
from registry.queries.tray import tray
from tests.cast import World
from tests.queries.watching import Sent, opened, plan, scanned, statements

AT = "2026-05-20T12:00:00.000000Z"
#: Tables that grow with every act; reading one whole would make every page slower for ever.
GROWING = (
    "attachment",
    "installation_span",
    "installation",
    "removal",
    "half_place",
    "vehicle_place",
    "log_entry",
    "sighting",
    "opening",
    "housing_closing",
    "leak_test",
    "verification",
    "verification_line",
    "hours_reading",
    "esd_signoff",
    "esd_reading",
    "firmware",
    "axis_check",
    "alignment",
    "alignment_part",
    "alignment_left",
    "alignment_residual",
    "alignment_answer",
    "bay_mounting",
    "lever_arm",
)


@pytest.fixture(scope="module")
def asked(furnished_file: tuple[Path, World], tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    world = opened(furnished_file, tmp_path_factory.mktemp("plans"))
    world.install("p1", "teasel A", "10 09:00")
    world.mark()
    world.verify("p1")
    yield world
    world.database.dispose()


def code(world: World, table: str, name: str) -> str:
    with world.database.reading() as db:
        return db.exec_driver_sql(
            f"SELECT code FROM {table} WHERE id = ?", (bytes.fromhex(world.ids[name].replace("-", "")),)
        ).scalar_one()


def questions(world: World):
    ids = world.ids
    return {
        "fleet": lambda db: fleet.vehicles_at(db, AT),
        "vehicle": lambda db: fleet.vehicles_at(db, AT, only=[ids["teasel"]]),
        "bay": lambda db: bays.bay_page(db, ids["teasel A"], AT),
        "pair": lambda db: pairings.pair_page(db, ids["p1"], AT),
        "half": lambda db: units.half_page(db, ids["p1 s"], AT),
        "where": lambda db: whereabouts(db, [ids["p1 s"], ids["p1 e"]], AT),
        "tray": lambda db: tray(db, [code(world, "half", "p1 s"), code(world, "half", "p1 e")], AT),
        "history": lambda db: history.history(db, history.About(pairings=(ids["p1"],)), AT),
        "files": lambda db: attachments.files_of(
            db, history.About(halves=(ids["p1 s"],), pairings=(ids["p1"],), bays=(ids["teasel A"],)), AT
        ),
        "file by hash": lambda db: attachments.file_by_hash(db, "0" * 64),
        "seats of a bay": lambda db: seats.neighbours(db, "bay_id", ids["teasel A"], AT),
        "seats of a sensor half": lambda db: seats.neighbours(db, "sensor_id", ids["p1 s"], AT),
        "seats of an electronics half": lambda db: seats.neighbours(db, "electronics_id", ids["p1 e"], AT),
        "due": lambda db: verifications.due_listed(db, AT),
        "verification": lambda db: verifications.verification_page(db, ids["check p1"]),
        "alignments of a bay": lambda db: alignments.bay_alignments(db, ids["teasel A"], AT),
        "one alignment": lambda db: alignments.alignment_page(db, ids["p1"], AT),
        "spares of a bay": lambda db: spares.bay_spares(db, ids["teasel A"], AT),
        "by code": lambda db: bearer(db, code(world, "half", "p1 s")),
        "by serial": lambda db: resolve(db, "half", "S-p1", AT),
    }


NAMES = [
    "fleet",
    "vehicle",
    "bay",
    "pair",
    "half",
    "where",
    "tray",
    "history",
    "files",
    "file by hash",
    "seats of a bay",
    "seats of a sensor half",
    "seats of an electronics half",
    "due",
    "verification",
    "alignments of a bay",
    "one alignment",
    "spares of a bay",
    "by code",
    "by serial",
]
#: The history of a pair or half joins what it finds; these are lists of everything of one pair, not seeks.
LISTS = {"pair", "half", "bay", "history"}


def plans(world: World, what: str) -> list[tuple[Sent, list[str]]]:
    return [(sent, plan(world, sent)) for sent in statements(world, questions(world)[what])]


def test_the_questions_are_all_asked(asked: World):
    assert list(questions(asked)) == NAMES


@pytest.mark.parametrize("what", [name for name in NAMES if name not in LISTS])
def test_no_growing_table_is_read_whole(what: str, asked: World):
    for sent, steps in plans(asked, what):
        for table in GROWING:
            assert scanned(table, sent, steps) == [], (table, sent.sql[:300], steps)


SEEKS = {
    "fleet": [
        "stays USING COVERING INDEX seek_bay_id (bay_id=? AND installed_at<?)",
        "stays USING INDEX seek_bay_id (bay_id=? AND installed_at<?)",
    ],
    "where": [
        "by_sensor USING INDEX seek_sensor_id (sensor_id=? AND installed_at<?)",
        "by_electronics USING INDEX seek_electronics_id (electronics_id=? AND installed_at<?)",
    ],
    "seats of a bay": [
        "installation_span USING INDEX seek_bay_id (bay_id=? AND installed_at<?)",
        "installation_span USING INDEX seek_bay_id (bay_id=? AND installed_at>?)",
    ],
    "seats of a sensor half": ["installation_span USING INDEX seek_sensor_id (sensor_id=? AND installed_at<?)"],
    "seats of an electronics half": [
        "installation_span USING INDEX seek_electronics_id (electronics_id=? AND installed_at<?)"
    ],
}


@pytest.mark.parametrize("what", SEEKS)
def test_a_seek_goes_through_its_index(what: str, asked: World):
    steps = [step for _sent, steps in plans(asked, what) for step in steps]
    if what == "fleet":
        assert any(f"SEARCH {wanted}" in step for wanted in SEEKS[what] for step in steps), steps
        return
    for wanted in SEEKS[what]:
        assert any(f"SEARCH {wanted}" in step for step in steps), (wanted, steps)


@pytest.mark.parametrize("what", ["seats of a bay", "seats of a sensor half", "where", "by code"])
def test_a_seek_sorts_nothing(what: str, asked: World):
    """The index gives the newest first: a sort would read the whole history of the bay."""
    for sent, steps in plans(asked, what):
        assert not [step for step in steps if "TEMP B-TREE" in step], (sent.sql[:200], steps)


@pytest.mark.parametrize("table", ["half", "bay", "vehicle", "station", "person", "site"])
def test_a_code_is_found_by_the_index_of_its_table(table: str, asked: World):
    steps = [step for _sent, steps in plans(asked, "by code") for step in steps]
    assert any(re.match(rf"SEARCH {table} USING (COVERING )?INDEX .*\(code=\?\)", step) for step in steps), steps


def test_a_label_is_found_by_the_index_of_its_key(asked: World):
    from registry.domain.labels import read_label

    label = read_label("[)>{RS}06{GS}17V1A2B3{GS}1PRS-100{GS}S77{RS}{EOT}", typed=True)
    steps = [step for sent in statements(asked, lambda db: halves_bearing(db, label)) for step in plan(asked, sent)]
    assert any("SEARCH identity USING" in step and "scheme=?" in step for step in steps), steps


def test_the_watch_sees_a_whole_table_read(asked: World):
    """What the tests above look for is seen when it is there."""
    sent = Sent("SELECT * FROM installation_span AS s WHERE s.removed_offset_min = 0", ())
    assert scanned("installation_span", sent, plan(asked, sent)) == ["SCAN s"]


def test_the_place_of_a_log_is_found_by_its_number(asked: World):
    from registry.queries import log

    for ask in (
        lambda db: log.entry(db, 3),
        lambda db: log.entries(db, 20, 10),
        lambda db: log.size_on(db, "2026-05-19"),
    ):
        for sent, steps in [(sent, plan(asked, sent)) for sent in statements(asked, ask)]:
            assert scanned("log_entry", sent, steps) == [], steps
