"""The same batch: each other half that shares something with one in doubt is put on hold by name, or it is not."""

from typing import Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import HalfRef, HoldRef, ImpactRef, Words, one_from, wrong
from registry.domain.impacts import KINSHIPS
from registry.domain.people import May
from registry.domain.same_batch import reasons_not_of_batch
from registry.domain.times import say_day
from registry.errors import Reason
from registry.models.impacts import batch_answer
from registry.models.same_batch import same_batch

_answered = select(batch_answer.c.answer, batch_answer.c.answered_at, batch_answer.c.seq).where(
    batch_answer.c.half_id == bindparam("half"),
    batch_answer.c.hold_id.is_not_distinct_from(bindparam("hold", type_=batch_answer.c.hold_id.type)),
    batch_answer.c.impact_id.is_not_distinct_from(bindparam("impact", type_=batch_answer.c.impact_id.type)),
    batch_answer.c.answer == bindparam("answer"),
)


class OfSameBatch(Act):
    """What both answers say: from which hold or impact, which half, what it shares, and why."""

    hold: HoldRef | None = Field(None, title="Hold it comes from")
    impact: ImpactRef | None = Field(None, title="Impact it comes from")
    half: HalfRef = Field(title="Half of the same batch")
    kinship: one_from(KINSHIPS) = Field(title="What they share")
    reason: Words = Field(title="Why")

    @model_validator(mode="after")
    def _from_one_thing(self) -> "OfSameBatch":
        if (self.hold is None) == (self.impact is None):
            raise wrong("Say which hold or which impact asks about this half: one of the two.")
        return self

    def _decision(self, case: Case, answer: str) -> Decision:
        source = "hold" if case.ids.get("hold") else "impact"
        kin = same_batch(case.db, source, case.ids[source], case.now)
        name = seats.halves(case.db, [case.ids["half"]])[case.ids["half"]].say()
        reasons = reasons_not_of_batch(kin, case.ids["half"], self.kinship, name)
        keys = {**{key: case.ids.get(key) for key in ("hold", "impact")}, "half": case.ids["half"], "answer": answer}
        if row := case.db.execute(_answered, keys).first():
            told = f"That was answered so on {say_day(row.answered_at)} (entry {row.seq:,})."
            reasons.append(Reason("already_so", told, "half", "There is nothing to answer."))
        return Decision(reasons)


def _answer(entry: Entry, answer: str, placed: str | None) -> Add:
    told: dict[str, Any] = {f"{name}_id": entry.ids.get(name) for name in ("hold", "impact", "half")}
    told |= {"kinship": entry.body["kinship"], "words": entry.body["reason"], "answered_by_id": entry.by}
    return Add(
        "batch_answer", {"id": entry.id, "answer": answer, "placed_id": placed, **told, **entry.moment("answered")}
    )


class HoldSameBatch(OfSameBatch, name="hold_same_batch", may=May.ASSESS, says="Hold a half of the same batch"):
    """A half that shares something with one in doubt goes on hold, too, in your name, until its own evidence is seen."""

    def decide(self, case: Case) -> Decision:
        return self._decision(case, "held")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        id_, why = entry.derived("hold"), f"Same batch: {KINSHIPS[entry.body['kinship']]}. {entry.body['reason']}"
        return [
            hold_row(entry, id_, "half_id", entry.ids["half"], "suspect", why),
            _answer(entry, "held", id_),
        ]


class PassSameBatch(OfSameBatch, name="pass_same_batch", may=May.ASSESS, says="Refuse a hold of the same batch"):
    """A half that shares something with one in doubt is not held, in your name; the refusal and its reason stay on record."""

    def decide(self, case: Case) -> Decision:
        return self._decision(case, "refused")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_answer(entry, "refused", None)]
