"""Long work of acts in a process of its own, one at a time, so that no thread of the server is taken: a page starts it,
asks how far it is, and is answered.

What comes out is plain data, which the entry keeps. `python -m registry.apart` is that process: it reads what to work out
from its input, prints how far it is, and last what came of it, a line of JSON each.
"""

import json
import os
import subprocess
import sys
import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from registry.acts.long_work import LongWork, Told
from registry.acts.preparing import worked_out_here
from registry.errors import Reason, Refused

_LIMIT_S, _MOST_BYTES = 300, 3 * 1024**3
#: So many may wait for their turn; what is done is kept so long, that a wrong PIN or a second try costs nothing.
_MOST_WAITING, _KEPT = 8, 16
_ONE_AT_A_TIME = threading.Semaphore(1)
_GUARD = threading.Lock()
_JOBS: "OrderedDict[str, Job]" = OrderedDict()
_ENV = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
_TOO_MUCH = [
    "It could not be worked out: it takes more time or memory than a page may.",
    "Cut the recording into parts, or compute it with `pairbook compute`.",
]


class Job:
    """One piece of long work, begun or done. `share` and `words` say how far it is, `outcome` what came of it."""

    def __init__(self, command: list[str], told: str):
        self.share: float | None = None
        self.words = "waiting for its turn"
        self.outcome: dict[str, Any] | None = None
        self.kept = True
        self._command, self._sent = command, told
        self._done, self._then, self._lock = threading.Event(), list[Callable[[], None]](), threading.Lock()

    def wait(self, seconds: float | None) -> bool:
        """Whether it is done, after waiting for it so long at most."""
        return self._done.wait(seconds)

    def then(self, call: Callable[[], None]) -> None:
        """Call this once it is done, in its own thread; at once when it is done already."""
        with self._lock:
            if not self._done.is_set():
                self._then.append(call)
                return
        call()

    def run(self) -> None:
        with _ONE_AT_A_TIME:
            self.words = "begun"
            outcome = self._run_apart()
        with self._lock:
            self.outcome = outcome
            self._done.set()
        for call in self._then:
            call()

    def _run_apart(self) -> dict[str, Any]:
        last: dict[str, Any] = {}
        pipe, env = subprocess.PIPE, {**os.environ, **_ENV}
        with subprocess.Popen(self._command, stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL, env=env) as process:
            limit = threading.Timer(_LIMIT_S, process.kill)
            limit.start()
            try:
                assert process.stdin and process.stdout
                with process.stdin as to_it:
                    to_it.write(self._sent.encode())
                for line in process.stdout:
                    last = json.loads(line)
                    self.share, self.words = last.get("share"), last.get("words", self.words)
            except (OSError, ValueError):
                last = {}  # It ended before it had heard, or in the middle of a line.
            finally:
                limit.cancel()
                process.kill()
        if "worked_out" in last or "cannot" in last:
            return last
        self.kept = False  # The machine may have more time to spare next time.
        return {"cannot": _TOO_MUCH}


def started(work: LongWork, path_of: Callable[[str], Path]) -> Job:
    """The job of this work: the one that runs or is done, else a new one. Raises `Refused` when too many wait."""
    with _GUARD:
        job = _JOBS.get(work.key)
        if job and (job.kept or not job.wait(0)):
            _JOBS.move_to_end(work.key)
            return job
        if sum(not one.wait(0) for one in _JOBS.values()) >= _MOST_WAITING:
            told = f"{_MOST_WAITING} other recordings wait to be worked out."
            raise Refused(Reason("busy", told, "files", "Send this one again in a moment."))
        paths = {sha256: str(path_of(sha256)) for sha256 in work.files}
        job = _JOBS[work.key] = Job(
            [sys.executable, "-m", "registry.apart"], json.dumps({"work": work, "paths": paths})
        )
        for key in [key for key, one in _JOBS.items() if one.wait(0)][: max(0, len(_JOBS) - _KEPT)]:
            del _JOBS[key]
    threading.Thread(target=job.run, name="apart", daemon=True).start()
    return job


def waited_for(job: Job, told: Told | None) -> dict[str, Any]:
    """What came of it, however long it takes; `told` hears how far it is."""
    while not job.wait(0.3):
        if told:
            told(job.share, job.words)
    assert job.outcome is not None
    return job.outcome


def _main() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (_MOST_BYTES, _MOST_BYTES))
    sent = json.loads(sys.stdin.read())

    def told(share: float | None, words: str) -> None:
        print(json.dumps({"share": share, "words": words}), flush=True)

    try:
        outcome = worked_out_here(LongWork(*sent["work"]), lambda sha256: Path(sent["paths"][sha256]), told)
    except MemoryError:
        outcome = {"cannot": _TOO_MUCH}
    print(json.dumps(outcome), flush=True)


if __name__ == "__main__":
    _main()
