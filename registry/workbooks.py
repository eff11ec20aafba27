"""Reading an XLSX workbook: its rows, and what its first sheet holds besides cells, in one walk over its XML each."""

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any, BinaryIO
from xml.parsers import expat

from registry.domain.imports import MOST_COLUMNS, letter_of
from registry.errors import Refused
from registry.sheet_rows import Row, no, refuse_emptiness, refuse_too_many

#: Bytes an XLSX may come to unpacked, and stretches of merged cells that one sheet may have.
MOST_UNPACKED, MOST_MERGED = 400_000_000, 10_000
#: Characters of one remark, mark or value of a mark in its XML; and the piece that is read at a time.
MOST_OF_A_MARK, _PIECE = 100_000, 32 << 20
#: What may stand before the first mark: byte order marks, the zero bytes of UTF-16, blanks.
_BEFORE_XML = b"\xef\xbb\xbf\xff\xfe\x00 \t\r\n"
_STRETCH = re.compile(r"[A-Z]{1,3}([0-9]{1,7}):[A-Z]{1,3}([0-9]{1,7})")
_LAST = letter_of(MOST_COLUMNS - 1)

Merged = tuple[int, int, str]


def of_workbook(path: Path) -> Iterator[Row]:
    """Rows of the first sheet of a workbook."""
    try:
        with zipfile.ZipFile(path) as folder:
            size = sum(part.file_size for part in folder.infolist())
            if size > MOST_UNPACKED:
                raise no(f"The workbook comes to {size:,} bytes unpacked: more than is read.", "Save the sheet as CSV.")
            names = folder.namelist()
    except zipfile.BadZipFile:
        raise no("The workbook did not come whole.", "Send it again.") from None
    if "[Content_Types].xml" not in names or not any(name.startswith("xl/worksheets/") for name in names):
        raise no("That is a ZIP and no XLSX workbook.", "Send the sheet itself, as CSV or XLSX.")
    return _cells_of(path)


def _cells_of(path: Path) -> Iterator[Row]:
    try:
        with path.open("rb") as file:  # by what it holds, not by its name
            yield from _cells_in(path, file)
    except (Refused, MemoryError, GeneratorExit):
        raise
    except Exception:  # whatever the library makes of a broken part: it is the file that cannot be read
        raise no("The workbook cannot be read.", "Open it, save it anew as XLSX or CSV, and send that.") from None


def _cells_in(path: Path, file: BinaryIO) -> Iterator[Row]:
    from openpyxl import load_workbook

    walks = _walked(path)
    book = load_workbook(file, read_only=True, data_only=False, keep_links=False)
    sheet = book.worksheets[0]
    merged = _Merged(_walk_of(walks, sheet._worksheet_path).merged)
    sheet.reset_dimensions()
    count = empty = 0
    # Cut at the columns that are read: one cell far to the right would fill the row up to it.
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1), 1):
        if all(cell.value is None for cell in cells):
            empty += 1
            refuse_emptiness(empty)
            continue
        empty, count = 0, count + 1
        refuse_too_many(count)
        cells = cells[: 1 + max(place for place, cell in enumerate(cells) if cell.value is not None)]
        row = Row(number, {letter_of(place): cell.value for place, cell in enumerate(cells)})
        row.faults += _faults(row, cells)
        if where := merged.over(number):
            row.faults.append(f"The row lies in merged cells ({where}). Part them, and fill in each.")
        yield row


def _faults(row: Row, cells: Any) -> list[str]:
    kinds = {letter_of(place): getattr(cell, "data_type", "n") for place, cell in enumerate(cells)}
    formulas = [f"Column {letter} holds a formula. Put its value there: formulas are not run." for letter, kind in kinds.items() if kind == "f"]  # fmt: skip
    errors = [f"Column {letter} shows {row.cells[letter]} in place of a value. Mend the cell." for letter, kind in kinds.items() if kind == "e"]  # fmt: skip
    return formulas[:1] + errors[:1]


class _Merged:
    """The stretches of merged cells, sorted, asked for rows from the first to the last: each is looked at once."""

    def __init__(self, stretches: list[Merged]):
        self._to_come = sorted(stretches, reverse=True)
        self._open: Merged = (0, 0, "")

    def over(self, number: int) -> str:
        """The stretch that reaches furthest over this row, if one does."""
        while self._to_come and self._to_come[-1][0] <= number:
            self._open = max(self._open, self._to_come.pop(), key=lambda one: one[1])
        return self._open[2] if self._open[1] >= number else ""


class _Walk:
    """One walk over the XML of a part: its stretches of merged cells, and the first cell beyond the columns read."""

    def __init__(self) -> None:
        self.merged: list[Merged] = []
        self.beyond = self._cell = ""
        self._parser = expat.ParserCreate()
        self._parser.StartElementHandler = self._begun
        self._parser.StartDoctypeDeclHandler = self._declared
        self._parser.CommentHandler = lambda text: self._refuse_long(len(text))
        self._parser.ProcessingInstructionHandler = lambda name, text: self._refuse_long(len(name) + len(text))

    def over(self, file: IO[bytes]) -> None:
        """In large pieces: a remark that no piece holds whole is read anew with each."""
        while piece := file.read(_PIECE):
            self._parser.Parse(piece, False)
        self._parser.Parse(b"", True)

    def _begun(self, name: str, told: dict[str, str]) -> None:
        for value in told.values():
            if len(value) > MOST_OF_A_MARK:
                self._refuse_long(len(value))
        name = name.rpartition(":")[2]
        if name == "c":
            self._cell = told.get("r", "")
        elif name in ("v", "is", "f"):
            letters = self._cell.rstrip("0123456789")
            if (len(letters), letters) > (len(_LAST), _LAST):
                self.beyond = self.beyond or self._cell
        elif name == "mergeCell" and (rows := _STRETCH.fullmatch(told.get("ref", "").replace("$", ""))):
            self.merged.append((int(rows[1]), int(rows[2]), rows[0]))
            if len(self.merged) > MOST_MERGED:
                raise no(f"The sheet has more than {MOST_MERGED:,} stretches of merged cells.", "Part them, fill in each, and send it again.")  # fmt: skip
        else:
            self._refuse_long(len(name))

    @staticmethod
    def _refuse_long(length: int) -> None:
        # The library reads in small pieces, and what no piece holds whole anew with each: time grows with the square.
        if length > MOST_OF_A_MARK:
            raise no(f"The workbook holds a remark or mark of {length:,} characters, which no workbook does.", "Save the sheet as CSV.")  # fmt: skip

    @staticmethod
    def _declared(*_told: Any) -> None:
        # ECMA-376, part 2: no part of a package has a document type; entities that grow are declared in one.
        raise no("The workbook declares entities of its own, which no workbook does.", "Save the sheet as CSV.")


def _walked(path: Path) -> dict[str, _Walk]:
    """Every part that may be XML, walked before the library reads any of them. Raises `Refused` at what none has."""
    found = {}
    with zipfile.ZipFile(path) as folder:
        for part in folder.infolist():
            with folder.open(part) as file:
                if not file.read(64).lstrip(_BEFORE_XML).startswith(b"<"):
                    continue
            walk = found[part.filename] = _Walk()
            try:
                with folder.open(part) as file:
                    walk.over(file)
            except expat.ExpatError:
                if part.file_size > MOST_OF_A_MARK:  # a small one the library may judge; drawings are often broken
                    raise
    return found


def _walk_of(walks: dict[str, _Walk], part: str) -> _Walk:
    walk = walks[part]
    if walk.beyond:
        raise no(f"There is a cell {walk.beyond}: only the first {MOST_COLUMNS} columns are read, to {_LAST}.", "Leave it out, or move it to the left.")  # fmt: skip
    return walk
