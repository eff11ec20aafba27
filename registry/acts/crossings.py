"""Border crossings: planned, and what became of them. A reminder only: nothing is refused for what stands in them."""

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import CrossingRef, DayText, HalfRef, Line, PairRef, VehicleRef, When, Words, one_from, wrong
from registry.acts.spells import reasons_not_to_end
from registry.domain.crossings import NOT_STATED, OUTCOMES, REMINDER, Reference, flags
from registry.domain.people import May
from registry.models.movement import crossing
from registry.models.pairings import pairing
from registry.models.units import half, unit_type

_THINGS = ("vehicle", "pair", "half")
_of_half = (
    select(unit_type.c.export_classification, unit_type.c.maker)
    .join(half, half.c.unit_type_id == unit_type.c.id)
    .where(half.c.id == bindparam("thing"))
)
_of_pair = (
    select(unit_type.c.export_classification, unit_type.c.maker)
    .join(pairing, pairing.c.unit_type_id == unit_type.c.id)
    .where(pairing.c.id == bindparam("thing"))
)
_one = select(crossing.c.planned_at, crossing.c.ended_at, crossing.c.seq).where(crossing.c.id == bindparam("crossing"))


class PlanCrossing(Act, name="plan_crossing", may=May.MOVE, says="Plan a border crossing"):
    """What goes over which border, and which papers go along. Reminder only. Ask your export officer."""

    happened_at: When = Field(title="Planned at", description="UTC. Change it if you are entering this later.")
    vehicle: VehicleRef | None = Field(None, title="Vehicle")
    pair: PairRef | None = Field(None, title="Pair", description="Scan one of its halves.")
    half: HalfRef | None = Field(None, title="Half")
    from_country: Line = Field(title="From country")
    to_country: Line = Field(title="To country")
    crosses_on: DayText = Field(title="Crosses on")
    returns_on: DayText | None = Field(None, title="Returns on")
    classification: Line | None = Field(
        None,
        title="Stated classification",
        description="As somebody stated it. Empty: what stands with the unit type, else “not stated”.",
    )
    stated_by: Line | None = Field(None, title="Who stated it", description="A maker or an office; nobody’s own name.")
    stated_on: DayText | None = Field(None, title="Stated on")
    licence: Line | None = Field(None, title="Licence")
    licence_expires_on: DayText | None = Field(None, title="Licence expires on")
    carnet: Line | None = Field(None, title="Carnet", description="It covers duty; it is no licence.")
    carnet_expires_on: DayText | None = Field(None, title="Carnet expires on")
    words: Words | None = Field(None, title="In your words")

    @model_validator(mode="after")
    def _of_one_thing(self) -> "PlanCrossing":
        if sum(getattr(self, name) is not None for name in _THINGS) != 1:
            raise wrong("A crossing is of one thing: a vehicle, a pair or a half.")
        return self

    def decide(self, case: Case) -> Decision:
        row = None
        if (query := _of_half if self.half else _of_pair if self.pair else None) is not None:
            row = case.db.execute(query, {"thing": case.ids["half"] or case.ids["pair"]}).first()
        stated = self.classification or (row.export_classification if row else NOT_STATED)
        by = self.stated_by or (f"{row.maker}, with the unit type" if row and not self.classification else "")
        papers = (
            Reference("licence", self.licence, self.licence_expires_on),
            Reference("carnet", self.carnet, self.carnet_expires_on),
        )
        remarks = [*flags(stated, True, self.crosses_on, self.returns_on, papers), REMINDER]
        return Decision([], {"classification": stated, "stated_by": by}, remarks=remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, ids = entry.body, entry.ids
        things = {"vehicle_id": ids.get("vehicle"), "pairing_id": ids.get("pair"), "half_id": ids.get("half")}
        names = ("from_country", "to_country", "crosses_on", "returns_on", "stated_on", "licence", "licence_expires_on", "carnet", "carnet_expires_on")  # fmt: skip
        told = {name: body[name] for name in names} | entry.decided
        row = {"id": entry.id, **things, **told, "words": body["words"] or "", "outcome": None, "said": None}
        return [Add("crossing", {**row, **entry.moment("planned"), **no_moment("ended")})]


class EndCrossing(Act, name="end_crossing", may=May.MOVE, says="Say what became of a crossing"):
    """It crossed, or it will not. What was planned stays in the record."""

    crossing: CrossingRef = Field(title="Crossing")
    outcome: one_from(OUTCOMES, unset=True) = Field(title="What became of it")
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"crossing": case.ids["crossing"]}).one()
        reasons = reasons_not_to_end(
            row.planned_at, row.ended_at, case.at, "crossing", over="It ended on {}.", begun="It was planned at {}; it cannot end before.",
            nothing="There is nothing to enter.",
        )  # fmt: skip
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {**entry.moment("ended"), "outcome": entry.body["outcome"], "said": entry.body["words"] or ""}
        return [Close("crossing", entry.ids["crossing"], told)]
