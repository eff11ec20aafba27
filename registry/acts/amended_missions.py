"""Amending a mission: it sailed at other times, or in another vehicle, than was entered, or was planned otherwise."""

from typing import Any, ClassVar

import sqlalchemy as sa
from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Case, Decision
from registry.acts.entry import Add, Effect, Entry, Void, no_moment
from registry.acts.missions import OfMission, mission_facts, reasons_of_life, reasons_of_withdrawal, runs_of_vehicle
from registry.acts.shapes import VehicleRef, When, Words, wrong
from registry.domain.mission_speeds import reasons_of_speed
from registry.domain.missions import INSTANTS, PARTS, reasons_not_to_resail, reasons_of_data
from registry.domain.people import May
from registry.domain.times import offset_min, stamp, write_rfc3339
from registry.errors import Offer, Reason
from registry.models.amended_missions import told_by_act
from registry.models.impacts import impact_line
from registry.models.missions import mission_distance, mission_run
from registry.models.seeks import EVER

_run = select(mission_run).where(mission_run.c.mission_id == bindparam("mission"), mission_run.c.voided_seq.is_(None))
_data = (
    select(mission_distance.c.data_until_at, mission_distance.c.words, mission_distance.c.distance_km)
    .where(mission_distance.c.mission_id == bindparam("mission"), told_by_act())
    .order_by(mission_distance.c.told_at.desc(), mission_distance.c.seq.desc())
    .limit(1)
)
_impacts = select(sa.func.count(impact_line.c.impact_id.distinct())).where(
    impact_line.c.mission_id == bindparam("mission"), impact_line.c.dropped_at.is_(None)
)
_RUN = ("started_at", "started_offset_min", "ended_at", "ended_offset_min")


class AmendMission(OfMission, name="amend_mission", may=May.AMEND, pin=True, says="Amend a mission"):
    """It sailed at other times, or in another vehicle, than was entered, or was planned otherwise. Fill in what was wrong; the first version stays in the record."""

    ahead: ClassVar[frozenset[str]] = frozenset({"planned_from", "planned_to"})

    vehicle: VehicleRef | None = Field(None, title="Vehicle it really was")
    planned_from: When | None = Field(None, title="Planned from")
    planned_to: When | None = Field(None, title="Planned to")
    started: When | None = Field(None, title="Started", description="As it really was.")
    ended: When | None = Field(None, title="Ended", description="As it really was.")
    why: Words = Field(title="Why")

    @model_validator(mode="after")
    def _something(self) -> "AmendMission":
        if all(getattr(self, part) is None for part in PARTS):
            raise wrong("Say what was wrong: the vehicle, a planned time, the start or the end.")
        return self

    def decide(self, case: Case) -> Decision:
        row, own, _runs = mission_facts(case)
        found = case.db.execute(_run, {"mission": row.id}).mappings().first()
        stood = {"vehicle_id": row.vehicle_id, **{name: getattr(row, name) for name in _PLANNED}, **_run_of(found)}
        now = stood | self._told(case)
        reasons = reasons_of_withdrawal(row) or self._reasons_of_parts(stood, now)
        if not reasons:
            others = [
                one for one in runs_of_vehicle(case.db, now["vehicle_id"]) if own is None or one.mission_id != row.id
            ]
            reasons = reasons_not_to_resail(row.reference, now, others)
            reasons += reasons_of_life(case, now["vehicle_id"], now["started_at"] or case.at)
            reasons += self._reasons_of_data(case, row.id, now["started_at"], now["ended_at"])
        run = {"vehicle_id": now["vehicle_id"], **{name: now[name] for name in _RUN}}
        decided = {
            "void": found["id"] if found else None,
            "run": run if found else None,
            "changes": _changes(stood, now),
        }
        touched = max(row.seq, found["seq"] if found else 0, (found["closed_seq"] or 0) if found else 0)
        return Decision(reasons, decided, touched, self._remarks(case, row.id))

    def _told(self, case: Case) -> dict[str, Any]:
        told: dict[str, Any] = {"vehicle_id": case.ids["vehicle"]} if self.vehicle else {}
        for part in INSTANTS:
            if (when := getattr(self, part)) is not None:
                told |= {f"{part}_at": stamp(when), f"{part}_offset_min": offset_min(write_rfc3339(when))}
        return told

    def _reasons_of_parts(self, stood: dict[str, Any], now: dict[str, Any]) -> list[Reason]:
        """What was never told cannot be amended, and what is told again as it stands amends nothing."""
        reasons = []
        for part in INSTANTS:
            if getattr(self, part) is not None and stood[f"{part}_at"] is None:
                told = f"Nobody has entered yet when it {PARTS[part]}: there is nothing to amend."
                reasons.append(Reason("nothing_to_amend", told, part, "Leave it empty."))
        if not reasons and not _changes(stood, now):
            told = "That is what stands in the record."
            reasons.append(Reason("already_so", told, "mission", "There is nothing to amend."))
        return reasons

    def _reasons_of_data(self, case: Case, mission: str, started_at: str | None, ended_at: str | None) -> list[Reason]:
        row: Any = case.db.execute(_data, {"mission": mission, "known": EVER}).first()
        if row is None or started_at is None or ended_at is None or not (self.started or self.ended):
            return []
        field = "ended" if self.ended else "started"
        if faster := reasons_of_speed(row.distance_km, started_at, ended_at, field):
            return faster
        if self.ended is None:
            return []
        offer = Offer("record_distance", "Enter what it ran", {"mission": mission})
        do = "Look at both times; if both are right, first enter what it ran once more, and say what those data are."
        asked = reasons_of_data(ended_at, row.data_until_at, row.words)
        return [Reason(one.code, one.message, "ended", do, offer) for one in asked]

    def _remarks(self, case: Case, mission: str) -> list[str]:
        listed = case.db.execute(_impacts, {"mission": mission}).scalar() or 0
        if not listed:
            return []
        return [
            f"It stands on the list of {listed} {'impact' if listed == 1 else 'impacts'}: count {'it' if listed == 1 else 'them'} anew."
        ]

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        decided, mission = entry.decided, entry.ids["mission"]
        made: list[Effect] = []
        if decided["run"]:
            again = {"id": entry.derived("run"), "mission_id": mission, **decided["run"]}
            made = [Void("mission_run", decided["void"]), Add("mission_run", again)]
        for number, change in enumerate(decided["changes"]):
            row = {"id": entry.id if number == 0 else entry.derived(f"amended:{number}"), "mission_id": mission}
            made.append(Add("amended_mission", {**row, **change, "why": entry.body["why"]}))
        return made


_PLANNED = tuple(f"{part}_{kind}" for part in ("planned_from", "planned_to") for kind in ("at", "offset_min"))


def _run_of(found: Any) -> dict[str, Any]:
    return {name: found[name] if found else None for name in _RUN}


def _changes(stood: dict[str, Any], now: dict[str, Any]) -> list[dict[str, Any]]:
    """A row for each part that differs, with what was entered and what holds."""
    changes: list[dict[str, Any]] = []
    for part in PARTS:
        key = "vehicle_id" if part == "vehicle" else f"{part}_at"
        if stood[key] == now[key]:
            continue
        row = {"part": part, "was_vehicle_id": None, "now_vehicle_id": None, **no_moment("was"), **no_moment("now")}
        if part == "vehicle":
            row |= {"was_vehicle_id": stood[key], "now_vehicle_id": now[key]}
        else:
            for version, state in (("was", stood), ("now", now)):
                row |= {f"{version}_{kind}": state[f"{part}_{kind}"] for kind in ("at", "offset_min")}
        changes.append(row)
    return changes
