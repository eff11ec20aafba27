"""Recordings of the bench: read and worked out before the lock, in a process of their own, so that no page waits.

What comes out is plain data (means, traces, Allan curves), which the entry keeps: the recording itself is an attached
file. `python -m registry.bench FILE` is that process; it prints JSON and nothing else.
"""

import json
import os
import subprocess
import sys
import threading
from collections import OrderedDict
from pathlib import Path
from typing import Any

from registry.errors import Reason, Refused

#: Points of a trace that is kept and drawn.
TRACE_POINTS = 60
#: Longest recording a page takes: three hours at 400 Hz. The shell's `pairbook compute static` takes longer ones.
MOST_ROWS = 4_500_000
_PATIENCE_S, _LIMIT_S, _MOST_BYTES = 20, 120, 3 * 1024**3
#: One at a time: of the server's two threads one always stays free for pages.
_AT_ONCE = threading.BoundedSemaphore(1)
#: What was worked out lately, by hash: a go / no-go, a wrong PIN and a second try cost nothing.
_LATELY: "OrderedDict[str, dict[str, Any]]" = OrderedDict()
_KEPT = 8


def worked_out(path: Path, sha256: str, *, apart: bool = True) -> dict[str, Any] | None:
    """What a recording of a resting unit shows; None when the file is not there. Raises `Refused` with what to do.

    `apart` runs it in a process of its own.
    """
    if not path.exists():
        return None
    if sha256 not in _LATELY:
        told = _apart(path) if apart else read_bench(path)
        if "cannot" in told:
            sentence, then = told["cannot"]
            raise Refused(Reason("cannot_compute", sentence, "files", then or None))
        _LATELY[sha256] = told
        while len(_LATELY) > _KEPT:
            _LATELY.popitem(last=False)
    return _LATELY[sha256]


def worked_out_here(path: Path, sha256: str) -> dict[str, Any] | None:
    """The same within this process, for tests and the demo."""
    return worked_out(path, sha256, apart=False)


def _apart(path: Path) -> dict[str, Any]:
    if not _AT_ONCE.acquire(timeout=_PATIENCE_S):
        raise Refused(
            Reason("busy", "Another recording is being worked out.", "files", "Send this one again in a moment.")
        )
    try:
        ended = subprocess.run(
            [sys.executable, "-m", "registry.bench", str(path)],
            capture_output=True,
            timeout=_LIMIT_S,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )
        return json.loads(ended.stdout)
    except (subprocess.TimeoutExpired, ValueError):
        told = "The recording could not be worked out: it takes more time or memory than a page may."
        do = "Cut it into parts, or look at it with `pairbook compute static`."
        raise Refused(Reason("cannot_compute", told, "files", do)) from None
    finally:
        _AT_ONCE.release()


def read_bench(path: Path) -> dict[str, Any]:
    """Summary, traces and the Allan curve of each gyro, as plain data; or `cannot`, with what is so and what to do."""
    from registry.inertial import CannotCompute, RecordingLimits, allan_deviation, as_record, read_static, read_terms

    try:
        record = read_static(path, limits=RecordingLimits(most_rows=MOST_ROWS))
        summary = as_record(record.summary())
        told: dict[str, Any] = {"summary": summary, "doubt": record.doubt, "trace": _trace(record), "allan": {}}
        for place, axis in enumerate("xyz"):
            curve = allan_deviation(record.rate_deg_h[:, place], record.rate_hz)
            told["allan"][axis] = {
                "curve": {
                    name: as_record(getattr(curve, name)) for name in ("tau_s", "deviation", "half_width", "method")
                },
                "terms": _terms(read_terms, curve),
            }
    except CannotCompute as cannot:
        return {"cannot": [cannot.sentence, cannot.next]}
    except MemoryError:
        return {"cannot": ["The recording takes more memory than a page may.", "Cut it into parts."]}
    return told


def _terms(read_terms: Any, curve: Any) -> dict[str, Any]:
    """Random walk and floor; for a curve that shows none, why."""
    from registry.inertial import CannotCompute, as_record

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


def _main(path: str) -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (_MOST_BYTES, _MOST_BYTES))
    sys.stdout.write(json.dumps(read_bench(Path(path))))


if __name__ == "__main__":
    _main(sys.argv[1])
