"""The contracts a vehicle is, was or will be bound to."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.contracts import Term
from registry.models.contracts import contract_term
from registry.models.seeks import EVER, ended_by, known

_terms = (
    select(contract_term, ended_by(contract_term, "ended_at").label("ended_by_then"))
    .where(contract_term.c.vehicle_id == bindparam("vehicle"), known(contract_term))
    .order_by(contract_term.c.from_on.desc(), contract_term.c.seq.desc())
)


@dataclass(frozen=True, slots=True)
class TermShown:
    """A term with its state at the instant: `in force`, `to come`, `over` or `ended`."""

    id: str
    term: Term
    state: str
    ended_at: str | None
    words: str
    seq: int


def terms_of(db: sa.Connection, vehicle_id: str, at: str, known_size: int = EVER) -> list[TermShown]:
    """Every term of a vehicle known then, newest first. One statement."""
    rows = db.execute(_terms, {"vehicle": vehicle_id, "at": at, "known": known_size})
    return [_shown(row, at[:10]) for row in rows]


def _shown(row: sa.Row, day: str) -> TermShown:
    term = Term(row.reference, row.from_on, row.until_on, bool(row.overdue_stops), row.verification_months)
    over = row.until_on is not None and row.until_on < day
    state = "ended" if row.ended_by_then else "to come" if row.from_on > day else "over" if over else "in force"
    return TermShown(row.id, term, state, row.ended_by_then, row.words, row.seq)
