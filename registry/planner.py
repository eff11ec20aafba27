"""Plans of fewest openings: facts are read, then the program is solved outside every lock, in a process of its own and
within bounded time, so that no page waits for it.

`python -m registry.planner` is that process: it reads the hulls as JSON and prints what it found, and nothing else.
"""

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict
from typing import Any

import sqlalchemy as sa

from registry.acts.references import resolve
from registry.domain.fewest_openings import OpeningPlan, Outcome, Score, hulls_of, opening_plan, reasons_too_large
from registry.domain.opening_program import Answer, Hull, Shell, Way, fewest_openings, without
from registry.domain.sailings import Sailing, reasons_not_to_look
from registry.errors import Reason, Refused, refuse_if
from registry.models.database import Database
from registry.models.fleet import vehicle
from registry.models.seeks import EVER
from registry.queries.work_ahead import work_of_sailings

#: The plan itself may take this long, each of its three programs a third of it; fallbacks are worked out until then, too.
_PLAN_S, _ALL_S, _PATIENCE_S, _LIMIT_S = 12.0, 20.0, 10, 60
#: One at a time: of the server's two threads one always stays free for pages.
_AT_ONCE = threading.BoundedSemaphore(1)
_names = sa.select(vehicle.c.id, vehicle.c.name).where(vehicle.c.id.in_(sa.bindparam("vehicles", expanding=True)))


def looked_up(db: sa.Connection, named: Sequence[Sailing], at: str) -> list[Sailing]:
    """Sailings with the ids of their vehicles, from whatever names them. Raises `Refused` with every reason."""
    found = [(one, resolve(db, "vehicle", one.vehicle, at, "sailing")) for one in named]
    refuse_if(id_ for _one, id_ in found if isinstance(id_, Reason))
    sailings = [Sailing(str(id_), one.from_at, one.to_at, one.use) for one, id_ in found]
    names = {row.id: row.name for row in db.execute(_names, {"vehicles": [one.vehicle for one in sailings]})}
    refuse_if(reasons_not_to_look(sailings, names, at))
    return sailings


def planned(
    database: Database,
    named: Sequence[Sailing],
    at: str,
    known: int = EVER,
    *,
    accept_care: bool = False,
    apart: bool = True,
) -> OpeningPlan:
    """The plan for these sailings. `apart` solves it in a process of its own. Raises `Refused` with what to do."""
    with database.reading() as db:
        sailings = looked_up(db, named, at)
        refuse_if(_already_gone(sailings, at))
        work, assumed = work_of_sailings(db, sailings, at, known, accept_care=accept_care)
    hulls = hulls_of(work)
    refuse_if(reasons_too_large(hulls))
    outcome = _apart(hulls) if apart else worked_out(hulls)
    return opening_plan(work, outcome, assumed)


def _already_gone(sailings: Sequence[Sailing], at: str) -> list[Reason]:
    gone = [one for one in sailings if one.from_at <= at]
    told = f"{len(gone)} of these sailings began before the instant the plan is made for."
    return [Reason("wrong_form", told, "sailing", "Give the instant at which it will sail.")] if gone else []


def worked_out(hulls: Sequence[Hull], clock: Callable[[], float] = time.monotonic) -> Outcome:
    """The plan, then what each fallback costs, for as long as time lasts."""
    until = clock() + _ALL_S
    best = fewest_openings(hulls, _PLAN_S / 3)

    def score(others: Sequence[Hull]) -> Score | None:
        left = until - clock()
        if left <= 0:
            return None
        other = fewest_openings(others, left / 3)
        return other.score(others) if other.proved else None

    used = {
        hulls[n].bays[b][way].spare
        for n, ways in enumerate(best.ways)
        if ways is not None
        for b, way in enumerate(ways)
    }
    fit = [number for number, ways in enumerate(best.ways) if ways is not None]
    alone = {}
    for number, ways in enumerate(best.ways):
        if ways is None and not hulls[number].barred:
            found = score([hulls[number]])
            alone[number] = None if found is None else found[0] == 1
    spares = {spare: score(without(hulls, spare=spare)) for spare in sorted(one for one in used if one is not None)}
    others = {number: score(without(hulls, hull=number)) for number in fit} if len(fit) > 1 else {}
    return Outcome(best, spares, others, alone)


def _apart(hulls: Sequence[Hull]) -> Outcome:
    if not _AT_ONCE.acquire(timeout=_PATIENCE_S):
        raise Refused(Reason("busy", "Another plan is being worked out.", next="Ask again in a moment."))
    try:
        ended = subprocess.run(
            [sys.executable, "-m", "registry.planner"], input=json.dumps([asdict(hull) for hull in hulls]).encode(), capture_output=True,
            timeout=_LIMIT_S, env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        do = "Leave out the vehicles that sail last, and ask again."
        raise Refused(Reason("cannot_compute", "The plan could not be worked out in time.", "sailing", do)) from None
    finally:
        _AT_ONCE.release()
    if ended.returncode:
        raise RuntimeError(ended.stderr.decode(errors="replace"))
    return _outcome_of(json.loads(ended.stdout))


def _hull_of(told: dict[str, Any]) -> Hull:
    bays = tuple(tuple(Way(**way) for way in bay) for bay in told["bays"])
    return Hull(bays, tuple(Shell(**shell) for shell in told["shells"]), told["most_min"], told["barred"])


def _outcome_of(told: dict[str, Any]) -> Outcome:
    def scores(listed: list[Any]) -> dict[int, Score | None]:
        return {number: tuple(score) if score else None for number, score in listed}

    ways = tuple(None if one is None else tuple(one) for one in told["ways"])
    return Outcome(
        Answer(ways, told["proved"]), scores(told["without_spare"]), scores(told["without_hull"]), dict(told["alone"])
    )


def _main() -> None:
    found = worked_out([_hull_of(one) for one in json.load(sys.stdin)])
    told = {"ways": found.best.ways, "proved": found.best.proved}
    told |= {name: list(getattr(found, name).items()) for name in ("without_spare", "without_hull", "alone")}
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    _main()
