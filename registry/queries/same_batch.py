"""The same batch of a hold or an impact: each other half with all it shares, and what was answered."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.impacts import KINSHIPS
from registry.domain.same_batch import Kin
from registry.models.columns import Id
from registry.models.impacts import batch_answer
from registry.models.people import person_private
from registry.models.same_batch import same_batch
from registry.queries.halves import HalfShown, halves_shown

_answers = (
    select(batch_answer, person_private.c.name.label("by"))
    .outerjoin(person_private, person_private.c.person_id == batch_answer.c.answered_by_id)
    .where(sa.or_(batch_answer.c.hold_id == bindparam("hold", type_=Id), batch_answer.c.impact_id == bindparam("impact", type_=Id)))
    .order_by(batch_answer.c.answered_at, batch_answer.c.seq)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BatchHalf:
    """One half of the batch: everything it shares, in words, and the newest answer given for it here."""

    half: HalfShown
    kin: tuple[Kin, ...]
    answer: sa.RowMapping | None

    @property
    def kinship(self) -> str:
        return self.kin[0].kinship if self.kin else self.answer["kinship"] if self.answer else ""

    def say(self) -> str:
        """`came in the same delivery (DN-7); runs the same firmware (2.4.1)`."""
        return "; ".join(f"{KINSHIPS[one.kinship]} ({one.told})" for one in self.kin)


def batch_listed(db: sa.Connection, source: str, id_: str, at: str) -> list[BatchHalf]:
    """Halves that share something, those that share most first; those answered for stay, whatever they share now."""
    kin: dict[str, list[Kin]] = {}
    for one in same_batch(db, source, id_, at):
        kin.setdefault(one.half_id, []).append(one)
    keys = {"hold": id_ if source == "hold" else None, "impact": id_ if source == "impact" else None}
    answers = {row["half_id"]: row for row in db.execute(_answers, keys).mappings()}
    shown = halves_shown(db, sorted({*kin, *answers}), at)
    listed = [BatchHalf(half, tuple(kin.get(half_id, ())), answers.get(half_id)) for half_id, half in shown.items()]
    return sorted(listed, key=lambda one: (one.answer is not None, -len(one.kin), one.half.serial))
