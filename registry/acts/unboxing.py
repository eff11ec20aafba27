"""Unboxing: the seal, the bag, the inspection, the first power-up. Each step waits for what the one before it proved."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision, Deed
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.cartons import carton_facts, cartons_on_mat, mate_of
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Effect, Entry, no_moment
from registry.acts.references import resolve
from registry.acts.shapes import (
    CartonRef,
    FigureText,
    LabelText,
    Line,
    PairRef,
    Photos,
    SignoffRef,
    StationRef,
    Words,
    one_from,
    within,
)
from registry.acts.stays import signoff_in_order
from registry.domain.deliveries import (
    BAGS,
    FOLLOWS,
    LINE_STATES,
    OUTCOMES,
    STOPPING,
    WARMED_BY,
    Air,
    Carton,
    PowerUp,
    judge_power_up,
    reasons_not_to_inspect,
    reasons_not_to_open,
    reasons_not_to_unwrap,
    reasons_of_lines,
    reasons_too_cold,
)
from registry.domain.people import May
from registry.errors import Reason
from registry.models.pairings import pairing
from registry.models.plans import plan_at
from registry.models.sites import station
from registry.models.units import unit_type

_station = select(station.c.site_id, station.c.name).where(station.c.id == bindparam("station"))
_supply = (
    select(unit_type.c.supply_least_v, unit_type.c.supply_most_v)
    .join(pairing, pairing.c.unit_type_id == unit_type.c.id)
    .where(pairing.c.id == bindparam("pair"))
)
Celsius = Annotated[FigureText, within("-45", "60")]
Volts = Annotated[FigureText, within("0", "1000")]


class OpenCarton(Deed, name="open_carton", may=May.RECEIVE, says="Open a carton"):
    """Break the seal at a station. The carton is matched first: its half belongs to a pair by the papers, or comes alone."""

    carton: CartonRef = Field(title="Carton")
    station: StationRef = Field(title="Station", description="Scan the station’s label: the mat it is opened on.")
    alone: Words | None = Field(None, title="Why it comes alone", description="One half back from repair, say.")

    def decide(self, case: Case) -> Decision:
        known, _row = carton_facts(case.db, case.ids["carton"])
        place = case.db.execute(_station, {"station": case.ids["station"]}).one()
        mate = mate_of(case.db, known.half_id, case.at)
        on_mat = cartons_on_mat(case.db, case.ids["station"])
        reasons = reasons_not_to_open(known, mate, self.alone, on_mat, case.at)
        if place.site_id != known.site_id:
            told = f"{place.name} is at another site than the delivery."
            reasons.append(Reason("wrong_form", told, "station", "Scan the station you stand at."))
        return Decision(reasons, touched=known.seq, hold_on=_hold_on(known))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {"id": entry.id, "carton_id": entry.ids["carton"], "station_id": entry.ids["station"]}
        return [Add("carton_opening", {**row, "alone": entry.body["alone"] or "", **entry.moment("opened")})]


class OpenBag(Deed, name="open_bag", may=May.RECEIVE, pin=True, says="Open the bag"):
    """Only after your own passing sign-off, and only when the unit is warm: water condenses on cold fibre and boards."""

    carton: CartonRef = Field(title="Carton")
    surface_c: Celsius | None = Field(None, title="Surface of bag or unit", description="°C. Empty: nothing measured.")
    air_c: Celsius | None = Field(None, title="Air at the bench", description="°C")
    humidity_pct: Annotated[FigureText, within(above="0", most="100")] | None = Field(
        None, title="Relative humidity", description="%"
    )
    esd_signoff: SignoffRef | None = Field(None, title="ESD sign-off", description="Empty: your last one.")

    def decide(self, case: Case) -> Decision:
        known, _row = carton_facts(case.db, case.ids["carton"])
        reasons = reasons_not_to_unwrap(known, case.at)
        air = Air(self.surface_c, self.air_c, self.humidity_pct)
        missing = [name for name in ("surface_c", "air_c", "humidity_pct") if getattr(self, name) is None]
        if 0 < len(missing) < 3:
            told = "The dew point needs all three: surface, air and humidity."
            reasons.append(Reason("missing_field", told, missing[0], "Measure it, or leave all three empty."))
            return Decision(reasons, {"warmth": ""}, known.seq)
        plan = plan_at(case.db, known.site_id, case.at)
        cold, warmth = reasons_too_cold(known, air, case.at, plan)
        unsigned, signoff = signoff_in_order(case, known.site_id, case.ids.get("esd_signoff"))
        decided = {
            "warmth": warmth,
            "plan": plan.record(WARMED_BY),
            "signoff": signoff.id if signoff else None,
        }
        return Decision([*reasons, *cold, *unsigned], decided, known.seq, [warmth], _hold_on(known))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        read = {name: body[name] for name in ("surface_c", "air_c", "humidity_pct")}
        row = {"id": entry.id, "carton_id": entry.ids["carton"], "esd_signoff_id": decided["signoff"], **read}
        return [Add("bag_opening", {**row, "warmth": decided["warmth"], **entry.moment("opened")})]


class CheckedLine(BaseModel):
    """A line of the scope of delivery as it was found."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    item: Line = Field(title="What")
    quantity: Annotated[int, Field(ge=0, le=500)] = Field(1, title="Counted")
    state: one_from(LINE_STATES) = Field(title="Found")
    words: Line | None = Field(None, title="Why, or what was seen")


class InspectHalf(Act, name="inspect_half", may=May.RECEIVE, pin=True, happened=True, says="Inspect a half"):
    """Read the label on the part itself, look it over, count what came with it, and say what becomes of it."""

    carton: CartonRef = Field(title="Carton")
    label: LabelText = Field(title="Label on the part", description="Scan the part, not the carton.")
    bag: one_from(BAGS) = Field(title="Inner bag")
    lines: Annotated[list[CheckedLine], Field(max_length=60)] = Field([], title="What came with it")
    outcome: one_from(OUTCOMES) = Field(
        title="Outcome", description=" ".join(f"{OUTCOMES[k].capitalize()}: {FOLLOWS[k]}" for k in OUTCOMES)
    )
    words: Words | None = Field(
        None,
        title="What was seen",
        description="Connectors and caps, loose hardware, residue, bent pins, fibre bends, coil potting.",
    )

    files: Photos = Field([], title="Photos of what was seen")

    def decide(self, case: Case) -> Decision:
        known, row = carton_facts(case.db, case.ids["carton"])
        found = resolve(case.db, "half", self.label, case.at, "label", evidence=True)
        part = None if isinstance(found, Reason) else found
        own = seats.halves(case.db, [known.half_id] if known.half_id else [])
        name = own[known.half_id].say() if known.half_id else "no half"
        reasons = reasons_not_to_inspect(known, part, name, self.outcome, case.at)
        reasons += reasons_of_files(case, self.files)
        reasons += reasons_of_lines((line.item, line.state, line.words) for line in self.lines)
        if self.outcome != "accept" and not self.words:
            told = f"{OUTCOMES[self.outcome].capitalize()}, and no word why."
            reasons.append(Reason("needs_reason", told, "words", "Say what was seen."))
        mate = mate_of(case.db, known.half_id, case.at)
        differs = part != known.half_id
        decided = {
            "half": known.half_id,
            "agrees": not differs,
            # A half that is not what its carton says puts its partner in doubt, too.
            "holds": [id_ for id_ in (known.half_id, mate if differs else None) if id_ and self.outcome in STOPPING],
            "tripped": [name for name in ("shock", "tilt") if row[name] == "tripped"],
        }
        return Decision(reasons, decided, known.seq, [FOLLOWS[self.outcome]])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        told = {name: body[name] for name in ("label", "bag", "outcome")}
        row = {
            "id": entry.id,
            "carton_id": entry.ids["carton"],
            "half_id": decided["half"],
            "agrees": decided["agrees"],
        }
        made: list[Effect] = [
            Add("inspection", {**row, **told, "words": body["words"] or "", **entry.moment("inspected")})
        ]
        for number, line in enumerate(body["lines"], 1):
            line_row = {"id": entry.derived(f"line:{number}"), "inspection_id": entry.id, "number": number, **line}
            made.append(Add("inspection_line", {**line_row, "words": line["words"] or ""}))
        return [*made, *_what_follows(entry), *file_rows(entry, "half_id", decided["half"], "inspection")]


class RecordPowerUp(
    Act, name="record_power_up", may=May.RECEIVE, pin=True, happened=True, says="Enter a bench power-up"
):
    """The first power on the bench, both halves joined: isolated supply, current limit, second person, hands off."""

    pair: PairRef = Field(title="Pair", description="Scan one of its halves.")
    off_load_v: Volts = Field(title="Supply off load", description="V, before the unit is switched on")
    on_load_v: Volts = Field(title="Supply on load", description="V, at the unit")
    current_a: Annotated[FigureText, within("0", "100")] = Field(title="Current", description="A, settled")
    fault_mohm: Annotated[FigureText, within("0", "100000")] | None = Field(
        None, title="Supply line to frame, the lower", description="MΩ, by the bench meter, power off"
    )
    words: Words | None = Field(None, title="In your words", description="What it reported; where its log is kept.")

    def decide(self, case: Case) -> Decision:
        supply = case.db.execute(_supply, {"pair": case.ids["pair"]}).one()
        limits = {"least_v": supply.supply_least_v, "most_v": supply.supply_most_v}
        found = _judged(self.model_dump(), limits)
        return Decision([], {**found, **limits}, remarks=found["told"])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        read = {name: body[name] for name in ("off_load_v", "on_load_v", "current_a", "fault_mohm")}
        told = {name: decided[name] for name in ("least_v", "most_v", "verdict")}
        row = {"id": entry.id, "pairing_id": entry.ids["pair"], **read, **told, "words": body["words"] or ""}
        made: list[Effect] = [Add("power_up", {**row, **entry.moment("powered")})]
        if decided["verdict"] == "fail":
            why = f"Bench power-up failed: {' '.join(decided['told'])}"
            made.append(hold_row(entry, entry.derived("hold"), "pairing_id", entry.ids["pair"], "suspect", why))
        return made

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _judged(entry.body, entry.decided)


def _hold_on(carton: Carton) -> list[tuple[str, str]]:
    """What goes on hold when this was done out of order."""
    return [("half_id", carton.half_id)] if carton.half_id else []


def _judged(body: dict[str, Any], limits: dict[str, Any]) -> dict[str, Any]:
    names = ("off_load_v", "on_load_v", "current_a", "fault_mohm")
    found = judge_power_up(PowerUp(**{n: body[n] for n in names}, least_v=limits["least_v"], most_v=limits["most_v"]))
    return {"verdict": found.verdict, "told": list(found.told)}


def _what_follows(entry: Entry) -> list[Effect]:
    """A hold, a line in the fault diary, or a verification asked for, as the inspection came out."""
    body, decided, half = entry.body, entry.decided, entry.decided["half"]
    made: list[Effect] = []
    for number, subject in enumerate(decided["holds"]):
        why = f"Receiving inspection, {OUTCOMES[body['outcome']]}: {body['words']}"
        made.append(hold_row(entry, entry.derived(f"hold:{number}"), "half_id", subject, "suspect", why))
    if body["outcome"] == "accept_noted":
        row = {"id": entry.derived("fault"), "half_id": half, "words": body["words"], **entry.moment("noted")}
        made.append(Add("fault", row))
    if decided["tripped"]:
        words = f"{' and '.join(decided['tripped']).capitalize()} indicator tripped on its carton."
        knock = {"id": entry.derived("knock"), "vehicle_id": None, "half_id": half, "words": words}
        asked = {"id": entry.derived("recheck"), "knock_id": knock["id"], "half_id": half, "what": "verification"}
        nothing = {"pairing_id": None, "housing_id": None, **no_moment("answered")}
        made += [
            Add("knock", {**knock, **entry.moment("knocked")}),
            Add("recheck", {**asked, **nothing, **entry.moment("asked")}),
        ]
    return made
