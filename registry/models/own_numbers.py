"""A pair's own number: heading found less known on a surveyed mark, check after check. Read alike by the acts that are
decided on it and by the pages that draw it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.seeks import AT, EVER, KNOWN, known
from registry.models.verifications import verification, verification_line

if TYPE_CHECKING:
    from registry.inertial.intervals import IntervalProposal


def review_is(t: sa.FromClause, word: str) -> sa.ColumnElement[bool]:
    """Whether the review of a verification said so, as far as the log of that size tells it by the instant."""
    told = sa.and_(t.c.closed_seq <= KNOWN, t.c.reviewed_at <= AT)
    return sa.case((told, sa.case((t.c.review == word, 1), else_=0)), else_=0) == 1


_numbers = (
    select(
        verification.c.id, verification.c.verified_at, verification.c.adjusted, verification.c.verdict, verification.c.seq, verification.c.jumped,
        verification_line.c.as_found, verification_line.c.as_left, verification_line.c.u, verification_line.c.tolerance,
    )
    .join(verification_line, verification_line.c.verification_id == verification.c.id)
    .where(
        verification.c.pairing_id == bindparam("pairing"), verification.c.kind == "heading_check", verification_line.c.quantity == "heading",
        known(verification), verification.c.verified_at <= AT, sa.not_(review_is(verification, "rejected")),
    )
    .order_by(verification.c.verified_at, verification.c.seq)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class OwnNumber:
    """One check on a mark, degrees. `as_found` is None when only what was left was read."""

    verification_id: str
    at: str
    adjusted: bool
    verdict: str
    seq: int
    jumped: bool
    as_found: float | None
    as_left: float | None
    u: float | None
    tolerance: float | None

    @property
    def value(self) -> float:
        """The number of the pair as it was found; as it was left, when nobody looked before."""
        return self.as_left if self.as_found is None else self.as_found  # type: ignore[return-value]


def own_numbers(db: sa.Connection, pairing_id: str, at: str, known_size: int = EVER) -> tuple[OwnNumber, ...]:
    """Every number of a pair up to the instant that nobody rejected, oldest first."""
    rows = db.execute(_numbers, {"pairing": pairing_id, "at": at, "known": known_size})
    return tuple(OwnNumber(*row[:6], *(None if value is None else float(value) for value in row[6:])) for row in rows)


def series_of(numbers: Sequence[OwnNumber]) -> list[tuple[float, float | None]]:
    """(number, standard uncertainty) since the last adjustment, which begins a series with what it left."""
    series: list[tuple[float, float | None]] = []
    for one in numbers:
        if one.adjusted:
            series = [(one.value if one.as_left is None else one.as_left, one.u)]
        else:
            series.append((one.value, one.u))
    return series


def proposed(days: int, numbers: Sequence[OwnNumber]) -> "IntervalProposal | None":
    """What the staircase makes of the interval in force by the newest number; None when there is none."""
    if not numbers or not numbers[-1].tolerance:
        return None
    from registry.inertial.intervals import staircase

    return staircase(days, numbers[-1].tolerance, numbers[-1].as_found)
