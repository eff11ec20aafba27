"""Intervals of verification: proposed by rule, approved by a named person; and readings of hour counters."""

from typing import Annotated, Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import FigureText, PairRef, Words, within
from registry.acts.verifying import pair_row, reasons_of_pair
from registry.domain.people import May
from registry.domain.times import say
from registry.domain.verifications import reasons_not_to_lengthen
from registry.errors import Reason
from registry.models.due import days_in_force, dues
from registry.models.own_numbers import own_numbers, proposed
from registry.models.seeks import AT
from registry.models.verifications import hours_reading, verification_interval

_in_force = select(verification_interval.c.id, verification_interval.c.since_at, verification_interval.c.seq).where(
    verification_interval.c.pairing_id == bindparam("pair"),
    verification_interval.c.ended_at.is_(None),
    verification_interval.c.voided_seq.is_(None),
)
_last_read = (
    select(hours_reading.c.hours_run, hours_reading.c.read_at)
    .where(hours_reading.c.pairing_id == bindparam("pair"), hours_reading.c.read_at <= AT)
    .order_by(hours_reading.c.read_at.desc(), hours_reading.c.seq.desc())
    .limit(1)
)
Hours = Annotated[FigureText, within("0", "1000000")]


class ApproveInterval(Act, name="approve_interval", may=May.APPROVE, pin=True, says="Approve an interval"):
    """How long a verification of this pair holds. The rule proposes a longer one; a named person approves it, or a shorter."""

    pair: PairRef = Field(title="Pair", description="Scan one of its halves.")
    days: Annotated[int, Field(ge=1, le=3660)] = Field(title="Days")
    most_hours: Annotated[Hours, within(above="0")] | None = Field(
        None, title="Hours run, at most", description="Whichever comes first. Empty: no limit of hours."
    )
    words: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        pair = case.ids["pair"]
        reasons = reasons_of_pair(pair_row(case), case.at)
        before = case.db.execute(_in_force, {"pair": pair}).first()
        if before and before.since_at >= case.at:
            told = f"The interval in force was approved on {say(before.since_at)}; another cannot begin before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        if reasons:
            return Decision(reasons, touched=before.seq if before else 0)
        in_force = days_in_force(dues(case.db, case.at, only=[pair])[pair])
        rule = proposed(in_force, own_numbers(case.db, pair, case.at))
        decided = {
            "ends": before.id if before else None,
            "in_force_days": in_force,
            "proposed_days": rule.new_days if rule else None,
            "proposal": rule.verdict if rule else "No heading check with a number is on record.",
        }
        reasons += reasons_not_to_lengthen(self.days, in_force, decided["proposed_days"])
        return Decision(reasons, decided, before.seq if before else 0, [decided["proposal"]])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        told: dict[str, Any] = {name: body[name] for name in ("days", "most_hours", "words")}
        told |= {name: decided[name] for name in ("proposed_days", "proposal")}
        row = {"id": entry.id, "pairing_id": entry.ids["pair"], "approved_by_id": entry.by, **told}
        closed = [Close("verification_interval", decided["ends"], entry.moment("ended"))] if decided["ends"] else []
        return [*closed, Add("verification_interval", {**row, **entry.moment("since"), **no_moment("ended")})]


class RecordHours(Act, name="record_hours", may=May.SHIP_CHECK, happened=True, says="Read an hour counter"):
    """Hours the unit has run by its own counter. With a limit of hours, verification is due by whichever comes first."""

    pair: PairRef = Field(title="Pair", description="Scan one of its halves.")
    hours_run: Hours = Field(title="Hours run")

    def decide(self, case: Case) -> Decision:
        reasons = reasons_of_pair(pair_row(case), case.at)
        last = case.db.execute(_last_read, {"pair": case.ids["pair"], "at": case.at}).first()
        if last and float(last.hours_run) > float(self.hours_run):
            told = f"The counter stood at {last.hours_run} h on {say(last.read_at)}; it does not run back."
            reasons.append(
                Reason(
                    "overlaps_history", told, "hours_run", "Read it again, or say in the fault diary what was changed."
                )
            )
        return Decision(reasons)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {"id": entry.id, "pairing_id": entry.ids["pair"], "hours_run": entry.body["hours_run"]}
        return [Add("hours_reading", {**row, **entry.moment("read")})]
