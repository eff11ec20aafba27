"""What a recording of a resting unit shows, as plain data to be kept and drawn: means, traces, Allan curves."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from registry.inertial.limits import RecordingLimits
from registry.inertial.records import as_record
from registry.inertial.refusal import CannotCompute

#: Points of a trace that is kept and drawn.
TRACE_POINTS = 60
#: Longest recording a page takes: three hours at 400 Hz. The shell's `pairbook compute static` takes longer ones.
MOST_ROWS = 4_500_000
#: Told how far it is: a share, or None while that is not known, and words.
Told = Callable[[float | None, str], None]
#: Share of the whole that reading takes, measured; each Allan curve takes a third of the rest.
_READING = 0.55


def read_bench(path: Path, told: Told = lambda share, words: None) -> dict[str, Any]:
    """Summary, traces and the Allan curve of each gyro. Raises CannotCompute as `read_static` does."""
    from registry.inertial.allan import allan_deviation
    from registry.inertial.allan_terms import read_terms
    from registry.inertial.recordings import read_static

    def reading(rows: int, share: float | None) -> None:
        told(None if share is None else _READING * share, f"{rows:,} rows read")

    record = read_static(path, reading, limits=RecordingLimits(most_rows=MOST_ROWS))
    found: dict[str, Any] = {"summary": as_record(record.summary()), "doubt": record.doubt, "trace": _trace(record)}
    found["allan"] = {}
    for place, axis in enumerate("xyz"):
        told(_READING + place * (1 - _READING) / 3, f"Allan deviation of gyro {axis}")
        curve = allan_deviation(record.rate_deg_h[:, place], record.rate_hz)
        names = ("tau_s", "deviation", "half_width", "method")
        kept = {name: as_record(getattr(curve, name)) for name in names}
        found["allan"][axis] = {"curve": kept, "terms": _terms(read_terms, curve)}
    return found


def _terms(read_terms: Any, curve: Any) -> dict[str, Any]:
    """Random walk and floor; for a curve that shows none, why."""
    try:
        terms = as_record(read_terms(curve))
    except CannotCompute as cannot:
        return {"verdict": cannot.sentence, "walk": None}
    terms.pop("limits")
    return terms


def _trace(record: Any) -> dict[str, Any]:
    """Means of equal stretches, for drawing: at most `TRACE_POINTS` of each axis."""
    import numpy as np

    parts = min(TRACE_POINTS, record.samples)
    means = {
        name: [[float(f"{value:.9g}") for value in part.mean(axis=0)] for part in np.array_split(values, parts)]
        for name, values in (("rate_deg_h", record.rate_deg_h), ("force_m_s2", record.force_m_s2))
    }
    return {"every_s": record.seconds / parts, **means}
