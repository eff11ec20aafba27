"""Missions: planned, started, ended with what was run, or entered whole afterwards."""

from typing import Annotated, Any, ClassVar

import sqlalchemy as sa
from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import FigureText, Line, MissionRef, VehicleRef, When, Words, one_from, within, wrong
from registry.domain.fleet import USES
from registry.domain.mission_speeds import reasons_of_speed
from registry.domain.missions import (
    AIDED,
    Run,
    reasons_not_to_end,
    reasons_not_to_run,
    reasons_of_data,
    reasons_of_distance,
)
from registry.domain.people import May
from registry.domain.sailing import reasons_to_say_why, say_against
from registry.domain.texts import quoted
from registry.domain.times import say, say_day, stamp, write_rfc3339
from registry.errors import Reason
from registry.models.amended_missions import as_it_holds, of_withdrawal
from registry.models.amendments import withdrawal
from registry.models.fleet import vehicle
from registry.models.missions import mission, mission_run
from registry.models.sailing import findings_to_sail
from registry.models.seeks import EVER
from registry.models.units import retirement

_runs = (
    select(mission_run.c.id, mission_run.c.mission_id, mission.c.reference, vehicle.c.name, mission_run.c.started_at, mission_run.c.ended_at, sa.func.coalesce(mission_run.c.closed_seq, mission_run.c.seq).label("seq"))
    .join(mission, mission.c.id == mission_run.c.mission_id)
    .join(vehicle, vehicle.c.id == mission_run.c.vehicle_id)
    .where(mission_run.c.voided_seq.is_(None), mission_run.c.vehicle_id == bindparam("vehicle"))
    .order_by(mission_run.c.started_at)
)  # fmt: skip
_one = (
    select(*as_it_holds, withdrawal.c.seq.label("withdrawn_seq"))
    .select_from(mission)
    .outerjoin(withdrawal, of_withdrawal)
    .where(mission.c.id == bindparam("mission"))
)
_same = (
    select(mission.c.seq, withdrawal.c.seq.label("withdrawn_seq"))
    .select_from(mission)
    .outerjoin(withdrawal, of_withdrawal)
    .where(mission.c.reference == bindparam("reference"))
)
_retired = select(retirement.c.retired_at).where(retirement.c.vehicle_id == bindparam("vehicle"))
Kilometres = Annotated[FigureText, within("0", "100000")]


class NamedMission(Act):
    """What every mission says, whether it is planned or entered whole."""

    vehicle: VehicleRef = Field(title="Vehicle")
    reference: Line = Field(title="Reference", description="As it stands on the papers of the mission.")
    area: Line = Field(title="Area")
    use: one_from(USES) = Field("transit", title="Use")
    words: Words | None = Field(None, title="In your words")

    def _reasons_of_name(self, case: Case) -> list[Reason]:
        row = case.db.execute(_same, {"reference": self.reference, "known": EVER}).first()
        if row is None:
            return []
        gone = (
            f" It was taken back by entry {row.withdrawn_seq:,}, and keeps its reference." if row.withdrawn_seq else ""
        )
        told = f"{quoted(self.reference)} is in the registry already (entry {row.seq:,}).{gone}"
        return [Reason("already_known", told, "reference", "Look at that mission, or look at the reference again.")]


class OfMission(Act):
    """An act on a mission that is there."""

    mission: MissionRef = Field(title="Mission")


class Ran(Act):
    """What a mission ran, as far as it decides what a heading that was off cost."""

    distance_km: Kilometres = Field(title="Distance run", description="Kilometres through the water or over ground.")
    aided_by: one_from(AIDED) = Field("dvl", title="Aided by")
    stretch_km: Kilometres | None = Field(
        None, title="Longest stretch without a fix", description="Kilometres; with position fixes on the way."
    )
    data_until: When | None = Field(None, title="Last line of data", description="UTC, by the clock of the unit.")
    data_words: Words | None = Field(
        None, title="Data after the end", description="Only if there are any: what they are."
    )

    def _reasons_of_run(self, started_at: str, ended_at: str | None, now: str) -> list[Reason]:
        found = reasons_of_distance(self.distance_km, self.aided_by, self.stretch_km)
        found += reasons_of_speed(self.distance_km, started_at, ended_at or now)
        until = stamp(self.data_until) if self.data_until else None
        return found + (reasons_of_data(ended_at, until, self.data_words) if ended_at else [])


class PlanMission(NamedMission, name="plan_mission", may=May.FLEET, says="Plan a mission"):
    """A vehicle is to go out: where, for what use, from when to when. Nothing has sailed by it."""

    ahead: ClassVar[frozenset[str]] = frozenset({"planned_from", "planned_to"})

    happened_at: When = Field(title="Planned at", description="UTC. Change it if you are entering this later.")
    planned_from: When = Field(title="Planned from")
    planned_to: When = Field(title="Planned to")

    @model_validator(mode="after")
    def _forwards(self) -> "PlanMission":
        if self.planned_to <= self.planned_from:
            raise wrong("A plan cannot end before it begins: look at both instants.")
        return self

    def decide(self, case: Case) -> Decision:
        return Decision(self._reasons_of_name(case) + reasons_of_life(case, case.ids["vehicle"], case.at))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        planned = entry.moment("planned_from", body["planned_from"]) | entry.moment("planned_to", body["planned_to"])
        return [_mission_row(entry, planned)]


class StartMission(OfMission, name="start_mission", may=May.MOVE, happened=True, says="Start a mission"):
    """The vehicle leaves. What stood against it at that instant is kept with the mission, whatever is put right later."""

    all_the_same: Words | None = Field(
        None, title="Why it sails all the same", description="Asked for when something stops it; else leave it empty."
    )

    def decide(self, case: Case) -> Decision:
        row, own, runs = mission_facts(case)
        reasons = reasons_of_life(case, row.vehicle_id, case.at) + reasons_of_withdrawal(row)
        reasons += reasons_not_to_run(own, runs, case.at, None)
        found = findings_to_sail(case.db, row.vehicle_id, case.at, case.at, row.planned_to_at, row.use)
        reasons += reasons_to_say_why(found, self.all_the_same, case.at, case.now)
        touched = max((one.seq for one in runs), default=row.seq)
        return Decision(reasons, {"vehicle": row.vehicle_id}, touched, say_against(found))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_run_row(entry, entry.ids["mission"], entry.decided["vehicle"], None)]


class EndMission(Ran, OfMission, name="end_mission", may=May.MOVE, happened=True, says="End a mission"):
    """The vehicle is back. How far it ran, and how it was aided, decides what a heading that was off cost."""

    def decide(self, case: Case) -> Decision:
        row, own, _runs = mission_facts(case)
        reasons = reasons_of_withdrawal(row) or reasons_not_to_end(row.reference, own, case.at)
        reasons += self._reasons_of_run(own.started_at if own else case.at, case.at, case.now)
        return Decision(reasons, {"run": _run_id(case, own)}, own.seq if own else row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        closed = Close("mission_run", entry.decided["run"], entry.moment("ended"))
        return [closed, _distance_row(entry, entry.ids["mission"])]


class RecordMission(Ran, NamedMission, name="record_mission", may=May.MOVE, happened=True, says="Enter a mission"):
    """A mission that is over, entered whole: from an earlier log, or from somebody else’s list."""

    ended_at: When = Field(title="Ended at")

    def decide(self, case: Case) -> Decision:
        until = stamp(self.ended_at)
        runs = runs_of_vehicle(case.db, case.ids["vehicle"])
        reasons = [*self._reasons_of_name(case), *reasons_of_life(case, case.ids["vehicle"], case.at)]
        if until <= case.at:
            told = f"It started at {say(case.at)}; it cannot have ended before."
            return Decision([*reasons, Reason("overlaps_history", told, "ended_at", "Look at both instants.")])
        reasons += reasons_not_to_run(None, runs, case.at, until) + self._reasons_of_run(case.at, until, case.now)
        return Decision(reasons, {"ended_at": write_rfc3339(self.ended_at)})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        run = _run_row(entry, entry.id, entry.ids["vehicle"], entry.decided["ended_at"])
        planned = no_moment("planned_from") | no_moment("planned_to")
        return [_mission_row(entry, planned), run, _distance_row(entry, entry.id)]


class RecordDistance(Ran, OfMission, name="record_distance", may=May.MOVE, says="Enter what a mission ran"):
    """Better known afterwards: the newest figures count, those before stay on record."""

    def decide(self, case: Case) -> Decision:
        row, own, _runs = mission_facts(case)
        reasons = self._reasons_of_run(own.started_at, own.ended_at, case.now) if own else []
        if row.withdrawn_seq:
            reasons += reasons_of_withdrawal(row)
        elif own is None:
            told = f"{row.reference} has not started."
            reasons.append(Reason("not_open", told, "mission", "Start it first."))
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_distance_row(entry, entry.ids["mission"])]


def mission_facts(case: Case) -> tuple[sa.Row, Run | None, list[Run]]:
    """The mission, its own run, and every run of its vehicle."""
    row: Any = case.db.execute(_one, {"mission": case.ids["mission"], "known": EVER}).one()
    runs = runs_of_vehicle(case.db, row.vehicle_id)
    return row, next((one for one in runs if one.mission_id == row.id), None), runs


def runs_of_vehicle(db: sa.Connection, vehicle_id: str) -> list[Run]:
    """Every run of a vehicle, in order."""
    return [Run(*row[1:]) for row in db.execute(_runs, {"vehicle": vehicle_id})]


def _run_id(case: Case, own: Run | None) -> str | None:
    if own is None:
        return None
    query = select(mission_run.c.id).where(
        mission_run.c.mission_id == own.mission_id, mission_run.c.voided_seq.is_(None)
    )
    return case.db.execute(query).scalar()


def reasons_of_withdrawal(row: sa.Row) -> list[Reason]:
    """Nothing more happens on a mission that was taken back."""
    if row.withdrawn_seq is None:
        return []
    told = f"{row.reference} was taken back by entry {row.withdrawn_seq:,}."
    return [Reason("not_open", told, "mission", "Look at the reference, or enter the mission under another.")]


def reasons_of_life(case: Case, vehicle_id: str, at: str) -> list[Reason]:
    retired = case.db.execute(_retired, {"vehicle": vehicle_id}).scalar()
    if retired is None or at < retired:
        return []
    told = f"That vehicle is retired since {say_day(retired)}."
    return [Reason("retired", told, "vehicle", "Choose another, or look at the day and time.")]


def _mission_row(entry: Entry, planned: dict[str, Any]) -> Add:
    told = {name: entry.body[name] for name in ("reference", "area", "use")}
    row = {"id": entry.id, "vehicle_id": entry.ids["vehicle"], "words": entry.body["words"] or "", **told, **planned}
    return Add("mission", row)


def _run_row(entry: Entry, mission_id: str, vehicle_id: str, ended: str | None) -> Add:
    end = entry.moment("ended", ended) if ended else no_moment("ended")
    row = {"id": entry.derived("run"), "mission_id": mission_id, "vehicle_id": vehicle_id}
    return Add("mission_run", {**row, **entry.moment("started"), **end})


def _distance_row(entry: Entry, mission_id: str) -> Add:
    body = entry.body
    told = {name: body[name] for name in ("distance_km", "aided_by", "stretch_km")}
    until = entry.moment("data_until", body["data_until"]) if body["data_until"] else no_moment("data_until")
    row = {"id": entry.derived("distance"), "mission_id": mission_id, "words": body["data_words"] or ""}
    return Add("mission_distance", {**row, **told, **until, **entry.moment("told")})
