"""What goes with an entry of a mission or a crossing that is taken back, and what goes on because its end is."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.entry import Entry, no_moment
from registry.acts.missions import runs_of_vehicle
from registry.domain.missions import TOLD_BY, reasons_not_to_run
from registry.domain.times import say
from registry.errors import Reason
from registry.models.missions import mission_run
from registry.models.movement import crossing

CROSSINGS = ("plan_crossing", "end_crossing")
_run = select(mission_run).where(mission_run.c.mission_id == bindparam("mission"), mission_run.c.voided_seq.is_(None))
_crossing = select(crossing).where(crossing.c.id == bindparam("crossing"), crossing.c.voided_seq.is_(None))
_RUN = ("mission_id", "vehicle_id", "started_at", "started_offset_min")


@dataclass(slots=True)
class Voyages:
    """The runs and crossings that go, the runs that go on as begun, the vehicles they tell of, and what forbids it."""

    void: dict[str, list[Any]] = field(default_factory=dict)
    go_on: list[dict[str, Any]] = field(default_factory=list)
    vehicles: dict[str, str] = field(default_factory=dict)
    reasons: list[Reason] = field(default_factory=list)


def voyages_gone(db: sa.Connection, entries: Iterable[Entry]) -> Voyages:
    """What these entries had told of missions and crossings."""
    listed, found = list(entries), Voyages()
    for number, entry in enumerate(listed):
        if entry.act in TOLD_BY:
            _mission(db, found, listed, number)
        elif entry.act in CROSSINGS:
            _take_crossing(db, found, listed, number)
    return found


def mission_of(entry: Entry) -> str:
    return entry.ids.get("mission") or entry.id


def _mission(db: sa.Connection, found: Voyages, entries: list[Entry], number: int) -> None:
    entry = entries[number]
    mission = mission_of(entry)
    run = db.execute(_run, {"mission": mission}).mappings().first()
    if run is None:
        return
    found.vehicles[entry.id] = run["vehicle_id"]
    with_it = {one.act for one in entries if mission_of(one) == mission}
    if entry.act == "plan_mission" and "start_mission" not in with_it:
        _stays(
            found,
            number,
            f"It started on {say(run['started_at'])} (entry {run['seq']:,}).",
            "Take its start back in the same act.",
        )
    elif entry.act == "start_mission" and run["ended_at"] and "end_mission" not in with_it:
        _stays(
            found,
            number,
            f"It ended on {say(run['ended_at'])} (entry {run['closed_seq']:,}).",
            "Take its end back in the same act.",
        )
    elif entry.act != "record_distance":
        found.void.setdefault("mission_run", []).append(run)
    if entry.act == "end_mission" and "start_mission" not in with_it:
        again = {name: run[name] for name in _RUN} | no_moment("ended")
        found.go_on.append(again)
        others = [one for one in runs_of_vehicle(db, run["vehicle_id"]) if one.mission_id != mission]
        for one in reasons_not_to_run(None, others, run["started_at"], None):
            _stays(found, number, one.message, "Take that back as well, or amend the end instead.", one.code)


def _take_crossing(db: sa.Connection, found: Voyages, entries: list[Entry], number: int) -> None:
    entry = entries[number]
    id_ = entry.ids.get("crossing") or entry.id
    row = db.execute(_crossing, {"crossing": id_}).mappings().first()
    if row is None:
        return
    with_it = {one.act for one in entries if (one.ids.get("crossing") or one.id) == id_}
    if row["ended_at"] and not with_it >= set(CROSSINGS):
        if entry.act == "plan_crossing":
            told = f"What became of it was entered on {say(row['ended_at'])} (entry {row['closed_seq']:,})."
            _stays(found, number, told, "Take that back in the same act.")
        else:
            told = f"It was planned by entry {row['seq']:,}: what became of a crossing goes with its plan."
            _stays(found, number, told, "Take both back in one act, and enter the crossing anew.")
    found.void.setdefault("crossing", []).append(row)


def _stays(found: Voyages, number: int, told: str, do: str, code: str = "overlaps_history") -> None:
    found.reasons.append(Reason(code, told, f"acts.{number}", do))
