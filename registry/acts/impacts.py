"""Impacts: something was found bad; what it was used for is frozen, counted anew when history is amended, and answered."""

from typing import Annotated, Any

import sqlalchemy as sa
from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.impact_rows import counted, impact_rows, kept, line_rows, vehicle_of_half, window_row
from registry.acts.shapes import (
    CalibrationRef,
    DayText,
    FigureText,
    HalfRef,
    HoldRef,
    ImpactLineRef,
    ImpactRef,
    MeterRef,
    PairRef,
    PersonRef,
    VerificationRef,
    Words,
    one_from,
    within,
    wrong,
)
from registry.domain.impacts import ANSWERS, reasons_not_to_answer, reasons_of_finding
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.calibrations import calibration
from registry.models.holds import hold
from registry.models.impact_lists import asked_of, counted_now, impact_row, live_lines
from registry.models.pairings import pairing
from registry.models.verifications import verification

_SUBJECT = {
    "pair": "pairing_id", "half": "half_id", "verification": "verification_id", "calibration": "calibration_id",
    "meter": "meter_id", "person": "person_id",
}  # fmt: skip
_of_verification = select(verification.c.pairing_id).where(verification.c.id == bindparam("id"))
_of_calibration = select(calibration.c.pairing_id).where(calibration.c.id == bindparam("id"))
_sensor = select(pairing.c.sensor_id).where(pairing.c.id == bindparam("id"))
_hold = select(hold.c.released_at, hold.c.placed_at, hold.c.seq).where(hold.c.id == bindparam("id"))
_Heading = Annotated[FigureText, within("-180", "180")]


class OpenImpact(Act, name="open_impact", may=May.ASSESS, pin=True, says="Open an impact"):
    """Something was found bad: what it was used for since its last good result is listed, and a named person answers each line."""

    pair: PairRef | None = Field(None, title="Pair found bad", description="Scan one of its halves.")
    half: HalfRef | None = Field(None, title="Half found bad")
    verification: VerificationRef | None = Field(None, title="Verification found bad")
    calibration: CalibrationRef | None = Field(None, title="Factory calibration found bad")
    meter: MeterRef | None = Field(None, title="Meter found bad")
    person: PersonRef | None = Field(None, title="Person whose work is in doubt")
    reason: Words = Field(title="What was found")
    heading_deg: _Heading | None = Field(
        None, title="Heading off by", description="Degrees, if anybody read it. It ranks the list and shortens nothing."
    )
    good_on: DayText | None = Field(
        None, title="Last day known good", description="Of a person only. Of all else the record says."
    )
    hold: HoldRef | None = Field(
        None, title="Hold it belongs to", description="Empty: a pair or half is put on hold, and the vehicle it is in."
    )

    @model_validator(mode="after")
    def _of_one_thing(self) -> "OpenImpact":
        if sum(getattr(self, name) is not None for name in _SUBJECT) != 1:
            raise wrong("One thing was found bad: a pair, a half, a verification, a calibration, a meter or a person.")
        return self

    def decide(self, case: Case) -> Decision:
        field = next(name for name in _SUBJECT if case.ids.get(name))
        reasons = reasons_of_finding(case.ids, self.good_on, self.heading_deg, case.at)
        reasons += _reasons_of_hold(case)
        if reasons:
            return Decision(reasons)
        found = counted(case, _SUBJECT[field], case.ids[field], self.good_on)
        lines = len(found["uses"])
        told = f"{found['window']['told']} {lines} {'line waits' if lines == 1 else 'lines wait'} for an answer."
        return Decision([], {"field": field, "impact": found, "holds": _holds(case, field)}, remarks=[told])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        given = entry.ids.get("hold")
        waiting = [given] if given else [entry.derived("hold:0")] if decided["holds"] else []
        told = {name: body[name] for name in ("reason", "good_on", "heading_deg")}
        made = [
            hold_row(entry, entry.derived(f"hold:{number}"), column, subject, "suspect", body["reason"])
            for number, (column, subject) in enumerate(decided["holds"])
        ]
        return [*made, *impact_rows(entry, entry.id, decided["impact"], entry.ids[decided["field"]], told, waiting)]


def _reasons_of_hold(case: Case) -> list[Reason]:
    if not case.ids.get("hold"):
        return []
    row: Any = case.db.execute(_hold, {"id": case.ids["hold"]}).one()
    if row.released_at is None:
        return []
    told = f"That hold was released on {say(row.released_at)}."
    return [Reason("already_so", told, "hold", "Leave it out: a new hold is placed.")]


def _holds(case: Case, field: str) -> list[list[str]]:
    """The item goes on hold at once, and so does the vehicle it sits in; a meter and a person are no hold’s matter."""
    if case.ids.get("hold") or field in ("meter", "person"):
        return []
    if field == "half":
        half, pair, item = case.ids["half"], None, ["half_id", case.ids["half"]]
    else:
        query = {"verification": _of_verification, "calibration": _of_calibration}.get(field)
        pair = case.ids["pair"] if query is None else case.db.execute(query, {"id": case.ids[field]}).scalar_one()
        half, item = case.db.execute(_sensor, {"id": pair}).scalar_one(), ["pairing_id", pair]
    vehicle = vehicle_of_half(case, half, pair)
    return [item, *([["vehicle_id", vehicle]] if vehicle else [])]


class CountImpact(Act, name="count_impact", may=May.ASSESS, says="Count an impact anew"):
    """History was amended: the list is worked out again. What it gains waits for an answer; what it drops stays to be seen."""

    impact: ImpactRef = Field(title="Impact")

    def decide(self, case: Case) -> Decision:
        row = impact_row(case.db, case.ids["impact"])
        now = counted_now(case.db, row["id"], case.now)
        reasons = _reasons_of_instant(case, row)
        if not now.added and not now.dropped:
            told = "As history stands now the list is what it was."
            reasons.append(Reason("already_so", told, "impact", "There is nothing to count."))
        return Decision(reasons, {**kept(now.window, list(now.added)), "dropped": list(now.dropped)})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        impact, decided = entry.ids["impact"], entry.decided
        dropped: list[Effect] = [Close("impact_line", id_, entry.moment("dropped")) for id_ in decided["dropped"]]
        return [window_row(entry, impact, decided["window"]), *line_rows(entry, impact, decided["uses"]), *dropped]


def _reasons_of_instant(case: Case, row: sa.RowMapping) -> list[Reason]:
    newest = max([row["found_at"], *(line["listed_at"] for line in live_lines(case.db, row["id"]))])
    if case.at > newest:
        return []
    told = f"It was counted at {say(newest)}; it cannot be counted anew before."
    return [Reason("overlaps_history", told, "happened_at", "Look at the day and time.")]


class AnswerImpact(Act, name="answer_impact", may=May.ASSESS, pin=True, says="Answer lines of an impact"):
    """In your name: not affected, usable with a stated uncertainty, or withdrawn. It is worked out in metres from heading and distance."""

    impact: ImpactRef = Field(title="Impact")
    lines: Annotated[list[ImpactLineRef], Field(min_length=1, max_length=200)] = Field(
        title="Lines", description="As the page of the impact gives them, one a line."
    )
    answer: one_from(ANSWERS, unset=True) = Field(title="Answer")
    heading_deg: _Heading | None = Field(
        None, title="Heading off by", description="Degrees, for what is usable with a stated uncertainty."
    )
    words: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        mine = {line["id"] for line in live_lines(case.db, case.ids["impact"])}
        asked = asked_of(case.db, case.ids["lines"])
        mine |= {line.id for line in asked if line.dropped}
        reasons = reasons_not_to_answer(asked, mine, self.answer, self.heading_deg, case.at)
        if reasons:
            return Decision(reasons)
        lines = [{"line": line.id, "kind": line.kind, "distance_km": line.distance_km} for line in asked]
        decided = {"asked": lines, **_priced(self.model_dump(), lines)}
        told = [one["said"] for one in decided["errors"] if one["said"]]
        return Decision([], decided, remarks=told)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        made: list[Effect] = []
        for number, (line, error) in enumerate(zip(entry.decided["asked"], entry.decided["errors"], strict=True), 1):
            body = {name: entry.body[name] for name in ("answer", "words")}
            figures = {
                "distance_km": line["distance_km"] if error["error_m"] else None,
                "heading_deg": error["heading_deg"],
            }
            figures |= {name: error[name] for name in ("error_m", "error_m_per_km")}
            named = {
                "id": entry.derived(f"answer:{number}"),
                "impact_line_id": line["line"],
                "answered_by_id": entry.by,
            }
            made.append(Add("impact_answer", {**named, **body, **figures, **entry.moment("answered")}))
        return made

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _priced(entry.body, entry.decided["asked"])


def _priced(body: dict[str, Any], lines: list[dict[str, Any]]) -> dict[str, Any]:
    """What the stated heading did over each line: metres of a mission, metres in each kilometre of an alignment."""
    from registry.inertial.look_back import cross_track_m

    errors = []
    for line in lines:
        one: dict[str, Any] = {"heading_deg": None, "error_m": None, "error_m_per_km": None, "said": ""}
        if body["answer"] == "usable" and body["heading_deg"] is not None:
            off = float(body["heading_deg"])
            if line["kind"] == "mission":
                metres = abs(cross_track_m(off, 1000 * float(line["distance_km"])))
                said = f"{metres:.1f} m across the track at the end of {line['distance_km']} km."
                one |= {"heading_deg": body["heading_deg"], "error_m": f"{metres:.3f}", "said": said}
            elif line["kind"] == "alignment":
                metres = abs(cross_track_m(off, 1000))
                said = f"{metres:.1f} m in each kilometre."
                one |= {"heading_deg": body["heading_deg"], "error_m_per_km": f"{metres:.3f}", "said": said}
        errors.append(one)
    return {"errors": errors}
