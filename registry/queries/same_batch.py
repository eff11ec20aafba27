"""The same batch of a hold or an impact: each other half with all it shares, and what was answered."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.impacts import KINSHIPS
from registry.domain.same_batch import Kin
from registry.models.impacts import batch_answer, impact_hold
from registry.models.lookups import pairings
from registry.models.people import person_private
from registry.models.same_batch import same_batch
from registry.queries.halves import HalfShown, halves_shown
from registry.queries.holds import HoldShown, holds_on

_answers = (
    select(batch_answer, person_private.c.name.label("by"))
    .outerjoin(person_private, person_private.c.person_id == batch_answer.c.answered_by_id)
    .where(sa.or_(batch_answer.c.hold_id.in_(bindparam("holds", expanding=True)), batch_answer.c.impact_id.in_(bindparam("impacts", expanding=True))))
    .order_by(batch_answer.c.answered_at, batch_answer.c.seq)
)  # fmt: skip
#: The holds that an impact is bound to, and the other way round.
_bound = select(impact_hold.c.hold_id, impact_hold.c.impact_id).where(
    sa.or_(
        impact_hold.c.hold_id.in_(bindparam("holds", expanding=True)),
        impact_hold.c.impact_id.in_(bindparam("impacts", expanding=True)),
    )
)


@dataclass(frozen=True, slots=True)
class BatchHalf:
    """One half of the batch: everything it shares, in words, the newest answer given for it here, and an open hold that
    lies on it or on a pair it stood in, whoever placed it for whatever."""

    half: HalfShown
    kin: tuple[Kin, ...]
    answer: sa.RowMapping | None
    hold: HoldShown | None

    @property
    def waits(self) -> bool:
        """Whether somebody has yet to say if it is held."""
        return self.answer is None and self.hold is None

    @property
    def kinship(self) -> str:
        return self.kin[0].kinship if self.kin else self.answer["kinship"] if self.answer else ""

    def say(self) -> str:
        """`came in the same delivery (DN-7); runs the same firmware (2.4.1)`."""
        return "; ".join(f"{KINSHIPS[one.kinship]} ({one.told})" for one in self.kin)


def batch_listed(db: sa.Connection, source: str, id_: str, at: str) -> list[BatchHalf]:
    """Halves that share something, those that share most first; those answered for stay, whatever they share now. A hold
    and the impact it is bound to ask about the same thing: what was answered for one is answered for the other."""
    kin: dict[str, list[Kin]] = {}
    for one in same_batch(db, source, id_, at):
        kin.setdefault(one.half_id, []).append(one)
    bound = db.execute(_bound, {"holds": [id_], "impacts": [id_]}).all()
    keys = {"holds": [id_, *(row.hold_id for row in bound)], "impacts": [id_, *(row.impact_id for row in bound)]}
    answers = {row["half_id"]: row for row in db.execute(_answers, keys).mappings()}
    shown = halves_shown(db, sorted({*kin, *answers}), at)
    held = _held(db, sorted(shown), at)
    listed = [
        BatchHalf(half, tuple(kin.get(half_id, ())), answers.get(half_id), held.get(half_id))
        for half_id, half in shown.items()
    ]
    return sorted(listed, key=lambda one: (not one.waits, -len(one.kin), one.half.serial))


def _held(db: sa.Connection, half_ids: list[str], at: str) -> dict[str, HoldShown]:
    """Half id -> the oldest hold open on it, or on a pair it ever stood in."""
    stood = {one.id: one.halves() for one in pairings(db, half_ids)} | {id_: (id_,) for id_ in half_ids}
    found: dict[str, HoldShown] = {}
    for one in holds_on(db, {id_: id_ for id_ in stood}, at):
        if one.released_at is None:
            for half_id in stood[one.on]:
                found.setdefault(half_id, one)
    return found
