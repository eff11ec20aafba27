"""CSV and NPZ files or streams to arrays, a piece at a time, so that four hours at 200 Hz fit into little memory."""

import csv
import io
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import chain, islice
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from registry.inertial.limits import RecordingLimits
from registry.inertial.recording_columns import Column, read_headers
from registry.inertial.refusal import CannotCompute

#: Told after every piece: rows read so far, and the share of the file (None for a stream of unknown length).
Progress = Callable[[int, float | None], None]
Source = str | Path | IO[bytes] | IO[str]
ROWS_AT_ONCE = 50_000


class Raw:
    """Columns as they stand in the file, units not yet applied: arrays by quantity, and what was left unused."""

    __slots__ = ("arrays", "columns", "rate_hz", "unused")

    def __init__(self, arrays, columns: dict[str, Column], unused: tuple[str, ...], rate_hz: float | None = None):
        self.arrays: dict[str, NDArray[np.float64]] = arrays
        self.columns, self.unused, self.rate_hz = columns, unused, rate_hz


def read_raw(
    source: Source,
    wanted: tuple[str, ...],
    progress: Progress | None = None,
    limits: RecordingLimits = RecordingLimits(),
) -> Raw:
    """Read the `wanted` quantities that the file has, float64 (n,) each; the caller's stream stays open.

    Raises CannotCompute for an empty file, a row that cannot be read (with its number), and more rows than allowed.
    """
    with _opened(source) as (stream, size):
        if isinstance(stream, io.TextIOBase):
            return _read_csv(stream, size, wanted, progress, limits)
        buffered = stream if isinstance(stream, io.BufferedReader) else io.BufferedReader(_Readable(stream))
        if buffered.peek(2)[:2] == b"PK":
            # A zip is read from its end; a stream that cannot go there is held in memory first.
            return _read_npz(stream if _seekable(stream) else io.BytesIO(buffered.read()), wanted, progress, limits)
        text = io.TextIOWrapper(buffered, encoding="utf-8-sig", errors="replace", newline="")
        try:
            return _read_csv(text, size, wanted, progress, limits)
        finally:
            text.detach()


class _Readable(io.RawIOBase):
    """Any object with `read` as a raw stream, which does not close it."""

    def __init__(self, inner: Any):
        self._inner = inner

    def readable(self) -> bool:
        return True

    def readinto(self, buffer) -> int:
        piece = self._inner.read(len(buffer))
        buffer[: len(piece)] = piece
        return len(piece)


def _seekable(stream: Any) -> bool:
    if not (hasattr(stream, "seekable") and stream.seekable()):
        return False
    stream.seek(0)
    return True


@contextmanager
def _opened(source: Source) -> Iterator[tuple[Any, int | None]]:
    if isinstance(source, (str, Path)):
        path = Path(source)
        if not path.is_file():
            raise CannotCompute(f"There is no file {path.name}.", "Choose it again.")
        with path.open("rb") as stream:
            yield stream, path.stat().st_size
    else:
        yield source, None


def _read_csv(text, size: int | None, wanted, progress: Progress | None, limits: RecordingLimits) -> Raw:
    header, line_number = _header(text)
    delimiter = max(",;\t", key=header.count)
    columns, unused = read_headers(next(csv.reader([header], delimiter=delimiter)))
    used = [name for name in wanted if name in columns]
    if not used:
        raise CannotCompute("The header names no column that is known.", "Put names and units in the first line.")
    take = [columns[name].index for name in used]
    pieces, rows, characters = [], 0, len(header)
    while lines := list(islice(text, ROWS_AT_ONCE)):
        characters += sum(map(len, lines))
        _refuse_other_width(lines[0], header, delimiter, line_number + rows + 1)
        piece = _parse(lines, delimiter, take, line_number + rows)
        rows += len(piece)
        if rows > limits.most_rows:
            raise CannotCompute(f"The recording is longer than {limits.most_rows:,} rows.", "Cut it into parts.")
        pieces.append(piece)
        if progress:
            progress(rows, min(1.0, characters / size) if size else None)
    if not rows:
        raise CannotCompute("The recording holds a header and no rows.", "Record again.")
    arrays = {}
    for place, name in enumerate(used):
        arrays[name] = np.concatenate([piece[:, place] for piece in pieces])
    return Raw(arrays, columns, unused)


def _header(text) -> tuple[str, int]:
    """The first line that is neither empty nor a # remark, and how many lines were read."""
    for number, line in enumerate(text, 1):
        if line.strip() and not line.lstrip().startswith("#"):
            return line.rstrip("\r\n"), number
    raise CannotCompute("The recording is empty.", "Export it again.")


def _refuse_other_width(line: str, header: str, delimiter: str, line_number: int) -> None:
    """A row wider than the header is usually a decimal comma, and would be read as other numbers without a word."""
    cells, named = line.rstrip().rstrip(delimiter).count(delimiter), header.rstrip().rstrip(delimiter).count(delimiter)
    if cells > named:
        raise CannotCompute(
            f"Line {line_number} holds {cells + 1} cells; the header names {named + 1}.",
            "Write numbers with a decimal point, and name every column.",
        )


def _parse(lines: list[str], delimiter: str, take: list[int], before: int) -> NDArray[np.float64]:
    try:
        return np.loadtxt(lines, delimiter=delimiter, usecols=take, comments=None, ndmin=2)
    except ValueError:
        pass
    for offset, line in enumerate(lines, 1):
        try:
            cells = line.split(delimiter)
            [float(cells[index]) for index in take]
        except (ValueError, IndexError):
            # A file cut off in the middle of a row ends so; anything else is named too.
            raise CannotCompute(
                f"Line {before + offset} cannot be read: {line.strip()[:60]!r}.",
                "Write numbers with a decimal point, one row a sample, and no empty cells.",
            ) from None
    raise CannotCompute("The recording holds rows that cannot be read.", "Export it again.")


def _read_npz(stream, wanted, progress: Progress | None, limits: RecordingLimits) -> Raw:
    try:
        with np.load(stream, allow_pickle=False) as archive:
            for info in archive.zip.infolist():
                # Judged before unpacking: a few kilobytes can unpack to more than the machine has.
                if info.file_size > limits.most_rows * 8 * 3 + 4096:
                    raise CannotCompute(
                        f"{info.filename} is longer than {limits.most_rows:,} rows.", "Cut it in parts."
                    )
            names = _npz_names(archive)
            columns, unused = read_headers([header for header, _, _ in names])
            used = {name: names[columns[name].index] for name in wanted if name in columns}
            if not used:
                raise CannotCompute(
                    "The archive names no array that is known.", "Name arrays like gyro_deg_h, acc_m_s2."
                )
            arrays = _npz_arrays(archive, used, progress)
            rate = float(archive["rate_hz"]) if "rate_hz" in archive.files else None
    except (zipfile.BadZipFile, ValueError, OSError, EOFError) as broken:
        if isinstance(broken, CannotCompute):
            raise
        raise CannotCompute("The archive cannot be read: it is damaged or holds objects.", "Save it again.") from None
    return Raw(arrays, columns, unused, rate)


def _npz_names(archive) -> list[tuple[str, str, int | None]]:
    """(header, key, column): a (n, 3) array named like `gyro_deg_h` stands for its x, y and z."""
    names: list[tuple[str, str, int | None]] = []
    for key in archive.files:
        word = next((w for w in ("gyro", "gyr", "rate", "acc", "accel", "force") if key.startswith(f"{w}_")), None)
        rest = "" if word is None else key.removeprefix(f"{word}_")
        if word and rest[:2] not in ("x_", "y_", "z_") and rest not in ("x", "y", "z", "hz"):
            names += [(f"{word}_{axis}_{rest}", key, place) for place, axis in enumerate("xyz")]
        else:
            names.append((key, key, None))
    return names


def _npz_arrays(archive, used: dict, progress: Progress | None) -> dict[str, NDArray[np.float64]]:
    arrays, loaded = {}, {}
    for done, (name, (_, key, place)) in enumerate(used.items(), 1):
        if key not in loaded:
            loaded = {key: np.asarray(archive[key], dtype=float)}
        array = loaded[key]
        if array.ndim != (1 if place is None else 2) or (place is not None and array.shape[1] != 3):
            raise CannotCompute(
                f"The array {key} has shape {array.shape}.", "Save (n,) for one axis or (n, 3) for three."
            )
        arrays[name] = array if place is None else np.ascontiguousarray(array[:, place])
        if progress:
            progress(len(arrays[name]), done / len(used))
    if len({len(array) for array in chain(arrays.values())}) != 1:
        raise CannotCompute("The arrays are not of one length.", "Save them on one time base.")
    return arrays
