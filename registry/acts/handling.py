"""ESD sign-offs: a person's own readings at a station; the verdict is worked out, never typed in."""

from typing import Annotated, Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.authority import trainings_of
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import DayText, FigureText, HalfRef, Line, SignoffRef, StationRef, within
from registry.domain.handling import LIMITS, Reading, SignoffVerdict, good_to, judge_signoff
from registry.domain.people import May, reasons_not_trained
from registry.domain.times import say
from registry.errors import Reason
from registry.models.handling import esd_signoff
from registry.models.sites import station

_station = select(station.c.kind).where(station.c.id == bindparam("station"))
_live = select(esd_signoff.c.id, esd_signoff.c.station_id, esd_signoff.c.signed_at).where(
    esd_signoff.c.person_id == bindparam("person"), esd_signoff.c.ended_at.is_(None), esd_signoff.c.voided_seq.is_(None),
    esd_signoff.c.good_to_at > bindparam("at", type_=esd_signoff.c.good_to_at.type),
)  # fmt: skip
_one = select(esd_signoff.c.person_id, esd_signoff.c.signed_at, esd_signoff.c.ended_at, esd_signoff.c.seq).where(
    esd_signoff.c.id == bindparam("id")
)
Resistance = Annotated[FigureText, within("0", "1000000")]


class SignEsd(
    Act, name="sign_esd", may=May.INSTALL | frozenset({"verifier"}), pin=True, happened=True, says="Sign ESD readings"
):
    """Your own readings before a bag or a hull is opened. A fail is kept as a fail; take the readings again and sign."""

    station: StationRef = Field(title="Station", description="Scan the station’s label.")
    strap_mohm: Resistance | None = Field(None, title="Wrist strap", description="MΩ")
    strap_open: bool = Field(False, title="Open circuit")
    surface_mohm: Resistance | None = Field(None, title="Bench surface to ground", description="MΩ")
    surface_open: bool = Field(False, title="Open circuit")
    field_kv_m: Annotated[FigureText, within("0", "1000")] | None = Field(
        None, title="Field at the unit", description="kV/m"
    )
    bond_mohm: Resistance | None = Field(
        None, title="Person, mat, frame and unit to the common point", description="MΩ"
    )
    bond_open: bool = Field(False, title="Open circuit")
    insulators_cleared: bool = Field(False, title="Insulators are 30 cm away")
    meter: Line | None = Field(None, title="Meter", description="What stands on the strap tester.")
    meter_due_on: DayText | None = Field(None, title="Meter due on")
    exposed: Annotated[list[HalfRef], Field(max_length=20)] = Field(
        [], title="Halves that lie open here", description="One a line. If the readings fail, each is put on hold."
    )

    def decide(self, case: Case) -> Decision:
        kind = case.db.execute(_station, {"station": case.ids["station"]}).scalar_one()
        trained = not reasons_not_trained("you", "esd", trainings_of(case, case.by), case.at)
        found = judge(self.model_dump(), kind, case.at, trained)
        rows = case.db.execute(_live, {"person": case.by, "at": case.at}).all()
        reasons = []
        if self.strap_open and self.strap_mohm:
            reasons.append(
                Reason(
                    "wrong_form",
                    "A reading and an open circuit cannot both be.",
                    "strap_mohm",
                    "Clear the figure or the tick.",
                )
            )
        ends = [row.id for row in rows if row.signed_at < case.at]
        return Decision(
            reasons,
            {"kind": kind, "trained": trained, "ends": ends, **_told(found), "good_to_at": good_to(case.at)},
            remarks=_remarks(found, self.exposed),
        )

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        # Signing again, here or elsewhere, means that the earlier strap check no longer describes this person.
        ended = [
            Close("esd_signoff", id_, {**entry.moment("ended"), "end_reason": "signed again"})
            for id_ in decided["ends"]
        ]
        row = {
            "id": entry.id,
            "station_id": entry.ids["station"],
            "person_id": entry.by,
            **entry.moment("signed"),
            "verdict": decided["verdict"],
            "good_to_at": decided["good_to_at"],
            **no_moment("ended"),
        }
        readings = [_reading(entry, told, body) for told in decided["readings"]]
        return [*ended, Add("esd_signoff", row), *readings, *_holds(entry)]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _told(judge(entry.body, entry.decided["kind"], entry.at, entry.decided["trained"]))


class LeaveStation(Act, name="leave_station", may=May.INSTALL | frozenset({"verifier"}), says="Leave the station"):
    """Ends your own sign-off: you took the strap off, changed it, or left the place."""

    esd_signoff: SignoffRef = Field(title="ESD sign-off")

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
        if row.ended_at:
            reasons.append(
                Reason("already_so", f"It ended at {say(row.ended_at)}.", "esd_signoff", "There is nothing to end.")
            )
        elif row.signed_at >= case.at:
            reasons.append(
                Reason(
                    "overlaps_history",
                    f"It was signed at {say(row.signed_at)}; it cannot end before.",
                    "happened_at",
                    "Look at the day and time.",
                )
            )
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Close("esd_signoff", entry.ids["esd_signoff"], {**entry.moment("ended"), "end_reason": "left the station"})
        ]


def judge(body: dict[str, Any], kind: str, at: str, trained: bool) -> SignoffVerdict:
    """The verdict of `domain.handling` on the fields of the act."""
    readings = {}
    for name in LIMITS:
        open_circuit = bool(body.get(name.rsplit("_", 1)[0] + "_open"))
        if body.get(name) is not None or open_circuit:
            readings[name] = Reading(body.get(name), open_circuit)
    return judge_signoff(
        kind,
        readings,
        on=at[:10],
        meter=body["meter"],
        meter_due_on=body["meter_due_on"],
        cleared=body["insulators_cleared"],
        trained=trained,
    )


def _remarks(found: SignoffVerdict, exposed: list[str]) -> list[str]:
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


def _told(found: SignoffVerdict) -> dict[str, Any]:
    """What an entry keeps of a verdict: each reading with the limit that was in force."""
    readings = [
        {
            "quantity": j.quantity, "value": j.reading.value, "open_circuit": j.reading.open_circuit, "unit": j.limit.unit,
            "least": j.limit.least, "below": j.limit.below, "limit_source": j.limit.source, "verdict": j.verdict,
        }
        for j in found.readings
    ]  # fmt: skip
    return {"verdict": found.verdict, "reasons": list(found.reasons), "readings": readings}


def _reading(entry: Entry, told: dict[str, Any], body: dict[str, Any]) -> Add:
    row = {"id": entry.derived(f"reading:{told['quantity']}"), "esd_signoff_id": entry.id, **told}
    return Add("esd_reading", {**row, "meter": body["meter"], "meter_due_on": body["meter_due_on"]})
