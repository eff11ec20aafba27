"""To repair and back: a half leaves the house, and what the maker did with it decides what still stands."""

from typing import Annotated

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Close, Effect, Entry
from registry.acts.loans import away_row, back_row, place_row, reasons_not_loose
from registry.acts.shapes import DayText, HalfRef, Line, SiteRef, Words, one_from, wrong
from registry.domain.codes import say_code
from registry.domain.loans import FOLLOWS, OUTCOMES
from registry.domain.people import May
from registry.errors import Reason
from registry.models.away import away
from registry.models.pairings import pairing

_paired = select(pairing.c.id, pairing.c.name, pairing.c.paired_at, pairing.c.seq).where(
    pairing.c.ended_at.is_(None), pairing.c.voided_seq.is_(None),
    (pairing.c.sensor_id == bindparam("half")) | (pairing.c.electronics_id == bindparam("half")),
)  # fmt: skip


class SendToRepair(Act, name="send_to_repair", may=May.MOVE, happened=True, says="Send to repair"):
    """Halves leave for repair. Until their return is entered they go into no bay and count as no spare."""

    halves: Annotated[list[HalfRef], Field(min_length=1, max_length=20)] = Field(
        title="Halves", description="Scan each, one a line."
    )
    keeper: Line = Field(title="To", description="The maker’s works, or whoever repairs it.")
    reference: Line | None = Field(None, title="Their reference")
    due_on: DayText | None = Field(None, title="Expected back on")
    words: Words | None = Field(None, title="What is to be repaired")

    def decide(self, case: Case) -> Decision:
        halves = list(dict.fromkeys(case.ids["halves"]))
        return Decision(reasons_not_loose(case, halves, "halves"), touched=seats.touched(case.db, halves))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {"reference": body["reference"] or "", "due_on": body["due_on"], "words": body["words"] or ""}
        halves = dict.fromkeys(entry.ids["halves"])
        return [away_row(entry, half, "repair", body["keeper"], **told) for half in halves]


class ReturnFromRepair(
    Act, name="return_from_repair", may=May.MOVE, happened=True, says="Enter the return from repair"
):
    """A half is back, or will not come. One that was repaired has no pair until a new statement says so."""

    half: HalfRef = Field(title="Half")
    outcome: one_from(OUTCOMES, unset=True) = Field(title="What came of it")
    site: SiteRef | None = Field(None, title="Where it lies now")
    spot: Line | None = Field(None, title="Shelf or bench")
    words: Words | None = Field(None, title="What was done", description="As the papers with it say.")

    @model_validator(mode="after")
    def _lies_somewhere(self) -> "ReturnFromRepair":
        if (self.site is None) != (self.outcome == "kept"):
            raise wrong("What came back lies at a site; what does not come back lies at none.")
        return self

    def decide(self, case: Case) -> Decision:
        half = case.ids["half"]
        gone = away(case.db, [half], case.at).get(half)
        if gone is None or gone.cause != "repair":
            one = seats.halves(case.db, [half])[half]
            told = f"{one.kind.capitalize()} half {say_code(one.code)} is not at repair."
            return Decision([Reason("already_so", told, "half", "Look at the half, or at the day and time.")])
        row = case.db.execute(_paired, {"half": half}).first()
        # A statement that was made since it left is of the repaired half: it stands.
        ends = row if row and self.outcome != "untouched" and row.paired_at < gone.since_at else None
        told = {"away": gone.id, "since": gone.since_at, "ends": ends.id if ends else None}
        remarks = [FOLLOWS[self.outcome]] if ends or self.outcome == "untouched" else []
        return Decision([], told, max(gone.seq, ends.seq if ends else 0), remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        made: list[Effect] = [back_row(entry, decided["away"], body["outcome"], body["words"] or "")]
        if body["outcome"] != "kept":
            made.append(place_row(entry, entry.ids["half"]))
        if decided["ends"]:
            # From the day it left: what was measured with the half as it was says nothing about the half as it is.
            why = {"repaired": "a half was repaired", "kept": "a half was kept by the repairer"}[body["outcome"]]
            ended = {"ended_at": decided["since"], "ended_offset_min": 0, "end_reason": why}
            made.append(Close("pairing", decided["ends"], ended))
        return made
