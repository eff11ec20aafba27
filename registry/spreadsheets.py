"""Reading a spreadsheet from outside: CSV or XLSX, its columns and its rows, each row with what is wrong with it.

A file is judged before it is unpacked. Nothing in it is run: a formula is no value.
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

from registry.domain.imports import MOST_COLUMNS, MOST_ROWS, Column, letter_of
from registry.errors import Reason, Refused

#: Bytes an XLSX may come to unpacked, and a CSV field may have.
MOST_UNPACKED, MOST_OF_A_FIELD = 400_000_000, 100_000
#: So many rows without a cell, one after the other, are no sheet that anybody keeps.
MOST_EMPTY = 100_000
_MERGED = re.compile(rb'<mergeCell [^>]*ref="([A-Z]+)(\d+):([A-Z]+)(\d+)"')


@dataclass(slots=True)
class Row:
    """A row by its number in the file: letter of a column -> its cell, and what is wrong with the row, each a sentence."""

    number: int
    cells: dict[str, Any]
    faults: list[str] = field(default_factory=list)


def _no(told: str, then: str) -> Refused:
    return Refused(Reason("wrong_file", told, "file", then))


class Spreadsheet:
    """One file, opened for reading. `columns` are those of its first row with a cell; `rows()` are all below it."""

    def __init__(self, path: Path, encoding: str = "utf-8"):
        self._path = path
        with path.open("rb") as file:
            head = file.read(4)
        if not head:
            raise _no("The file is empty.", "Send the sheet as CSV or XLSX.")
        if head[:4] == b"PK\x03\x04":
            self._raw = _of_workbook(path)
        elif head[:4] == b"\xd0\xcf\x11\xe0":
            raise _no("That is a workbook of the old form, or one with a password.", "Save it as XLSX or CSV.")
        else:
            self._raw = _of_text(path, encoding)
        self.columns, self._raw = _headed(self._raw)

    def rows(self) -> Iterator[Row]:
        """Rows with at least one cell; empty ones are passed over."""
        letters = [column.letter for column in self.columns]
        for row in self._raw:
            if len(row.cells) and any(_told(value) for value in row.cells.values()):
                beyond = [letter for letter, value in row.cells.items() if letter not in letters and _told(value)]
                if beyond:
                    row.faults.append(f"Column {beyond[0]} has a cell and no header.")
                yield row


def _told(value: Any) -> bool:
    return value is not None and str(value).strip() != ""


def _headed(rows: Iterator[Row]) -> tuple[list[Column], Iterator[Row]]:
    for row in rows:
        if not any(_told(value) for value in row.cells.values()):
            continue
        if row.faults:
            raise _no(f"Row {row.number} should hold the headers. {row.faults[0]}", "Mend it and send the file again.")
        last = max(place for place, value in enumerate(row.cells.values()) if _told(value))
        if last >= MOST_COLUMNS:
            raise _no(f"The file has more than {MOST_COLUMNS} columns.", "Leave out those that are not needed.")
        named = [str(value or "").strip() for value in row.cells.values()][: last + 1]
        return [Column(letter_of(place), header) for place, header in enumerate(named)], rows
    raise _no("The file holds no row with a cell: there is nothing to read.", "Look whether the right sheet was saved.")


# CSV


def _of_text(path: Path, encoding: str) -> Iterator[Row]:
    """Rows of a CSV file (RFC 4180, with commas, semicolons or tabs). Bytes that are not of the encoding are told in
    their row."""
    raw = path.read_bytes()
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding = "utf-16"
    elif b"\x00" in raw[:100_000]:
        raise _no("That is neither CSV nor XLSX: it holds zero bytes.", "Save the sheet as CSV UTF-8 or as XLSX.")
    text = raw.decode("utf-8-sig" if encoding == "utf-8" else encoding, errors="surrogateescape")
    csv.field_size_limit(MOST_OF_A_FIELD)
    return _parted(text, _delimiter(text))


def _delimiter(text: str) -> str:
    """What parts the first line with words in it most often, outside quotes."""
    line = next((line for line in io.StringIO(text) if line.strip(" ,;\t\r\n")), "")
    bare = re.sub(r'"[^"]*"', "", line[:100_000])
    return max(",;\t", key=bare.count)


def _parted(text: str, delimiter: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = count = empty = 0
    while True:
        number = reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error as problem:
            told = "A field is longer than any cell, or its quotes are never closed" if "limit" in str(problem) else str(problem).capitalize()  # fmt: skip
            yield Row(number, {"A": "?"}, [f"{told}. Look at the quotes in this row; what follows was not read."])
            return
        if cells is None:
            return
        if not any(cells):
            empty += 1
            _refuse_emptiness(empty)
            continue
        empty, count = 0, count + 1
        _refuse_too_many(count)
        row = Row(number, {letter_of(place): value for place, value in enumerate(cells[: MOST_COLUMNS + 1])})
        bad = [letter for letter, value in row.cells.items() if any("\udc80" <= sign <= "\udcff" for sign in value)]
        if bad:
            row.faults.append(
                f"Column {bad[0]} holds bytes that are not of the encoding. Save the sheet as CSV UTF-8, or say which it has."
            )
            row.cells |= {letter: row.cells[letter].encode(errors="replace").decode() for letter in bad}
        yield row


def _refuse_too_many(count: int) -> None:
    if count > MOST_ROWS + 1:
        raise _no(f"The file has more than {MOST_ROWS:,} rows.", "Send it in parts.")


def _refuse_emptiness(count: int) -> None:
    if count > MOST_EMPTY:
        told = f"The file has more than {MOST_EMPTY:,} empty rows, one after the other."
        raise _no(told, "Delete them, save the sheet and send it again.")


# XLSX


def _of_workbook(path: Path) -> Iterator[Row]:
    """Rows of the first sheet of a workbook."""
    try:
        with zipfile.ZipFile(path) as folder:
            size = sum(part.file_size for part in folder.infolist())
            if size > MOST_UNPACKED:
                raise _no(
                    f"The workbook comes to {size:,} bytes unpacked: more than is read.", "Save the sheet as CSV."
                )
            names = folder.namelist()
    except zipfile.BadZipFile:
        raise _no("The workbook did not come whole.", "Send it again.") from None
    if "[Content_Types].xml" not in names or not any(name.startswith("xl/worksheets/") for name in names):
        raise _no("That is a ZIP and no XLSX workbook.", "Send the sheet itself, as CSV or XLSX.")
    return _cells_of(path)


def _cells_of(path: Path) -> Iterator[Row]:
    with path.open("rb") as file:  # by what it holds, not by its name
        yield from _cells_in(path, file)


def _cells_in(path: Path, file: BinaryIO) -> Iterator[Row]:
    from openpyxl import load_workbook

    try:
        book = load_workbook(file, read_only=True, data_only=False, keep_links=False)
        sheet = book.worksheets[0]
        merged = _merged(path, sheet._worksheet_path)
        sheet.reset_dimensions()
    except Exception:  # whatever the library makes of a broken part: it is the file that cannot be read
        raise _no("The workbook cannot be read.", "Open it, save it anew as XLSX or CSV, and send that.") from None
    count = empty = 0
    for number, cells in enumerate(sheet.iter_rows(), 1):
        if all(cell.value is None for cell in cells):
            empty += 1
            _refuse_emptiness(empty)
            continue
        empty, count = 0, count + 1
        _refuse_too_many(count)
        row = Row(number, {letter_of(place): cell.value for place, cell in enumerate(cells[: MOST_COLUMNS + 1])})
        kinds = {letter_of(place): getattr(cell, "data_type", "n") for place, cell in enumerate(cells)}
        row.faults += [
            f"Column {letter} holds a formula. Put its value there: formulas are not run." for letter, kind in kinds.items() if kind == "f"
        ][:1]  # fmt: skip
        row.faults += [f"Column {letter} shows {row.cells[letter]} in place of a value. Mend the cell." for letter, kind in kinds.items() if kind == "e"][:1]  # fmt: skip
        if where := next((told for first, last, told in merged if first <= number <= last), None):
            row.faults.append(f"The row lies in merged cells ({where}). Part them, and fill in each.")
        yield row


def _merged(path: Path, part: str) -> list[tuple[int, int, str]]:
    """(first row, last row, range) of every stretch of merged cells of a sheet, read off its XML a piece at a time."""
    found, rest = [], b""
    with zipfile.ZipFile(path) as folder, folder.open(part) as file:
        while piece := file.read(1 << 20):
            rest += piece
            for match in _MERGED.finditer(rest):
                left, first, right, last = (told.decode() for told in match.groups())
                found.append((int(first), int(last), f"{left}{first}:{right}{last}"))
            rest = rest[max(rest.rfind(b"<mergeCell "), len(rest) - 200, 0) :] if not found else rest[-200:]
    return sorted(set(found))
