"""What ends by a day that was agreed: terms of contracts, loans, and papers that go with a planned border crossing."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.contracts import Term
from registry.domain.fit_endings import of_paper
from registry.domain.fit_facts import Ending
from registry.errors import Offer
from registry.models.away import due_of_loan
from registry.models.contracts import contract_term, in_force_on
from registry.models.movement import crossing, loan, loan_due
from registry.models.seeks import AT, ended_by, in_force, known

_terms = select(contract_term).where(in_force_on, contract_term.c.until_on.is_not(None))
_PAIRS, _HALVES = bindparam("pairs", expanding=True), bindparam("halves", expanding=True)
_loans = (
    select(loan.c.id, loan.c.vehicle_id, loan.c.pairing_id, loan.c.direction, loan.c.partner, loan_due.c.due_on, loan.c.seq)
    .select_from(loan)
    .join(loan_due, loan_due.c.id == due_of_loan)
    .where(known(loan), loan.c.lent_at <= AT, ended_by(loan, "returned_at").is_(None), sa.or_(loan.c.vehicle_id.is_not(None), loan.c.pairing_id.in_(_PAIRS)))
)  # fmt: skip
_crossings = select(crossing).where(
    in_force(crossing, "planned_at", "ended_at"),
    sa.or_(crossing.c.vehicle_id.is_not(None), crossing.c.pairing_id.in_(_PAIRS), crossing.c.half_id.in_(_HALVES)),
)
Row = Mapping[str, Any]


def endings(db: sa.Connection, at: str, known_size: int, seated: Iterable[Row]) -> dict[str, list[Ending]]:
    """Vehicle id -> what of it, and of the pairs in its bays, ends by an agreed day. Three statements for any number."""
    bays = {row[name]: row for row in seated for name in ("pairing_id", "sensor_id", "electronics_id")}
    keys = {"at": at, "on": at[:10], "known": known_size, "pairs": list(bays), "halves": list(bays)}
    found: dict[str, list[Ending]] = defaultdict(list)
    for term in db.execute(_terms, keys).mappings():
        found[term["vehicle_id"]].append(_of_term(term))
    for row in db.execute(_loans, keys).mappings():
        bay = bays.get(row["pairing_id"])
        found[bay["vehicle_id"] if bay else row["vehicle_id"]].append(_of_loan(row, bay))
    for row in db.execute(_crossings, keys).mappings():
        bay = bays.get(row["pairing_id"] or row["half_id"])
        found[bay["vehicle_id"] if bay else row["vehicle_id"]] += _of_crossing(row, bay)
    return found


def _of_term(row: Row) -> Ending:
    term = Term(
        row["reference"], row["from_on"], row["until_on"], bool(row["overdue_stops"]), row["verification_months"]
    )
    told = f"Until then: {term.demands()}. From then on the plan of the site holds, and no contract."
    offer = Offer("bind_contract", "Bind it to a contract", {"vehicle": row["vehicle_id"]})
    return Ending("term_ends", f"Contract {term.reference}", "ends on", row["until_on"], told, row["seq"], offer)


def _of_loan(row: Row, bay: Row | None) -> Ending:
    of = f"Bay {bay['letter']}: {bay['pair']}" if bay else "The vehicle"
    whose = (
        f"is to be back from {row['partner']} on"
        if row["direction"] == "out"
        else f"is due back with {row['partner']} on"
    )
    told = "Agree on another day with them, or bring it back before it sails."
    offer = Offer("agree_return", "Agree another day", {"loan": row["id"]})
    return Ending("loan_ends", of, whose, row["due_on"], told, row["seq"], offer, bay["letter"] if bay else None)


def _of_crossing(row: Row, bay: Row | None) -> list[Ending]:
    what = f"the crossing {row['from_country']} to {row['to_country']}"
    papers = ((kind, row[kind], row[f"{kind}_expires_on"]) for kind in ("licence", "carnet"))
    return [of_paper(what, kind, number, on, row["seq"], row["id"], bay["letter"] if bay else None) for kind, number, on in papers if on]  # fmt: skip
