"""Which halves are away, and which loans run: read alike by acts and pages."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.loans import Away
from registry.models.movement import half_away, loan, loan_due
from registry.models.seeks import EVER, in_force, newest

_dues = loan_due.alias("dues")
#: The newest agreed day of return of a loan.
due_of_loan = newest(_dues, "agreed_at", _dues.c.loan_id == loan.c.id)
_away = (
    select(
        half_away.c.id, half_away.c.half_id, half_away.c.cause, half_away.c.keeper, half_away.c.since_at,
        sa.func.coalesce(loan_due.c.due_on, half_away.c.due_on).label("due_on"), half_away.c.loan_id, half_away.c.seq,
    )
    .select_from(half_away)
    .outerjoin(loan, loan.c.id == half_away.c.loan_id)
    .outerjoin(loan_due, loan_due.c.id == due_of_loan)
    .where(half_away.c.half_id.in_(bindparam("halves", expanding=True)), in_force(half_away, "since_at", "returned_at"))
)  # fmt: skip


def away(db: sa.Connection, halves: Iterable[str], at: str, known: int = EVER) -> dict[str, Away]:
    """Half id -> where it is away at the instant; halves that are in the house are left out."""
    wanted = sorted(set(halves))
    if not wanted:
        return {}
    rows = db.execute(_away, {"halves": wanted, "at": at, "known": known})
    return {row.half_id: Away(*row) for row in rows}
