"""Contracts: what a vehicle is bound to demands of verification, from day to day."""

from typing import Annotated, Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import ContractRef, DayText, Line, VehicleRef, Words
from registry.domain.contracts import reasons_of_term
from registry.domain.people import May
from registry.domain.times import say, say_day
from registry.errors import Reason
from registry.models.contracts import contract_term

_open = select(contract_term.c.from_on, contract_term.c.until_on, contract_term.c.seq).where(
    contract_term.c.vehicle_id == bindparam("vehicle"),
    contract_term.c.reference == bindparam("reference"),
    contract_term.c.ended_at.is_(None),
    contract_term.c.voided_seq.is_(None),
)
_one = select(contract_term).where(contract_term.c.id == bindparam("term"))


class BindContract(Act, name="bind_contract", may=May.FLEET, pin=True, says="Bind a vehicle to a contract"):
    """What a contract demands of verification while the vehicle works under it. Beside the plan of its site, whichever is stricter holds."""

    vehicle: VehicleRef = Field(title="Vehicle")
    reference: Line = Field(title="Contract", description="Its number, and the clause.")
    from_on: DayText = Field(title="From", description="The first day it holds.")
    until_on: DayText | None = Field(None, title="Until", description="The last day. Empty: until it is ended.")
    overdue_stops: bool = Field(False, title="An overdue verification stops the vehicle")
    verification_months: Annotated[int, Field(ge=1, le=120)] | None = Field(
        None, title="A verification holds", description="Months, if it says so."
    )
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        vehicle_id = case.ids["vehicle"]
        reasons = reasons_of_term(self.from_on, self.until_on, self.overdue_stops, self.verification_months)
        if retired := seats.retired_words(case.db, case.at, {}, vehicle_id, "That vehicle"):
            reasons.append(Reason("retired", f"{retired[0]}.", "vehicle", "Look at the vehicle and at the time."))
        for row in case.db.execute(_open, {"vehicle": vehicle_id, "reference": self.reference}):
            if row.from_on <= (self.until_on or "9999-12-31") and self.from_on <= (row.until_on or "9999-12-31"):
                told = f"It is bound to {self.reference} already, since {say_day(row.from_on)}."
                reasons.append(Reason("already_known", told, "reference", "End that term first, or give other days."))
        return Decision(reasons)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {
            name: body[name] for name in ("reference", "from_on", "until_on", "overdue_stops", "verification_months")
        }
        row = {"id": entry.id, "vehicle_id": entry.ids["vehicle"], **told, "words": body["words"] or ""}
        return [Add("contract_term", {**row, **entry.moment("bound"), **no_moment("ended")})]


class EndContract(Act, name="end_contract", may=May.FLEET, pin=True, says="End a term of a contract"):
    """The vehicle works under it no more, before its last day or where none was set. What it stopped until then stays so."""

    contract: ContractRef = Field(title="Contract")
    reason: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        row: Any = case.db.execute(_one, {"term": case.ids["contract"]}).one()
        reasons = []
        if row.ended_at:
            told = f"It was ended on {say(row.ended_at)}."
            reasons.append(Reason("already_so", told, "contract", "There is nothing to end."))
        elif case.at <= row.bound_at:
            told = f"It was entered on {say(row.bound_at)}; it cannot be ended before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {**entry.moment("ended"), "end_reason": entry.body["reason"]}
        return [Close("contract_term", entry.ids["contract"], told)]
