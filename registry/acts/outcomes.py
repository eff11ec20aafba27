"""The outcome of a removal, stated when it is known."""

from typing import Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import RemovalRef, Words, one_from
from registry.domain.outcomes import FAULT_IN, OUTCOMES, reasons_not_to_state
from registry.domain.people import May
from registry.models.installs import installation_span as span
from registry.models.installs import removal
from registry.models.pairings import pairing

_removal = (
    select(pairing.c.name, span.c.removed_at, removal.c.seq)
    .join(span, span.c.installation_id == removal.c.installation_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .where(removal.c.id == bindparam("removal"), span.c.voided_seq.is_(None))
)


class StateOutcome(Act, name="state_outcome", may=May.STATE, says="State the outcome of a removal"):
    """What became of a pair that came out: fault found and in which half, no fault found, or the fault was elsewhere."""

    removal: RemovalRef = Field(title="Removal")
    outcome: one_from(OUTCOMES, unset=True) = Field(title="Outcome")
    fault_in: one_from(FAULT_IN) = Field("neither", title="Where the fault was")
    words: Words = Field(title="What was looked at, and what was seen")

    def decide(self, case: Case) -> Decision:
        row: Any = case.db.execute(_removal, {"removal": case.ids["removal"]}).one()
        reasons = reasons_not_to_state(row.name, row.removed_at, self.outcome, self.fault_in, case.at)
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {name: entry.body[name] for name in ("outcome", "fault_in", "words")}
        row = {"id": entry.id, "removal_id": entry.ids["removal"], **told, **entry.moment("stated")}
        return [Add("removal_outcome", row)]
