"""ESD sign-offs: a person's own readings at a station; the verdict is worked out, never typed in."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.authority import trainings_of
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
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
from registry.acts.shapes import (
    BlankRows,
    FigureText,
    HalfRef,
    Line,
    MeterRef,
    SignoffRef,
    StationRef,
    one_from,
    within,
)
from registry.acts.spells import reasons_not_to_end
from registry.domain.handling import (
    JUDGED_BY,
    Insulator,
    LastCheck,
    MeterUsed,
    ReadingsTaken,
    ReadingsVerdict,
    judge_signoff,
)
from registry.domain.people import May, reasons_not_trained
from registry.domain.plans import KeptPlan
from registry.domain.signoffs import good_to
from registry.errors import Reason
from registry.models.handling import esd_signoff, last_check
from registry.models.plans import plan_at
from registry.models.sites import station

_station = select(station.c.kind, station.c.site_id).where(station.c.id == bindparam("station"))
_live = select(esd_signoff.c.id, esd_signoff.c.station_id, esd_signoff.c.signed_at).where(
    esd_signoff.c.person_id == bindparam("person"), esd_signoff.c.ended_at.is_(None), esd_signoff.c.voided_seq.is_(None),
    esd_signoff.c.good_to_at > bindparam("at", type_=esd_signoff.c.good_to_at.type),
)  # fmt: skip
_one = select(esd_signoff.c.person_id, esd_signoff.c.signed_at, esd_signoff.c.ended_at, esd_signoff.c.seq).where(
    esd_signoff.c.id == bindparam("id")
)
WAYS_TO_END = {"left": "left the station", "changed": "changed or took off the strap"}


class InsulatorKept(BaseModel):
    """An insulator the work needs, measured where it is kept."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    what: Line = Field(title="What")
    potential_v: Annotated[FigureText, within("-100000", "100000")] = Field(title="Potential, V")
    distance_cm: Annotated[FigureText, within("0", "10000")] = Field(title="From the unit, cm")


class SignEsd(
    Act, name="sign_esd", may=May.INSTALL | frozenset({"verifier"}), pin=True, happened=True, says="Sign ESD readings"
):
    """Your own readings before a bag or a hull is opened. A fail is kept as a fail; take the readings again and sign."""

    station: StationRef = Field(title="Station", description="Scan the station’s label.")
    strap_mohm: Resistance | None = Field(None, title="Wrist strap", description="MΩ")
    strap_open: bool = Field(False, title="Open circuit")
    footwear_mohm: Resistance | None = Field(None, title="Person through footwear and floor", description="MΩ")
    footwear_open: bool = Field(False, title="Open circuit")
    garment_mohm: Resistance | None = Field(None, title="Person through the groundable garment", description="MΩ")
    garment_open: bool = Field(False, title="Open circuit")
    surface_mohm: Resistance | None = Field(None, title="Bench surface to ground", description="MΩ")
    surface_open: bool = Field(False, title="Open circuit")
    field_kv_m: FieldStrength | None = Field(None, title="Field at the unit", description="kV/m")
    bond_mohm: Resistance | None = Field(
        None, title="Person, mat, frame and unit to the common point", description="MΩ"
    )
    bond_open: bool = Field(False, title="Open circuit")
    insulators: Annotated[list[InsulatorKept], Field(max_length=20), BlankRows(2)] = Field(
        [], title="Insulators the work needs", description="In place of the field at the unit: each with its distance."
    )
    insulators_cleared: bool = Field(False, title="All other insulators are 30 cm away")
    gloves_on: bool = Field(False, title="Dissipative gloves are on")
    meters: Annotated[list[MeterRef], Field(max_length=6)] = Field(
        [], title="Meters", description="One a line: the name of each meter that took the readings."
    )
    air_c: Annotated[FigureText, within("-40", "60")] | None = Field(
        None, title="Air", description="°C. For information only."
    )
    humidity_pct: Annotated[FigureText, within("0", "100")] | None = Field(
        None, title="Relative humidity", description="%. For information only: it stands in for no reading."
    )
    exposed: Annotated[list[HalfRef], Field(max_length=20)] = Field(
        [], title="Halves that lie open here", description="One a line. If the readings fail, each is put on hold."
    )

    def decide(self, case: Case) -> Decision:
        where = case.db.execute(_station, {"station": case.ids["station"]}).one()
        plan, meters = plan_at(case.db, where.site_id, case.at), meters_named(case)
        check_id, check = last_check(case.db, case.ids["station"], case.at)
        decided = {
            "kind": where.kind, "plan": plan.record(JUDGED_BY), "meters": kept_meters(meters), "check_id": check_id,
            "check": check and {"verdict": check.verdict, "checked_on": check.checked_on, "good_to_on": check.good_to_on},
            "trained": not reasons_not_trained("you", "esd", trainings_of(case, case.by), case.at),
            "good_to_at": good_to(case.at, plan.count("signoff_holds_h")),
        }  # fmt: skip
        body = self.model_dump()
        found = _judged(body, decided, case.at)
        rows = case.db.execute(_live, {"person": case.by, "at": case.at}).all()
        decided["ends"] = [row.id for row in rows if row.signed_at < case.at]
        decided |= _told(found, meters)
        return Decision(reasons_of_readings(body), decided, remarks=_remarks(found, self.exposed))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        # Signing again, here or elsewhere, means that the earlier strap check no longer describes this person.
        ended = [
            Close("esd_signoff", id_, {**entry.moment("ended"), "end_reason": "signed again"})
            for id_ in decided["ends"]
        ]
        row = {
            "id": entry.id, "station_id": entry.ids["station"], "person_id": entry.by, **entry.moment("signed"),
            "station_check_id": decided["check_id"], "verdict": decided["verdict"], "good_to_at": decided["good_to_at"],
            "air_c": body["air_c"], "humidity_pct": body["humidity_pct"], **no_moment("ended"),
        }  # fmt: skip
        kept = [
            Add("esd_insulator", {"id": entry.derived(f"insulator:{number}"), "esd_signoff_id": entry.id, "number": number, **one, "far_enough": far})
            for number, (one, far) in enumerate(zip(body["insulators"], decided["far_enough"], strict=True), 1)
        ]  # fmt: skip
        return [
            *ended,
            Add("esd_signoff", row),
            *reading_rows(entry, "esd_reading", "esd_signoff_id"),
            *kept,
            *_holds(entry),
        ]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        meters = tuple(MeterUsed(**one) for one in entry.decided["meters"])
        return _told(_judged(entry.body, entry.decided, entry.at), meters)


class LeaveStation(Act, name="leave_station", may=May.INSTALL | frozenset({"verifier"}), says="Leave the station"):
    """Ends your own sign-off: you took the strap off, changed it, or left the place."""

    esd_signoff: SignoffRef = Field(title="ESD sign-off")
    why: one_from(WAYS_TO_END) = Field("left", title="Why")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"id": case.ids["esd_signoff"]}).one()
        reasons = []
        if row.person_id != case.by:
            reasons.append(
                Reason(
                    "own_work",
                    "That sign-off is another person’s; only they end it.",
                    "esd_signoff",
                    "Choose your own.",
                )
            )
        reasons += reasons_not_to_end(
            row.signed_at, row.ended_at, case.at, "esd_signoff", over="It ended at {}.",
            begun="It was signed at {}; it cannot end before.", nothing="There is nothing to end.",
        )  # fmt: skip
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Close(
                "esd_signoff",
                entry.ids["esd_signoff"],
                {**entry.moment("ended"), "end_reason": WAYS_TO_END[entry.body["why"]]},
            )
        ]


def _judged(body: dict[str, Any], decided: dict[str, Any], at: str) -> ReadingsVerdict:
    """The verdict of `domain.handling` on the fields of the act, by what was looked up for it."""
    return judge_signoff(
        ReadingsTaken(
            kind=decided["kind"],
            plan=KeptPlan(kept=decided["plan"]),
            on=at[:10],
            readings=readings_given(body),
            meters=tuple(MeterUsed(**one) for one in decided["meters"]),
            insulators=tuple(Insulator(**one) for one in body["insulators"]),
            insulators_cleared=body["insulators_cleared"],
            gloves_on=body["gloves_on"],
            check=LastCheck(**decided["check"]) if decided["check"] else None,
            trained=decided["trained"],
        )
    )


def _told(found: ReadingsVerdict, meters: tuple[MeterUsed, ...]) -> dict[str, Any]:
    return {**told(found, meters), "far_enough": list(found.insulators)}


def _remarks(found: ReadingsVerdict, exposed: list[str]) -> list[str]:
    """The reasons of the verdict, and what they mean for what lies open."""
    if found.verdict != "fail" or not exposed:
        return list(found.reasons)
    return [
        *found.reasons,
        "What lies open is on hold: hidden damage shows in no working test. It is not proof of any.",
    ]


def _holds(entry: Entry) -> list[Effect]:
    """Readings that fail put on hold what lay open while they were not met."""
    if entry.decided["verdict"] != "fail":
        return []
    why = f"Lay open when an ESD sign-off failed: {' '.join(entry.decided['reasons'])}"
    return [
        hold_row(entry, entry.derived(f"hold:{number}"), "half_id", half, "failed_signoff", why)
        for number, half in enumerate(dict.fromkeys(entry.ids.get("exposed") or []))
    ]
