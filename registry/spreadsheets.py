"""Reading a spreadsheet from outside: CSV or XLSX, its columns and its rows, each row with what is wrong with it.

A file is judged before it is unpacked. Nothing in it is run: a formula is no value.
"""

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from registry.domain.imports import MOST_COLUMNS, Column, letter_of
from registry.sheet_rows import Row, no, refuse_emptiness, refuse_too_many
from registry.workbooks import of_workbook

#: Bytes a CSV field may have.
MOST_OF_A_FIELD = 100_000


class Spreadsheet:
    """One file, opened for reading. `columns` are those of its first row with a cell; `rows()` are all below it."""

    def __init__(self, path: Path, encoding: str = "utf-8"):
        self._path = path
        with path.open("rb") as file:
            head = file.read(4)
        if not head:
            raise no("The file is empty.", "Send the sheet as CSV or XLSX.")
        if head[:4] == b"PK\x03\x04":
            self._raw = of_workbook(path)
        elif head[:4] == b"\xd0\xcf\x11\xe0":
            raise no("That is a workbook of the old form, or one with a password.", "Save it as XLSX or CSV.")
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
            raise no(f"Row {row.number} should hold the headers. {row.faults[0]}", "Mend it and send the file again.")
        last = max(place for place, value in enumerate(row.cells.values()) if _told(value))
        if last >= MOST_COLUMNS:
            raise no(f"The file has more than {MOST_COLUMNS} columns.", "Leave out those that are not needed.")
        named = [str(value or "").strip() for value in row.cells.values()][: last + 1]
        return [Column(letter_of(place), header) for place, header in enumerate(named)], rows
    raise no("The file holds no row with a cell: there is nothing to read.", "Look whether the right sheet was saved.")


# CSV


def _of_text(path: Path, encoding: str) -> Iterator[Row]:
    """Rows of a CSV file (RFC 4180, with commas, semicolons or tabs). Bytes that are not of the encoding are told in
    their row."""
    raw = path.read_bytes()
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = _of_utf_16(raw)
    else:
        text = raw.decode("utf-8-sig" if encoding == "utf-8" else encoding, errors="surrogateescape")
    if "\x00" in text:
        raise no("That is neither CSV nor XLSX: it holds zero bytes.", "Save the sheet as CSV UTF-8 or as XLSX.")
    csv.field_size_limit(MOST_OF_A_FIELD)
    return _parted(text, _delimiter(text))


def _of_utf_16(raw: bytes) -> str:
    try:
        return raw.decode("utf-16")
    except UnicodeDecodeError as problem:
        told = f"The file begins as UTF-16 and is not whole: byte {problem.start + 1:,} is no letter."
        raise no(told, "Save the sheet as CSV UTF-8 or as XLSX, and send that.") from None


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
            refuse_emptiness(empty)
            continue
        empty, count = 0, count + 1
        refuse_too_many(count)
        row = Row(number, {letter_of(place): value for place, value in enumerate(cells[: MOST_COLUMNS + 1])})
        bad = [letter for letter, value in row.cells.items() if any("\udc80" <= sign <= "\udcff" for sign in value)]
        if bad:
            row.faults.append(
                f"Column {bad[0]} holds bytes that are not of the encoding. Save the sheet as CSV UTF-8, or say which it has."
            )
            row.cells |= {letter: row.cells[letter].encode(errors="replace").decode() for letter in bad}
        yield row
