"""Lines of an audit: read alike by the acts that are decided on them and by the pages that show them."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.audits import OpenLine
from registry.domain.codes import say_code
from registry.models.audits import audit, audit_answer, audit_line
from registry.models.fleet import bay, vehicle
from registry.models.seeks import EVER, in_force
from registry.models.sightings import discrepancy
from registry.models.units import half

_of_line = (
    select(
        audit.c.id, audit.c.reference, audit.c.scope, audit.c.site_id, audit.c.opened_at, audit.c.closed_at,
        sa.func.coalesce(audit.c.closed_seq, audit.c.seq).label("seq"), audit_line.c.bay_id, audit_line.c.half_id, audit_line.c.label,
    )
    .join(audit_line, audit_line.c.audit_id == audit.c.id)
    .where(audit_line.c.id == bindparam("line"))
)  # fmt: skip
_answers = audit_answer.alias("answers")
#: The id of the newest answer to a line.
newest_answer = (
    select(_answers.c.id)
    .where(_answers.c.audit_line_id == audit_line.c.id)
    .order_by(_answers.c.answered_at.desc(), _answers.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)
_left = (
    select(audit_line.c.number, vehicle.c.name, bay.c.letter, half.c.kind, half.c.code, audit_line.c.label)
    .outerjoin(bay, bay.c.id == audit_line.c.bay_id)
    .outerjoin(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(half, half.c.id == audit_line.c.half_id)
    .outerjoin(audit_answer, audit_answer.c.id == newest_answer)
    .where(
        audit_line.c.audit_id == bindparam("audit"),
        # In a bay a stranger opened a discrepancy; on a shelf it waits here.
        sa.or_(
            audit_answer.c.id.is_(None), sa.and_(audit_answer.c.verdict == "stranger", audit_line.c.label.is_not(None))
        ),
    )
    .order_by(audit_line.c.number)
)
_line_of_bay = select(audit_line.c.id).where(
    audit_line.c.audit_id == bindparam("audit"), audit_line.c.bay_id == bindparam("bay")
)
_open_ends = select(sa.func.count()).where(
    in_force(discrepancy, "noted_at", "settled_at"),
    discrepancy.c.seq.in_(select(audit_answer.c.seq).where(audit_answer.c.audit_id == bindparam("audit"))),
)


def line_of_bay(db: sa.Connection, audit_id: str, bay_id: str) -> str | None:
    """The line of an audit that is this bay; None when it lies outside."""
    return db.execute(_line_of_bay, {"audit": audit_id, "bay": bay_id}).scalar()


def ends_open(db: sa.Connection, audit_id: str, at: str) -> int:
    """How many discrepancies of an audit nobody has settled."""
    return int(db.execute(_open_ends, {"audit": audit_id, "at": at, "known": EVER}).scalar_one())


def audit_row(db: sa.Connection, line_id: str) -> sa.Row:
    """A line with its audit."""
    return db.execute(_of_line, {"line": line_id}).one()


def lines_left(db: sa.Connection, audit_id: str) -> list[OpenLine]:
    """The lines of an audit that wait for an answer, in order."""
    rows = db.execute(_left, {"audit": audit_id}).all()
    return [OpenLine(place(row), row.label is not None) for row in rows]


def place(row: Any) -> str:
    """The words for the place of a line."""
    if row.letter:
        return f"{row.name}, bay {row.letter}"
    return f"{row.kind} half {say_code(row.code)}" if row.code else f"the half labelled “{row.label}”"
