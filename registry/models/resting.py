"""How many mission days rest on the last scan of each bay: read alike by pages of vehicles, of pairs and of audits."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.freshness import days_resting
from registry.models.columns import Stamp
from registry.models.missions import mission_run
from registry.models.seeks import AT, ended_by, known
from registry.models.unconfirmed import proved_at


class Seat(NamedTuple):
    """A bay that holds a pair. `since` is the scan that proved it last; of one never scanned, when it was put there."""

    bay_id: str
    vehicle_id: str
    since: str


_ended = ended_by(mission_run, "ended_at")
#: Only runs that reach beyond the oldest scan asked about: one that was over by then rests on another.
_runs = select(mission_run.c.vehicle_id, mission_run.c.started_at, _ended.label("ended_at")).where(
    known(mission_run),
    mission_run.c.started_at <= AT,
    mission_run.c.vehicle_id.in_(bindparam("vehicles", expanding=True)),
    sa.or_(_ended.is_(None), _ended >= bindparam("since", type_=Stamp)),
)


def seat_of(row: Mapping[str, Any], bay_id: str) -> Seat | None:
    """The seat in a row of a bay with its newest stay; None when nothing sits there."""
    if row["installed_at"] is None or row["removed_at"] is not None:
        return None
    return Seat(bay_id, row["vehicle_id"], proved_at(row) or row["installed_at"])


def mission_days(db: sa.Connection, at: str, known_size: int, seats: Iterable[Seat | None]) -> dict[str, int]:
    """Bay id -> mission days since its last scan, of every bay that holds a pair. One statement, however many there are."""
    listed = [seat for seat in seats if seat]
    keys = {"at": at, "known": known_size, "vehicles": list({seat.vehicle_id for seat in listed})}
    runs: dict[str, list[tuple[str, str | None]]] = defaultdict(list)
    for row in db.execute(_runs, {**keys, "since": min((seat.since for seat in listed), default=at)}):
        runs[row.vehicle_id].append((row.started_at, row.ended_at))
    return {seat.bay_id: days_resting(runs[seat.vehicle_id], seat.since, at) for seat in listed}
