"""Exports as readers from outside take them: CSV by the grammar of RFC 4180, section 2; XLSX by a reader that shares no
code with the writer (calamine, in Rust)."""

import io
import json
import re
import zipfile

import pytest
import python_calamine
import sqlalchemy as sa

from registry.acts import log, tree
from registry.domain.times import UTC
from registry.models.base import metadata
from registry.output.exports import head, write
from registry.queries import exports
from tests.cast import World

#: RFC 4180 section 2: `field = (escaped / non-escaped)`, fields parted by a comma, records by CRLF.
_FIELD = re.compile(r'"((?:[^"]|"")*)"|([^",\r\n]*)')


def by_the_grammar(text: str) -> list[list[str]]:
    """The records of a CSV file; anything outside the grammar is an AssertionError."""
    records, fields, place = [], [], 0
    while place < len(text):
        found = _FIELD.match(text, place)
        assert found
        quoted, bare = found.groups()
        fields.append(bare if quoted is None else quoted.replace('""', '"'))
        place = found.end()
        if text.startswith("\r\n", place):
            records.append(fields)
            fields, place = [], place + 2
        else:
            assert text[place] == ",", (place, text[place : place + 20])
            place += 1
    assert fields == []
    return records


def written(world: World, form: str, *tables: str, names: bool = False) -> bytes:
    out = io.BytesIO()
    with world.database.reading() as db:
        write(db, out, form, exports.chosen(list(tables), names), names, world.now)
    return out.getvalue()


@pytest.fixture
def told(world: World) -> World:
    """With words that a spreadsheet would run, and every sign that CSV makes something of."""
    for words in ("=cmd|' /C calc'!A0", 'he said "two", then\nleft', "-1+1"):
        world.do("note_fault", "18 09:00", half="p1 s", words=words)
    return world


def test_csv_is_read_back_by_the_grammar_row_by_row(told: World):
    with zipfile.ZipFile(io.BytesIO(written(told, "csv"))) as folder:
        assert folder.testzip() is None
        tables = {name: by_the_grammar(folder.read(f"{name}.csv").decode()) for name in ("fault", "half", "log_entry")}
        assert len(folder.namelist()) == len(exports.leaving()) + 1
    head, *rows = tables["fault"]
    assert head == [column.name for column in metadata.tables["fault"].c]
    words = {row[head.index("words")] for row in rows}
    assert words == {"'=cmd|' /C calc'!A0", 'he said "two", then\nleft', "'-1+1"}
    assert len(tables["half"]) - 1 == _count(told, "half")
    entry = tables["log_entry"][0].index("entry")
    assert json.loads(tables["log_entry"][1][entry])["act"] == "found_outfit"


def test_xlsx_is_read_back_sheet_by_sheet_with_numbers_as_numbers(told: World):
    told.do("record_mounting", "18 10:00", by="piet", bay="teasel A", **_mounting())
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(written(told, "xlsx")))
    assert book.sheet_names == ["README", *(table.name for table in exports.leaving())]
    faults = book.get_sheet_by_name("fault").to_python()
    assert {row[faults[0].index("words")] for row in faults[1:]} >= {"'=cmd|' /C calc'!A0", "'-1+1"}
    mountings = book.get_sheet_by_name("bay_mounting").to_python()
    assert mountings[1][mountings[0].index("yaw_deg")] == -0.35
    assert len(book.get_sheet_by_name("half").to_python()) - 1 == _count(told, "half")


def _mounting() -> dict[str, str]:
    from tests.lived import MOUNTED

    return {**MOUNTED, "yaw_deg": "-0.35"}


def test_no_cell_of_the_workbook_is_a_formula(told: World):
    with zipfile.ZipFile(io.BytesIO(written(told, "xlsx"))) as book:
        sheets = [book.read(name) for name in book.namelist() if name.startswith("xl/worksheets/")]
    assert len(sheets) == len(exports.leaving()) + 1
    assert not any(b"<f>" in sheet or b"<f " in sheet for sheet in sheets)


def test_the_lines_hold_every_entry_byte_by_byte_and_prove_the_root(told: World):
    head, *lines = written(told, "jsonl").splitlines()
    entries = [line[len(b'{"entry":') : -1] for line in lines if line.startswith(b'{"entry":')]
    with told.database.reading() as db:
        stored = [row.raw for row in log.rows(db)]
        root = log.root(db, len(stored))
    assert entries == stored
    leaves = [tree.leaf_hash(raw) for raw in entries]
    assert tree.root(len(leaves), lambda level, ix: _node(leaves, level, ix)) == root
    assert json.loads(head)["export"]["log_root"] == root.hex()


def _node(leaves: list[bytes], level: int, ix: int) -> bytes:
    if level == 0:
        return leaves[ix]
    return tree.node_hash(_node(leaves, level - 1, 2 * ix), _node(leaves, level - 1, 2 * ix + 1))


def test_no_secret_leaves_in_any_form_and_names_only_when_asked(told: World):
    kept = {"credential", "attempt", "web_session", "token", "security_event"}
    assert not kept & {table.name for table in exports.leaving(names=True)}
    for form in ("csv", "xlsx", "jsonl"):
        assert b"Yusuf" not in _unpacked(written(told, form)), form
        assert b"Yusuf" in _unpacked(written(told, form, names=True)), form


def _unpacked(raw: bytes) -> bytes:
    if raw[:2] != b"PK":
        return raw
    with zipfile.ZipFile(io.BytesIO(raw)) as folder:
        return b"".join(folder.read(name) for name in folder.namelist())


def test_the_first_sheet_says_what_when_and_at_which_root(told: World):
    with zipfile.ZipFile(io.BytesIO(written(told, "csv", "half"))) as folder:
        assert folder.namelist() == ["README.txt", "half.csv"]
        readme = folder.read("README.txt").decode()
    with told.database.reading() as db:
        stands = head(db)
    assert f"Log: {stands.size} entries. Root (SHA-256, RFC 9162): {stands.root}" in readme
    assert told.now.astimezone(UTC).strftime("Written %Y-%m-%dT") in readme
    assert "apostrophe" in readme


def _count(world: World, table: str) -> int:
    with world.database.reading() as db:
        return db.execute(sa.select(sa.func.count()).select_from(metadata.tables[table])).scalar_one()
