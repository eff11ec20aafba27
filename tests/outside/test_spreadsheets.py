"""Spreadsheets from outside. CSV cases: RFC 4180, section 2, rules 1 to 7; workbooks are written by a library of others."""

import io
import time
import zipfile
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest

from registry.errors import Refused
from registry.sheet_rows import MOST_EMPTY, Row
from registry.spreadsheets import Spreadsheet


def opened(tmp_path: Path, raw: bytes | str, encoding: str = "utf-8") -> Spreadsheet:
    path = tmp_path / "file"
    path.write_bytes(raw.encode() if isinstance(raw, str) else raw)
    return Spreadsheet(path, encoding)


def cells(sheet: Spreadsheet) -> list[list[object]]:
    return [list(row.cells.values()) for row in sheet.rows()]


def refused(tmp_path: Path, raw: bytes | str) -> str:
    with pytest.raises(Refused) as no:
        list(opened(tmp_path, raw).rows())
    reason = no.value.reasons[0]
    assert reason.next
    return reason.message


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("h1,h2\r\naaa,bbb\r\n", [["aaa", "bbb"]]),
        ("h1,h2\r\naaa,bbb", [["aaa", "bbb"]]),
        ('h1,h2\r\n"aaa","b\r\nbb"\r\n', [["aaa", "b\r\nbb"]]),
        ('h1,h2\r\n"aaa","b""bb"\r\n', [["aaa", 'b"bb']]),
        ("h1;h2\nx, y;2\n", [["x, y", "2"]]),
        ("h1\th2\na\tb\n", [["a", "b"]]),
        ("\r\n ,\r\nh1,h2\r\n\r\na,b\r\n,,\r\n", [["a", "b"]]),
    ],
)
def test_csv_is_read_as_the_standard_writes_it(text: str, rows: list, tmp_path: Path):
    sheet = opened(tmp_path, text)
    assert [column.header for column in sheet.columns] == ["h1", "h2"]
    assert cells(sheet) == rows


@pytest.mark.parametrize("raw", ["h\né\n".encode(), "h\né\n".encode("utf-8-sig"), "h\né\n".encode("utf-16")])
def test_the_letters_of_a_file_are_read_by_its_mark(raw: bytes, tmp_path: Path):
    assert cells(opened(tmp_path, raw)) == [["é"]]


def test_bytes_of_another_encoding_are_told_in_their_row_and_read_when_it_is_said(tmp_path: Path):
    raw = b"h,i\nx,fine\ny,caf\xe9\n"
    faults = [row.faults for row in opened(tmp_path, raw).rows()]
    assert faults[0] == []
    assert faults[1] == ["Column B holds bytes that are not of the encoding. Save the sheet as CSV UTF-8, or say which it has."]  # fmt: skip
    assert cells(opened(tmp_path, raw, "windows-1252"))[1] == ["y", "café"]


def test_a_row_knows_its_number_in_the_file(tmp_path: Path):
    assert [row.number for row in opened(tmp_path, 'h\n\n"a\nb"\n\nc\n').rows()] == [3, 6]


def test_a_cell_without_a_header_and_quotes_that_never_close_are_told(tmp_path: Path):
    row = next(opened(tmp_path, "h\na,b\n").rows())
    assert row.faults == ["Column B has a cell and no header."]
    last = list(opened(tmp_path, 'h,i\na,"b\n').rows())[-1]
    assert "Look at the quotes in this row" in last.faults[0]


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"", "The file is empty."),
        (b" , ,\n,,\n", "The file holds no row with a cell"),
        (b"\x00" * 10_000_000, "it holds zero bytes"),
        (b"a" * 10_000_000, "A field is longer than any cell"),
        (b"h\n" + b"\n" * (MOST_EMPTY + 2), "more than 100,000 empty rows"),
        (b"PK\x03\x04" + b"x" * 100, "did not come whole"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "workbook of the old form"),
        ("x," * 300 + "x\n", "more than 200 columns"),
        ("h,i\na,b\n".encode("utf-16") + b"A", "begins as UTF-16 and is not whole: byte 19"),
        (b"\xff\xfe" + "h\na".encode("utf-16-le") + b"\x00\xd8" + "b\n".encode("utf-16-le"), "begins as UTF-16"),
        ("h\na\x00b\n".encode("utf-16"), "it holds zero bytes"),
    ],
)
def test_what_is_no_sheet_is_refused_with_what_to_do(raw: bytes | str, told: str, tmp_path: Path):
    assert told in refused(tmp_path, raw)


def test_a_zip_that_is_no_workbook_is_told(tmp_path: Path):
    path = tmp_path / "file"
    with zipfile.ZipFile(path, "w") as folder:
        folder.writestr("note.txt", "x")
    with pytest.raises(Refused, match="a ZIP and no XLSX workbook"):
        Spreadsheet(path)


def test_a_workbook_is_read_with_its_days_numbers_formulas_and_merged_cells(tmp_path: Path):
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (["Serial", "Day", "Sum"], ["0012", datetime(2024, 3, 4), 3], ["x", None, "=1+1"], ["y"], [None, "z"]):
        sheet.append(row)
    sheet.merge_cells("A4:A5")
    book.save(tmp_path / "file")
    rows = list(Spreadsheet(tmp_path / "file").rows())
    assert [row.number for row in rows] == [2, 3, 4, 5]
    assert (rows[0].cells, rows[0].faults) == ({"A": "0012", "B": datetime(2024, 3, 4), "C": 3}, [])
    assert rows[1].faults == ["Column C holds a formula. Put its value there: formulas are not run."]
    merged = ["The row lies in merged cells (A4:A5). Part them, and fill in each."]
    assert [row.faults for row in rows[2:]] == [merged, merged]


def workbook(tmp_path: Path, old: bytes, new: bytes, rows: int = 3) -> Path:
    """A sheet of two columns as the library writes it, with `old` in its XML become `new`."""
    book = openpyxl.Workbook()
    for number in range(rows):
        book.active.append([f"s{number}", "p"])
    whole, path = io.BytesIO(), tmp_path / "file"
    book.save(whole)
    with zipfile.ZipFile(whole) as source, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as folder:
        for name in source.namelist():
            raw = source.read(name)
            folder.writestr(name, raw.replace(old, new) if name == "xl/worksheets/sheet1.xml" else raw)
    return path


def read_within(path: Path, seconds: float) -> list[Row]:
    """Every row; it took less than so long, many times what it takes here."""
    begun = time.monotonic()
    rows = list(Spreadsheet(path).rows())
    assert time.monotonic() - begun < seconds
    return rows


def test_words_like_merged_cells_in_a_remark_of_the_file_cost_no_time_and_are_none(tmp_path: Path):
    path = workbook(tmp_path, b"</worksheet>", 10 * (b"<!--" + b"<mergeCell " * 8_000 + b"-->") + b"</worksheet>")
    assert [row.faults for row in read_within(path, 4)] == [[], []]


@pytest.mark.parametrize("part", ["xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml", "docProps/core.xml"])
@pytest.mark.parametrize("end", [b"-->", b""], ids=["closed", "never closed"])
def test_a_remark_that_would_take_minutes_is_refused_in_any_part(part: str, end: bytes, tmp_path: Path):
    """A parser fed in small pieces reads it anew with each: 22 MB in a file of 50 kB kept one at work for minutes."""
    path = workbook(tmp_path, b"", b"")
    with zipfile.ZipFile(path) as folder:
        parts = {name: folder.read(name) for name in folder.namelist()}
    first, rest = parts[part].rsplit(b"</", 1)
    parts[part] = first + b"<!--" + b"<mergeCell " * 2_000_000 + end + b"</" + rest
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as folder:
        for name, raw in parts.items():
            folder.writestr(name, raw)
    begun = time.monotonic()
    with pytest.raises(Refused, match="22,000,000 characters, which no workbook does" if end else "cannot be read"):
        Spreadsheet(path)
    assert time.monotonic() - begun < 8


def test_many_merged_stretches_are_each_looked_at_once_and_far_too_many_refused(tmp_path: Path):
    def stretches(count: int) -> bytes:
        told = (f'<mergeCell ref="C{n}:D{n + 1}"/>' for n in range(900_000, 900_000 + 2 * count, 2))
        return f'</sheetData><mergeCells><mergeCell ref="A3:A3"/>{"".join(told)}</mergeCells>'.encode()

    rows = read_within(workbook(tmp_path, b"</sheetData>", stretches(9_000), 5_000), 8)
    assert [row.number for row in rows if row.faults] == [3]
    with pytest.raises(Refused, match="more than 10,000 stretches of merged cells"):
        Spreadsheet(workbook(tmp_path, b"</sheetData>", stretches(10_000)))


def test_a_cell_beyond_the_columns_that_are_read_is_refused_and_an_empty_one_fills_no_row(tmp_path: Path):
    def far(cell: str) -> bytes:
        return ("".join(f'<row r="{n}"><c r="XFD{n}">{cell}</c></row>' for n in range(10, 2000)) + "</sheetData>").encode()  # fmt: skip

    with pytest.raises(Refused, match="There is a cell XFD10: only the first 200 columns are read, to GR"):
        Spreadsheet(workbook(tmp_path, b"</sheetData>", far("<v>1</v>")))
    assert len(read_within(workbook(tmp_path, b"</sheetData>", far("")), 4)) == 2


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (b"<worksheet ", b'<!DOCTYPE x [<!ENTITY a "AAAA">]><worksheet ', "declares entities of its own"),
        (b"</sheetData>", b"<row><c><v>&e;</v></c></row></sheetData>", "cannot be read"),
        (b"</worksheet>", b"", "cannot be read"),
        (b'r="A2"', b'r="2A"', "cannot be read"),
    ],
)
def test_a_workbook_that_is_broken_inside_is_refused_with_what_to_do(old: bytes, new: bytes, told: str, tmp_path: Path):
    with pytest.raises(Refused, match=told):
        list(Spreadsheet(workbook(tmp_path, old, new)).rows())


def test_a_workbook_that_unpacks_to_far_too_much_is_not_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    book = openpyxl.Workbook()
    book.active.append(["h"])
    book.save(tmp_path / "file")
    monkeypatch.setattr("registry.workbooks.MOST_UNPACKED", 100)
    with pytest.raises(Refused, match="bytes unpacked"):
        Spreadsheet(tmp_path / "file")
