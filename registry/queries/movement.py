"""What is out of the house or about to leave it: loans, halves at repair, and border crossings with what to be reminded of."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import select

from registry.domain.codes import say_code
from registry.domain.crossings import REMINDER, Reference, flags
from registry.domain.loans import days_overdue, say_due
from registry.models.away import due_of_loan
from registry.models.fleet import vehicle
from registry.models.movement import crossing, half_away, loan, loan_due
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import EVER, in_force
from registry.models.units import half, unit_type

_loans = (
    select(
        loan.c.id, loan.c.direction, loan.c.partner, loan.c.lent_at, loan.c.words, loan.c.seq, loan_due.c.due_on, person_private.c.name.label("answers"),
        vehicle.c.name.label("vehicle"), vehicle.c.code.label("vehicle_code"), pairing.c.name.label("pair"), pairing.c.id.label("pairing_id"),
    )
    .select_from(loan)
    .outerjoin(loan_due, loan_due.c.id == due_of_loan)
    .outerjoin(person_private, person_private.c.person_id == loan.c.answers_id)
    .outerjoin(vehicle, vehicle.c.id == loan.c.vehicle_id)
    .outerjoin(pairing, pairing.c.id == loan.c.pairing_id)
    .where(in_force(loan, "lent_at", "returned_at"))
    .order_by(loan_due.c.due_on, loan.c.lent_at)
)  # fmt: skip
_repairs = (
    select(
        half_away.c.id, half.c.code, half.c.kind, (unit_type.c.maker + " " + unit_type.c.name).label("type_name"), half_away.c.keeper, half_away.c.reference, half_away.c.due_on,
        half_away.c.words, half_away.c.since_at, half_away.c.seq,
    )
    .select_from(half_away)
    .join(half, half.c.id == half_away.c.half_id)
    .join(unit_type, unit_type.c.id == half.c.unit_type_id)
    .where(in_force(half_away, "since_at", "returned_at"), half_away.c.cause == "repair")
    .order_by(half_away.c.since_at, half.c.code)
)  # fmt: skip
_crossings = (
    select(
        crossing, vehicle.c.name.label("vehicle"), vehicle.c.code.label("vehicle_code"), pairing.c.name.label("pair"), half.c.code.label("half_code"), half.c.kind,
    )
    .select_from(crossing)
    .outerjoin(vehicle, vehicle.c.id == crossing.c.vehicle_id)
    .outerjoin(pairing, pairing.c.id == crossing.c.pairing_id)
    .outerjoin(half, half.c.id == crossing.c.half_id)
    .where(in_force(crossing, "planned_at", "ended_at"))
    .order_by(crossing.c.crosses_on, crossing.c.planned_at)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LoanShown:
    """A running loan. `kind` and `key` name the page of what is lent."""

    id: str
    of: str
    kind: str
    key: str
    direction: str
    partner: str
    answers: str
    since_at: str
    due_on: str
    due: str
    overdue_days: int
    words: str
    seq: int


@dataclass(frozen=True, slots=True)
class RepairShown:
    """A half at repair."""

    half: str
    code: str
    type_name: str
    keeper: str
    reference: str
    since_at: str
    due: str
    overdue_days: int
    words: str
    seq: int


@dataclass(frozen=True, slots=True)
class CrossingShown:
    """A planned crossing, with what to be reminded of. Nothing reads these flags but people."""

    id: str
    of: str
    kind: str
    key: str
    from_country: str
    to_country: str
    crosses_on: str
    returns_on: str | None
    classification: str
    stated_by: str
    stated_on: str | None
    papers: tuple[Reference, ...]
    flags: tuple[str, ...]
    words: str
    seq: int


@dataclass(frozen=True, slots=True)
class Movements:
    """All of it, what is due first at the top."""

    loans: tuple[LoanShown, ...]
    repairs: tuple[RepairShown, ...]
    crossings: tuple[CrossingShown, ...]

    @property
    def overdue(self) -> int:
        return sum(1 for one in (*self.loans, *self.repairs) if one.overdue_days)

    def told(self) -> dict[str, Any]:
        """All of it as plain data: what JSON says, over HTTP and at the command line alike."""
        return {**asdict(self), "overdue": self.overdue, "reminder": REMINDER}


def movements(db: sa.Connection, at: str, known: int = EVER) -> Movements:
    """What is out at the instant. Three statements."""
    keys = {"at": at, "known": known}
    return Movements(
        tuple(_loan(row, at) for row in db.execute(_loans, keys)),
        tuple(_repair(row, at) for row in db.execute(_repairs, keys)),
        tuple(_crossings_of(db.execute(_crossings, keys))),
    )


def _loan(row: sa.Row, at: str) -> LoanShown:
    kind, key, of = ("vehicle", row.vehicle_code, row.vehicle) if row.vehicle else ("pairing", row.pairing_id, row.pair)
    return LoanShown(
        row.id, of, kind, key, row.direction, row.partner, row.answers or "", row.lent_at, row.due_on, say_due(row.due_on, at), days_overdue(row.due_on, at),
        row.words, row.seq,
    )  # fmt: skip


def _repair(row: sa.Row, at: str) -> RepairShown:
    return RepairShown(
        f"{row.kind.capitalize()} half {say_code(row.code)}", row.code, row.type_name, row.keeper, row.reference, row.since_at, say_due(row.due_on, at),
        days_overdue(row.due_on, at), row.words, row.seq,
    )  # fmt: skip


def _crossings_of(rows: Iterable[sa.Row]) -> Iterable[CrossingShown]:
    for row in rows:
        papers = (
            Reference("licence", row.licence, row.licence_expires_on),
            Reference("carnet", row.carnet, row.carnet_expires_on),
        )
        kind, key, of = (
            ("vehicle", row.vehicle_code, row.vehicle)
            if row.vehicle
            else ("pairing", row.pairing_id, f"pair {row.pair}")
            if row.pair
            else ("half", row.half_code, f"{row.kind} half {say_code(row.half_code)}")
        )
        told = tuple(flags(row.classification, True, row.crosses_on, row.returns_on, papers))
        yield CrossingShown(
            row.id, f"{of[0].upper()}{of[1:]}", kind, key, row.from_country, row.to_country, row.crosses_on, row.returns_on, row.classification, row.stated_by,
            row.stated_on, tuple(one for one in papers if one.number or one.expires_on), told, row.words, row.seq,
        )  # fmt: skip
