"""Finding what held at an instant by seeking, one index step a thing: the newest row that began by then, kept if it
had not ended. Flat in the length of history, and the same statement answers "now", "at T" and "as known on day X".

Every statement takes `at` (a stamp) and `known` (the size of the log that is believed; EVER for all of it).
"""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.columns import Stamp

EVER = 2**53 - 1

AT = bindparam("at", type_=Stamp)
KNOWN = bindparam("known", type_=sa.BigInteger)


def known(t: Any) -> sa.ColumnElement[bool]:
    """Rows that stand in the record as the log of that size tells it."""
    if "voided_seq" not in t.c:
        return t.c.seq <= KNOWN
    return sa.and_(t.c.seq <= KNOWN, sa.or_(t.c.voided_seq.is_(None), t.c.voided_seq > KNOWN))


def ended_by(t: Any, name: str) -> sa.ColumnElement[Any]:
    """When a row ended, if it had ended by the instant as far as the log of that size tells it; else NULL."""
    return sa.case((sa.and_(t.c.closed_seq <= KNOWN, t.c[name] <= AT), t.c[name]), else_=sa.null())


def in_force(t: Any, since: str, until: str) -> sa.ColumnElement[bool]:
    """Rows of few-rowed tables that hold at the instant: a plain filter, for lists of roles, holds and the like."""
    return sa.and_(known(t), t.c[since] <= AT, ended_by(t, until).is_(None))


def newest(t: Any, since: str, *where: sa.ColumnElement[bool]) -> sa.ScalarSelect[Any]:
    """The id of the newest row of `t` that began by the instant, for the key that `where` fixes."""
    seek = select(t.c.id).where(*where, t.c[since] <= AT, known(t))
    return seek.order_by(t.c[since].desc(), t.c.seq.desc()).limit(1).scalar_subquery()
