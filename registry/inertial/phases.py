"""A short recording in phases: what a unit felt or showed while its vehicle was held level, tilted, or turned.

A column `phase` names what was going on; rows without a name lie between phases and are not used. All other columns carry
their units in the header, as in every recording.
"""

import csv
import io
import zipfile
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from registry.inertial.recording_checks import sample_rate_hz
from registry.inertial.recording_columns import Column, need, read_headers
from registry.inertial.refusal import CannotCompute

Array = NDArray[np.float64]
#: Half an hour at 200 Hz: more is no short recording.
MOST_ROWS = 360_000
#: A mean of fewer seconds says little (P).
LEAST_SECONDS = 5.0
_BLOCKS = 5


@dataclass(frozen=True, slots=True)
class Phase:
    """One phase: quantity -> (n,) in the units used here, and how long it lasted."""

    name: str
    seconds: float
    arrays: dict[str, Array]

    def mean(self, quantity: str) -> float:
        return float(self.arrays[quantity].mean())

    def sigma(self, quantity: str) -> float:
        """Of the mean, from means of five stretches: neighbouring samples are not independent."""
        means = [part.mean() for part in np.array_split(self.arrays[quantity], _BLOCKS)]
        return float(np.std(means, ddof=1) / np.sqrt(_BLOCKS))

    def spread(self, quantity: str) -> float:
        return float(self.arrays[quantity].std())


def read_phases(path: Path, *quantities: str) -> tuple[dict[str, Phase], bool]:
    """Phases by name, in their order, and whether the unit’s rates are among the columns.

    `quantities` must be there besides time. Raises CannotCompute for a missing column or unit, an unreadable cell, a phase
    in two pieces, one too short, and a clock that steps back or has a gap within a phase.
    """
    names, arrays, columns = _read_npz(path) if zipfile.is_zipfile(path) else _read_csv(path)
    need(columns, "time", *quantities)
    for quantity, values in arrays.items():
        if not np.isfinite(values).all():
            raise CannotCompute(f"Row {int(np.flatnonzero(~np.isfinite(values))[0]) + 1} has no {quantity}.", "Cut it.")
    found: dict[str, Phase] = {}
    for name, group in groupby(range(len(names)), key=names.__getitem__):
        if not name:
            continue
        if name in found:
            raise CannotCompute(
                f"The phase “{name}” comes in two pieces.", "Name one of them otherwise, or leave it out."
            )
        found[name] = _phase(name, list(group), arrays)
    if not found:
        raise CannotCompute("No row names a phase.", "Fill in the column phase: level, bow_down, roll_right, turn.")
    return found, {"rate_x", "rate_y", "rate_z"} <= set(columns)


def _phase(name: str, rows: list[int], arrays: dict[str, Array]) -> Phase:
    piece = slice(rows[0], rows[-1] + 1)
    mine = {quantity: values[piece] for quantity, values in arrays.items()}
    try:
        rate_hz = sample_rate_hz(mine.pop("time"))
    except CannotCompute as cannot:
        raise CannotCompute(f"Phase “{name}”: {cannot.sentence}", cannot.next) from None
    seconds = len(rows) / rate_hz
    if seconds < LEAST_SECONDS or len(rows) < 2 * _BLOCKS:
        told = f"The phase “{name}” lasts {seconds:.1f} s with {len(rows)} rows."
        raise CannotCompute(told, f"Hold it for {LEAST_SECONDS:g} s or more, with ten rows at least.")
    return Phase(name, seconds, mine)


def _read_csv(path: Path) -> tuple[list[str], dict[str, Array], dict[str, Column]]:
    text = path.read_text(encoding="utf-8-sig", errors="replace")
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    if len(lines) < 2:
        raise CannotCompute("The recording is empty.", "Export it again.")
    if len(lines) > MOST_ROWS:
        raise CannotCompute(f"The recording is longer than {MOST_ROWS:,} rows.", "Keep the motions only.")
    delimiter = max(",;\t", key=lines[0].count)
    header, *rows = csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter)
    place = _phase_column(header)
    columns, _unused = read_headers([name if n != place else "" for n, name in enumerate(header)])
    for number, row in enumerate(rows, 1):
        if len(row) != len(header):
            raise CannotCompute(f"Row {number} has {len(row)} cells, the header {len(header)}.", "Export it again.")
    arrays = {name: _numbers(column, [row[column.index] for row in rows]) for name, column in columns.items()}
    return [row[place].strip().lower() for row in rows], arrays, columns


def _phase_column(header: list[str]) -> int:
    names = [name.strip().strip('"').lower() for name in header]
    if "phase" not in names:
        raise CannotCompute(
            "There is no column phase.", "Add one that says level, bow_down, roll_right or turn in each row."
        )
    return names.index("phase")


def _numbers(column: Column, cells: list[str]) -> Array:
    values = np.empty(len(cells))
    for number, cell in enumerate(cells):
        try:
            values[number] = float(cell)
        except ValueError:
            told = f"Row {number + 1}, “{column.header}”: “{cell[:20]}” is no number."
            raise CannotCompute(told, "Write decimals with a point, and leave no cell empty.") from None
    return values * column.factor


def _read_npz(path: Path) -> tuple[list[str], dict[str, Array], dict[str, Column]]:
    try:
        with np.load(path, allow_pickle=False) as archive:
            held: dict[str, Any] = {name: archive[name] for name in archive.files}
    except (ValueError, OSError, zipfile.BadZipFile):
        raise CannotCompute("The archive cannot be read: it is damaged or holds objects.", "Save it again.") from None
    header = list(held)
    place = _phase_column(header)
    columns, _unused = read_headers([name if n != place else "" for n, name in enumerate(header)])
    names = [str(name).strip().lower() for name in np.atleast_1d(held[header[place]])]
    if len(names) > MOST_ROWS:
        raise CannotCompute(f"The recording is longer than {MOST_ROWS:,} rows.", "Keep the motions only.")
    arrays = {}
    for name, column in columns.items():
        values = np.asarray(held[column.header], dtype=float) * column.factor
        if values.shape != (len(names),):
            raise CannotCompute(
                f"{column.header} has the shape {values.shape}; phase has {len(names)} rows.", "Save one row each."
            )
        arrays[name] = values
    return names, arrays, columns


@dataclass(frozen=True, slots=True)
class Attitude:
    """What a unit showed in one phase: mean roll and pitch with their sigmas and the larger of their spreads, and how far
    its heading went from the first to the last tenth, with the most it went back on the way."""

    motion: str
    seconds: float
    roll_deg: float
    roll_sigma_deg: float
    pitch_deg: float
    pitch_sigma_deg: float
    spread_deg: float
    turned_deg: float
    turned_sigma_deg: float
    back_deg: float


def shown_attitudes(path: Path) -> list[Attitude]:
    """What the unit showed in each phase of a recording of roll, pitch and heading. Raises CannotCompute as `read_phases`."""
    phases, _rates = read_phases(path, "roll", "pitch", "heading")
    return [_attitude(phase) for phase in phases.values()]


def _attitude(phase: Phase) -> Attitude:
    # Roll near 180° jumps to −180°: it is unwrapped first, and its mean brought back to ±180°.
    arrays = phase.arrays | {
        name: np.degrees(np.unwrap(np.radians(phase.arrays[name]))) for name in ("roll", "heading")
    }
    one = Phase(phase.name, phase.seconds, arrays)
    heading, tenth = arrays["heading"], max(1, len(arrays["heading"]) // 10)
    first, last = heading[:tenth], heading[-tenth:]
    turned = float(last.mean() - first.mean())
    way = heading if turned >= 0 else -heading
    return Attitude(
        phase.name, phase.seconds, (one.mean("roll") + 180) % 360 - 180, one.sigma("roll"), one.mean("pitch"), one.sigma("pitch"),
        max(one.spread("roll"), one.spread("pitch")), turned, float(np.hypot(first.std(), last.std()) / np.sqrt(tenth)),
        float((np.maximum.accumulate(way) - way).max()),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class FeltPose:
    """What a unit felt in one phase at a measured attitude: means in unit axes, and the largest spread of an axis. Rates are
    None when they were not recorded."""

    name: str
    seconds: float
    pitch_deg: float
    roll_deg: float
    force_m_s2: tuple[float, float, float]
    spread_m_s2: float
    rate_deg_s: tuple[float, float, float] | None


def felt_poses(path: Path) -> list[FeltPose]:
    """What the unit felt in each phase of a recording of specific force and the vehicle’s measured pitch and roll."""
    phases, rates = read_phases(path, "force_x", "force_y", "force_z", "pitch", "roll")
    return [_felt(phase, rates) for phase in phases.values()]


def _felt(phase: Phase, rates: bool) -> FeltPose:
    force = tuple(phase.mean(f"force_{axis}") for axis in "xyz")
    spread = max(phase.spread(f"force_{axis}") for axis in "xyz")
    rate = tuple(phase.mean(f"rate_{axis}") / 3600 for axis in "xyz") if rates else None
    return FeltPose(phase.name, phase.seconds, phase.mean("pitch"), phase.mean("roll"), force, spread, rate)  # type: ignore[arg-type]
