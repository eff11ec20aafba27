"""Named acceptance of a finding that is `care`: who takes it on, for a voyage or until a day. What stops is cleared."""

from typing import Annotated, Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import AcceptanceRef, DayText, Line, VehicleRef, Words, one_from, wrong
from registry.domain.acceptances import Accepting, reasons_not_in_time, reasons_not_to_accept, reasons_not_to_withdraw
from registry.domain.fit import findings
from registry.domain.fit_use import ASKED
from registry.domain.people import May
from registry.domain.voyages import Voyage, read_voyage
from registry.errors import Reason
from registry.models.acceptances import acceptance
from registry.models.amendments import doer
from registry.models.fit import facts_at
from registry.models.log import log_entry
from registry.models.seeks import EVER

#: Who is behind an entry: as it was entered, and whoever did it as amended.
_behind = select(
    log_entry.c.by_id, log_entry.c.done_by_id, log_entry.c.second_id, doer(log_entry.c.act_id, log_entry.c.done_by_id)
).where(log_entry.c.seq == bindparam("seq", type_=log_entry.c.seq.type))
_one = select(acceptance).where(acceptance.c.id == bindparam("id"))


class AcceptFinding(Act, name="accept_finding", may=May.ACCEPT, pin=True, says="Accept a finding by name"):
    """What is care may sail in your name, for one voyage or until a day. It ends by itself when the fact under it changes. What stops is never accepted."""

    vehicle: VehicleRef = Field(title="Vehicle")
    bay: Line | None = Field(None, title="Bay", description="Its letter; empty when it is about the whole vehicle.")
    finding: Line = Field(title="Finding", description="Its code, as the button beside the finding fills it in.")
    use: one_from(ASKED) | None = Field(
        None, title="Judged for", description="Only when it was judged for a use that is not the bay’s own."
    )
    evidence: Annotated[int, Field(ge=1, lt=2**53)] = Field(title="Evidence", description="The entry it rests on.")
    from_on: DayText | None = Field(
        None, title="Voyage from", description="Empty: it holds from now on, whatever the vehicle does."
    )
    to_on: DayText = Field(title="Until", description="Last day of the voyage, or the day until which it holds.")
    reason: Words = Field(title="Why it may sail so")

    @model_validator(mode="after")
    def _in_order(self) -> "AcceptFinding":
        if self.from_on and self.from_on > self.to_on:
            raise wrong("A voyage cannot end before it begins. Look at the days.")
        return self

    def decide(self, case: Case) -> Decision:
        vehicle = case.ids["vehicle"]
        read = facts_at(case.db, case.at, only=[vehicle], voyage=self._voyage(), use=self.use)
        if not read:
            told = "That vehicle is nowhere on record at that time."
            return Decision([Reason("no_such_finding", told, "vehicle", "Look at the day and time.")])
        facts = read[0].facts
        named = tuple(one for one in findings(facts) if (one.code, one.bay) == (self.finding, self.bay))
        behind = case.db.execute(_behind, {"seq": self.evidence, "known": EVER}).first()
        worked = frozenset(person for person in behind or () if person)
        reasons = reasons_not_to_accept(Accepting(facts.name, named, self.evidence, worked), case.by)
        reasons += reasons_not_in_time(case.at, self.to_on)
        fact = next((one.fact for one in named if one.seq == self.evidence), "")
        return Decision(reasons, {"fact": fact})

    def _voyage(self) -> Voyage | None:
        return read_voyage(self.from_on, self.to_on) if self.from_on else None

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {name: body[name] for name in ("bay", "finding", "use", "reason", "from_on", "to_on")}
        row = {"id": entry.id, "vehicle_id": entry.ids["vehicle"], "evidence_seq": body["evidence"], **told}
        row |= {"fact": entry.decided["fact"], "accepted_by_id": entry.by}
        return [Add("acceptance", {**row, **entry.moment("accepted"), **no_moment("withdrawn")})]


class WithdrawAcceptance(Act, name="withdraw_acceptance", may=May.ACCEPT, pin=True, says="Withdraw an acceptance"):
    """What was accepted by name is accepted no longer, from now on; the finding stands again as it did."""

    acceptance: AcceptanceRef = Field(title="Acceptance")
    reason: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        row: Any = case.db.execute(_one, {"id": case.ids["acceptance"]}).one()
        reasons = reasons_not_to_withdraw(row.accepted_at, row.withdrawn_at, case.at)
        return Decision(reasons, {"vehicle": row.vehicle_id}, touched=row.closed_seq or row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {"withdrawn_by_id": entry.by, "why_withdrawn": entry.body["reason"]}
        return [Close("acceptance", entry.ids["acceptance"], {**entry.moment("withdrawn"), **told})]
