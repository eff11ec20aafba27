"""Terms of contracts that vehicles are bound to, and which of them are in force over the pairs in their bays."""

from collections import defaultdict

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.contracts import Term
from registry.models.base import Stay, closing, column, folded, instant, maybe, says, to
from registry.models.columns import Day, Flag
from registry.models.fleet import bay
from registry.models.installs import installation_span as span
from registry.models.seeks import EVER, ended_by, known, newest

#: It holds from day to day, both within, and no longer than until it is ended.
contract_term = folded(
    "contract_term",
    to("vehicle"),
    column("reference", sa.Text),
    column("from_on", Day),
    maybe("until_on", Day),
    column("overdue_stops", Flag),
    maybe("verification_months", sa.Integer),
    column("words", sa.Text),
    *instant("bound"),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    says("contract_term_not_before_it_begins", "until_on >= from_on", "A term cannot end before it begins."),
    says("contract_term_of_whole_months", "verification_months BETWEEN 1 AND 120", "An interval is 1 to 120 months."),
    sa.Index("ix_contract_term_vehicle_id", "vehicle_id", "from_on"),
    changes="closes",
    stay=Stay("bound_at", "ended_at"),
)
_ON = bindparam("on", type_=Day)
_ended = ended_by(contract_term, "ended_at")
#: Of terms that are known and began by the day: what the log of that size tells of them.
in_force_on = sa.and_(
    known(contract_term),
    contract_term.c.from_on <= _ON,
    sa.or_(contract_term.c.until_on.is_(None), contract_term.c.until_on >= _ON),
    _ended.is_(None),
)
_stays = span.alias("stays")
_over_pairs = (
    select(
        span.c.pairing_id, contract_term.c.reference, contract_term.c.from_on, contract_term.c.until_on, contract_term.c.overdue_stops,
        contract_term.c.verification_months,
    )
    .select_from(contract_term)
    .join(bay, bay.c.vehicle_id == contract_term.c.vehicle_id)
    .join(span, span.c.id == newest(_stays, "installed_at", _stays.c.bay_id == bay.c.id))
    .where(in_force_on, ended_by(span, "removed_at").is_(None))
)  # fmt: skip


def terms_over_pairs(db: sa.Connection, at: str, known_size: int = EVER) -> dict[str, list[Term]]:
    """Pairing id -> the terms in force over it: those of the vehicle it sits in. One statement."""
    found: dict[str, list[Term]] = defaultdict(list)
    for row in db.execute(_over_pairs, {"at": at, "on": at[:10], "known": known_size}):
        found[row.pairing_id].append(Term(*row[1:4], bool(row.overdue_stops), row.verification_months))
    return found
