"""How many of the seated pairs that an audit has read were looked at by somebody else than who seated them."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.second_checks import count_states
from registry.models.audit_lines import newest_answer
from registry.models.audits import audit, audit_line
from registry.models.columns import Id
from registry.models.installs import installation_span as span
from registry.models.second_checks import seats_checked
from registry.models.seeks import EVER, in_force

_AUDIT = bindparam("audit", type_=Id)
_closed = select(audit.c.closed_at, audit.c.closed_seq).where(audit.c.id == _AUDIT)
#: What nobody has answered yet tells nothing of what is expected there, not even that it is counted.
_seated = (
    select(span.c.installation_id)
    .join(audit_line, audit_line.c.bay_id == span.c.bay_id)
    .where(audit_line.c.audit_id == _AUDIT, newest_answer.is_not(None), in_force(span, "installed_at", "removed_at"))
    .order_by(span.c.installation_id)
)


def checks_in_audit(db: sa.Connection, audit_id: str, at: str) -> dict[str, int]:
    """State -> how many pairs, of those that sat in the bays it has answered; of a closed audit, as it was closed."""
    row = db.execute(_closed, {"audit": audit_id}).one()
    then: dict[str, Any] = {"at": row.closed_at or at, "known": row.closed_seq or EVER}
    ids = db.execute(_seated, {"audit": audit_id, **then}).scalars().all()
    return count_states(seats_checked(db, ids, then["at"], then["known"]).values())
