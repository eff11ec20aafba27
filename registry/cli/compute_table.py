"""Small tables that computations read: CSV or NPZ with units in the headers, checked cell by cell."""

import csv
import io
import re
import sys
from pathlib import Path
from typing import Any, NamedTuple

from registry.inertial import CannotCompute

#: Worth of each unit in the unit the computation takes. `number` and `text` have none, `value` has any.
DAYS = {"d": 1.0, "h": 1 / 24}
MOST_BYTES = 20_000_000
_BRACKETS = re.compile(r"(.+?)\s*[\[(]\s*([^\])]+?)\s*[\])]")


class Table(NamedTuple):
    """Rows by column name, in the units of the computation; `unit` is that of the `value` columns, None without any."""

    rows: list[dict[str, Any]]
    unit: str | None
    unused: tuple[str, ...]

    def column(self, name: str) -> list[Any]:
        return [row.get(name) for row in self.rows]

    def by_name(self) -> dict[str, dict[str, Any]]:
        """The rows by their `name`. Raises CannotCompute when two have the same."""
        found: dict[str, dict[str, Any]] = {}
        for row in self.rows:
            if row["name"] in found:
                raise CannotCompute(f"Two rows are both called {row['name']}.", "Give each its own name.")
            found[row["name"]] = row
        return found

    @property
    def notes(self) -> tuple[str, ...]:
        return (f"Not used: {', '.join(self.unused)}.",) if self.unused else ()


def read_table(source: str, needed: dict[str, str], optional: dict[str, str] | None = None) -> Table:
    """A CSV or NPZ at a path, or from the input for `-`. Kinds: angle, force, length, days, number, text, value.

    Raises CannotCompute for a header without its unit, a column that is missing, and a cell that is no number.
    """
    kinds = needed | (optional or {})
    headers, lines = _cells(_bytes(source))
    columns, unused, unit = _columns(headers, kinds)
    if missing := [name for name in needed if name not in {column for _, column, _ in columns}]:
        named = ", ".join(_example(name, kinds[name]) for name in missing)
        raise CannotCompute(f"The table lacks {', '.join(missing)}.", f"Add {named}, units in the headers.")
    rows = []
    for place, cells in enumerate(lines, 2):
        if len(cells) != len(headers):
            raise CannotCompute(
                f"Line {place} holds {len(cells)} cells; the header has {len(headers)}.", "Mend that line."
            )
        found = {name: _cell(cells[index], kinds[name], factor, place) for index, name, factor in columns}
        if empty := next((name for name in needed if found[name] is None), None):
            raise CannotCompute(f"Line {place} has no {empty}.", "Fill it, or leave that line out.")
        rows.append(found)
    if not rows:
        raise CannotCompute("The table holds a header and no rows.", "Add one row for each reading.")
    return Table(rows, unit, tuple(unused))


def _bytes(source: str) -> bytes:
    if source == "-":
        found = sys.stdin.buffer.read(MOST_BYTES + 1)
    else:
        path = Path(source)
        if not path.is_file():
            raise CannotCompute(f"There is no file {path.name}.", "Look at its name and folder.")
        with path.open("rb") as file:
            found = file.read(MOST_BYTES + 1)
    if len(found) > MOST_BYTES:
        raise _too_long()
    return found


def _too_long() -> CannotCompute:
    return CannotCompute(
        f"This table is longer than {MOST_BYTES // 10**6} MB.", "Give the few rows that are asked for."
    )


def _cells(content: bytes) -> tuple[list[str], list[list[str]]]:
    if content[:2] == b"PK":
        return _npz_cells(content)
    text = content.decode("utf-8-sig", errors="replace")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if not lines:
        raise CannotCompute("The table is empty.", "Put names and units in the first line, and a row a reading below.")
    try:
        rows = list(csv.reader(lines, delimiter=max(",;\t", key=lines[0].count)))
    except csv.Error:
        raise CannotCompute(
            "The table cannot be read: one of its cells never ends.", "Look at its quotation marks."
        ) from None
    return [header.strip() for header in rows[0]], rows[1:]


def _npz_cells(content: bytes) -> tuple[list[str], list[list[str]]]:
    import zipfile

    import numpy as np

    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as archive:
            # Judged before unpacking: a few kilobytes can unpack to more than the machine has.
            if sum(info.file_size for info in archive.zip.infolist()) > MOST_BYTES:
                raise _too_long()
            arrays = {name: np.atleast_1d(archive[name]) for name in archive.files}
    except (zipfile.BadZipFile, ValueError, OSError, EOFError) as broken:
        if isinstance(broken, CannotCompute):
            raise
        raise CannotCompute("The archive cannot be read: it is damaged or holds objects.", "Save it again.") from None
    if {array.ndim for array in arrays.values()} != {1} or len({len(array) for array in arrays.values()}) != 1:
        raise CannotCompute("The arrays are not single columns of one length.", "Save one array a column.")
    return list(arrays), [
        [str(cell) for cell in row] for row in zip(*(a.tolist() for a in arrays.values()), strict=True)
    ]


def _units(kind: str) -> dict[str, float]:
    from registry.inertial.recording_columns import KINDS

    return DAYS if kind == "days" else KINDS[kind][1]


def _columns(headers: list[str], kinds: dict[str, str]) -> tuple[list[tuple[int, str, float]], list[str], str | None]:
    """(place, name, factor) of each column that is used, the headers that are not, and the unit of plain values."""
    found: list[tuple[int, str, float]] = []
    unused, units = [], set()
    for place, header in enumerate(headers):
        name, written = _split(header, kinds)
        unit = written and _known_unit(written)
        if name is None:
            unused.append(header)
            continue
        if any(name == taken for _, taken, _ in found):
            raise CannotCompute(f"Two columns are both {name}.", "Leave one of them out.")
        found.append((place, name, _factor(header, name, unit, kinds[name])))
        if kinds[name] == "value":
            units.add(unit)
    if len(units) > 1:
        raise CannotCompute(f"The values are in different units: {', '.join(sorted(units))}.", "Give them in one unit.")
    return found, unused, units.pop() if units else None


def _split(header: str, kinds: dict[str, str]) -> tuple[str | None, str | None]:
    """The column a header names, and its unit as it is written there."""
    if match := _BRACKETS.fullmatch(header):
        return (match[1].lower(), match[2]) if match[1].lower() in kinds else (None, None)
    for name in sorted(kinds, key=len, reverse=True):
        if header.lower() == name:
            return name, None
        if header.lower().startswith(f"{name}_"):
            return name, header[len(name) + 1 :]
    return None, None


def _known_unit(written: str) -> str:
    """A unit as recordings know it (`m_s2`, `m/s^2` and `M/S2` are m/s2); any other stays as it is written."""
    from registry.inertial.recording_columns import KINDS, SPELLED

    low = written.lower().replace(" ", "")
    low = SPELLED.get(low, low)
    known = {unit.replace("/", "_"): unit for _, units in KINDS.values() for unit in units}
    return known.get(low.replace("/", "_"), written)


def _factor(header: str, name: str, unit: str | None, kind: str) -> float:
    if kind in ("number", "text"):
        return 1.0
    if unit is None:
        raise CannotCompute(
            f"The column “{header}” has no unit.", f"Name it {_example(name, kind)}, or with its own unit."
        )
    if kind == "value":
        return 1.0
    if unit not in _units(kind):
        told = f"The column “{header}” is in {unit}, which is no unit of {kind}."
        raise CannotCompute(told, f"Use one of {', '.join(_units(kind))}.")
    return _units(kind)[unit]


def _example(name: str, kind: str) -> str:
    if kind in ("number", "text"):
        return name
    return f"{name}_{'deg' if kind == 'value' else next(iter(_units(kind))).replace('/', '_')}"


def _cell(text: str, kind: str, factor: float, line: int) -> Any:
    text = text.strip()
    if not text:
        return None
    if kind == "text":
        return text
    try:
        return float(text) * factor
    except ValueError:
        raise CannotCompute(
            f"Line {line} cannot be read: {text[:40]!r} is no number.", "Use a decimal point."
        ) from None


def one_unit(table: Table, unit: str | None) -> str:
    """The unit of the values, which the headers name; refused when the call names another."""
    if unit and table.unit and unit != table.unit:
        raise CannotCompute(
            f"The call says {unit}; the headers say {table.unit}.", "Leave --unit out, or correct the headers."
        )
    return table.unit or unit or ""
