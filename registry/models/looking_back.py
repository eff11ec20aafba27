"""The stays of a pair that a failed verification puts in doubt: frozen by the act, worked out again by the page."""

from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.installs import installation_span as span
from registry.models.seeks import AT

_stays = (
    select(span.c.installation_id, span.c.installed_at, span.c.removed_at)
    .where(span.c.pairing_id == bindparam("pair"), span.c.voided_seq.is_(None), span.c.installed_at <= AT)
    .order_by(span.c.installed_at)
)


def stays_in_doubt(db: sa.Connection, pairing_id: str, since: str | None, at: str) -> list[dict[str, Any]]:
    """Stays between the day of the last good result (None: since receipt) and the finding, by the rules of looking back;
    a stay that went on beyond the finding has no end here."""
    from registry.inertial.look_back import Use, uses_to_assess

    rows = {row.installation_id: row for row in db.execute(_stays, {"pair": pairing_id, "at": at})}
    until = {id_: row.removed_at if row.removed_at and row.removed_at <= at else None for id_, row in rows.items()}
    uses = [
        Use(id_, date.fromisoformat(row.installed_at[:10]), date.fromisoformat((until[id_] or at)[:10]))
        for id_, row in rows.items()
    ]
    found = uses_to_assess(uses, date.fromisoformat(since) if since else None, date.fromisoformat(at[:10]))
    return [
        {"installation": id_, "installed_at": rows[id_].installed_at, "removed_at": until[id_]}
        for id_ in found.needs_assessment
    ]
