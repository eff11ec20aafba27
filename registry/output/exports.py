"""Exports written out: CSV a table and file, XLSX a table and sheet, or the whole as JSON lines; none held in memory."""

import csv
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, BinaryIO, TextIO

import sqlalchemy as sa

from registry.acts import log
from registry.domain.exports import FORMATS, MOST_ROWS, as_sheet_text, defused, sheet_name
from registry.domain.times import write_rfc3339
from registry.models.columns import Figure
from registry.queries import exports
from registry.queries.log import outfit_shown

MEDIA_TYPES = {
    "csv": "application/zip",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "jsonl": "application/jsonl",
}
ENDINGS = {"csv": "zip", "xlsx": "xlsx", "jsonl": "jsonl"}
README = "README.txt"
#: Quotes around every cell would not help: a program that parts at semicolons ends a quoted cell at the first comma, and
#: takes what comes after as it stands. An apostrophe within a text would change what people wrote.
_COMMAS = "Cells are parted by commas (RFC 4180). A program set to part them by semicolons or tabs would cut a text in two at its own semicolon, and run the rest if that begins like a formula: tell it commas when you open a file, or take XLSX."


@dataclass(frozen=True, slots=True)
class Head:
    """What an export stands on: whose registry, how far its log went and the root of its tree then."""

    outfit: str
    invented: bool
    size: int
    root: str


def head(db: sa.Connection) -> Head:
    shown, size = outfit_shown(db), log.head(db).size
    return Head(shown.name if shown else "", bool(shown and shown.invented), size, log.root(db, size).hex())


def write(db: sa.Connection, out: BinaryIO, form: str, tables: list[sa.Table], names: bool, now: datetime) -> None:
    """The export into one open file: a ZIP of CSV files, a workbook, or lines."""
    if form == "jsonl":
        out.write(json.dumps(_first_line(db, names, now), ensure_ascii=False).encode() + b"\n")
        out.writelines(_lines(db, names))
    elif form == "xlsx":
        _workbook(db, out, tables, about(db, form, tables, names, now))
    else:
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as folder:
            folder.writestr(README, about(db, form, tables, names, now))
            for table in tables:
                with folder.open(f"{table.name}.csv", "w", force_zip64=True) as raw, _text(raw) as file:
                    _csv(db, file, table)


def write_folder(db: sa.Connection, folder: Path, tables: list[sa.Table], names: bool, now: datetime) -> None:
    """One CSV file a table and a README, in a folder that is there."""
    (folder / README).write_text(about(db, "csv", tables, names, now), encoding="utf-8")
    for table in tables:
        with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as file:
            _csv(db, file, table)


def about(db: sa.Connection, form: str, tables: list[sa.Table], names: bool, now: datetime) -> str:
    """What was exported, when, and at which size and root of the log: the README beside it, or the first sheet."""
    stands = head(db)
    told = [
        f"Export of {stands.outfit or 'a registry without an outfit'}, {FORMATS[form]}.",
        *(["Everything in it is invented, to show how the program works."] if stands.invented else []),
        f"Written {write_rfc3339(now)}.",
        f"Log: {stands.size} entries. Root (SHA-256, RFC 9162): {stands.root}",
        f"Tables: {', '.join(table.name for table in tables)}.",
        "Names of people: " + ("in person_private, as asked for." if names else "left out; people are ids."),
        "Columns are called as in the schema. Instants (_at) are UTC, with the offset as entered beside them in minutes (_offset_min); days (_on) are calendar days.",
        "seq is the entry that wrote a row, closed_seq the one that closed it, voided_seq the one that amended it away.",
        "A text that begins with = + - @, a tab or a line break has an apostrophe before it, so that no spreadsheet runs it as a formula (OWASP, CSV Injection). Numbers stay numbers, negative ones too.",
        *([_COMMAS] if form == "csv" else []),
    ]
    return "\n".join(told) + "\n"


def _first_line(db: sa.Connection, names: bool, now: datetime) -> dict[str, Any]:
    stands = head(db)
    return {
        "export": {
            "outfit": stands.outfit,
            "invented": stands.invented,
            "written_at": write_rfc3339(now),
            "log_size": stands.size,
            "log_root": stands.root,
            "names": names,
        }
    }


def _lines(db: sa.Connection, names: bool = False) -> Iterator[bytes]:
    """The whole as JSON lines: each entry's bytes as they are stored, in order; then the rows outside the fold.

    Folded tables follow from the entries, so they are not said again.
    """
    for stored in log.rows(db):
        yield b'{"entry":' + stored.raw + b"}\n"
    for table in exports.leaving(names):
        if table.name in ("log_checkpoint", exports.NAMES):
            keys = [column.name for column in table.c]
            for row in exports.rows(db, table):
                told = {"table": table.name, "row": dict(zip(keys, row, strict=True))}
                yield json.dumps(told, ensure_ascii=False).encode() + b"\n"


def _text(raw: Any) -> TextIO:
    """A text file over an open part of a ZIP."""
    return io.TextIOWrapper(raw, encoding="utf-8", newline="", write_through=True)


def _csv(db: sa.Connection, file: TextIO, table: sa.Table) -> None:
    """RFC 4180: commas, CRLF, quotes where they are needed, one header."""
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow([column.name for column in table.c])
    writer.writerows([_csv_cell(value) for value in row] for row in exports.rows(db, table))


def _csv_cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "true" if value else "false"
    return defused(value) if isinstance(value, str) else value


def _workbook(db: sa.Connection, out: BinaryIO, tables: list[sa.Table], told: str) -> None:
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    first = book.create_sheet("README")
    for line in told.splitlines():
        first.append([as_sheet_text(line)])
    for table in tables:
        cells = [_sheet_cell(column) for column in table.c]
        for number, part in enumerate(_parts(exports.rows(db, table), MOST_ROWS - 1), 1):
            sheet = book.create_sheet(sheet_name(table.name, number))
            sheet.append([column.name for column in table.c])
            for row in part:
                sheet.append([value if value is None else cell(value) for cell, value in zip(cells, row, strict=True)])
    book.save(out)


def _parts(rows: Iterator[Any], most: int) -> Iterator[Iterator[Any]]:
    """The rows in stretches of at most `most`; one empty stretch when there is none."""
    from itertools import chain, islice

    yield islice(rows, most)
    while (row := next(rows, None)) is not None:
        yield islice(chain([row], rows), most)


def _sheet_cell(column: sa.Column[Any]) -> Callable[[Any], Any]:
    """Figures and whole numbers as numbers, yes or no as such, all else as text."""
    if isinstance(column.type, Figure):
        return Decimal
    return lambda value: as_sheet_text(value) if isinstance(value, str) else value
