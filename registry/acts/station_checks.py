"""The periodic check of a station: mat, bonds, field and ioniser, read by meters in date; it says until when it speaks."""

from typing import Annotated, Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.readings import (
    FieldStrength,
    Resistance,
    kept_meters,
    meters_named,
    reading_rows,
    readings_given,
    reasons_of_readings,
    told,
)
from registry.acts.shapes import FigureText, MeterRef, StationRef, Words, within
from registry.domain.calendar import months_later
from registry.domain.handling import JUDGED_BY, PERIODS, MeterUsed, ReadingsTaken, ReadingsVerdict, judge_check
from registry.domain.people import May
from registry.domain.plans import KeptPlan
from registry.models.plans import plan_at
from registry.models.sites import station

_station = select(station.c.kind, station.c.site_id).where(station.c.id == bindparam("station"))


class CheckStation(
    Act,
    name="check_station",
    may=May.RECEIVE | frozenset({"verifier"}),
    pin=True,
    happened=True,
    says="Check a station",
):
    """The check that a bench gets every few months and a field kit before it goes along. A fail keeps it out of use."""

    station: StationRef = Field(title="Station", description="Scan the station’s label.")
    surface_mohm: Resistance | None = Field(None, title="Mat or bench surface to ground", description="MΩ")
    surface_open: bool = Field(False, title="Open circuit")
    floor_mohm: Resistance | None = Field(
        None, title="Floor to ground", description="MΩ, where the floor grounds people"
    )
    floor_open: bool = Field(False, title="Open circuit")
    bond_mohm: Resistance | None = Field(None, title="Common point, clips and cords", description="MΩ")
    bond_open: bool = Field(False, title="Open circuit")
    field_kv_m: FieldStrength | None = Field(None, title="Field where units are handled", description="kV/m")
    ioniser_offset_v: Annotated[FigureText, within("-10000", "10000")] | None = Field(
        None, title="Ioniser offset", description="V, where there is one"
    )
    ioniser_decay_s: Annotated[FigureText, within("0", "1000")] | None = Field(
        None, title="Ioniser, 1,000 V to 100 V", description="s, the slower polarity"
    )
    looks_sound: bool = Field(False, title="Mat, cords, clips and bonds look sound")
    meters: Annotated[list[MeterRef], Field(max_length=6)] = Field(
        [], title="Meters", description="One a line: the name of each meter that took the readings."
    )
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        where = case.db.execute(_station, {"station": case.ids["station"]}).one()
        plan, meters = plan_at(case.db, where.site_id, case.at), meters_named(case)
        decided = {"kind": where.kind, "plan": plan.record(JUDGED_BY), "meters": kept_meters(meters)}
        body = self.model_dump()
        found = _judged(body, decided, case.at)
        good_to = months_later(case.at[:10], plan.count(PERIODS[where.kind])) if found.verdict == "pass" else None
        decided |= {"good_to_on": good_to, **told(found, meters)}
        return Decision(reasons_of_readings(body), decided, remarks=list(found.reasons))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {"id": entry.id, "station_id": entry.ids["station"], "words": entry.body["words"] or ""}
        row |= {name: entry.decided[name] for name in ("verdict", "good_to_on")}
        made = Add("station_check", {**row, **entry.moment("checked")})
        return [made, *reading_rows(entry, "station_reading", "station_check_id")]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        meters = tuple(MeterUsed(**one) for one in entry.decided["meters"])
        return told(_judged(entry.body, entry.decided, entry.at), meters)


def _judged(body: dict[str, Any], decided: dict[str, Any], at: str) -> ReadingsVerdict:
    taken = ReadingsTaken(
        kind=decided["kind"],
        plan=KeptPlan(kept=decided["plan"]),
        on=at[:10],
        readings=readings_given(body),
        meters=tuple(MeterUsed(**one) for one in decided["meters"]),
        looks_sound=body["looks_sound"],
    )
    return judge_check(taken)
