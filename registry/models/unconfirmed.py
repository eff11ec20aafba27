"""What puts in doubt that a pair is still where the record has it: halves sighted elsewhere or not there, and loans."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import select

from registry.domain.findings import Finding
from registry.domain.freshness import Doubt
from registry.domain.loans import Loan, finding_of_loan
from registry.domain.times import say, say_day
from registry.models.audits import audit_answer, audit_line
from registry.models.away import due_of_loan
from registry.models.fleet import bay, vehicle
from registry.models.movement import loan, loan_due
from registry.models.people import person_private
from registry.models.seeks import AT, KNOWN, ended_by, known
from registry.models.sightings import sighting

_place = vehicle.c.name + ", bay " + bay.c.letter
#: Few: only what differed from the record.
_astray = sa.union_all(
    select(sighting.c.bay_id, sighting.c.sensor_id, sighting.c.electronics_id, sighting.c.sighted_at.label("at"), sighting.c.seq, _place.label("place"))
    .join(bay, bay.c.id == sighting.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(known(sighting), sighting.c.sighted_at <= AT, sighting.c.outcome == "differs"),
    select(sa.null(), audit_line.c.half_id, sa.null(), audit_answer.c.answered_at, audit_answer.c.seq, audit_answer.c.told)
    .join(audit_line, audit_line.c.id == audit_answer.c.audit_line_id)
    .where(audit_answer.c.seq <= KNOWN, audit_answer.c.answered_at <= AT, audit_answer.c.verdict == "elsewhere", audit_line.c.half_id.is_not(None)),
)  # fmt: skip
_loans = (
    select(
        loan.c.id, loan.c.vehicle_id, loan.c.direction, loan.c.partner, person_private.c.name.label("answers"), loan.c.lent_at, loan_due.c.due_on, loan.c.seq,
        ended_by(loan, "returned_at").label("returned_at"),
    )
    .select_from(loan)
    .outerjoin(loan_due, loan_due.c.id == due_of_loan)
    .outerjoin(person_private, person_private.c.person_id == loan.c.answers_id)
    .where(known(loan), loan.c.lent_at <= AT, loan.c.vehicle_id.is_not(None))
    .order_by(loan.c.lent_at)
)  # fmt: skip


def proved_at(row: Mapping[str, Any]) -> str | None:
    """The last scan that proved that the pair of a bay sits in it. What was carried over nobody has scanned there: only
    a sighting proves it."""
    return row["sighted_at"] if row["carried_over"] else max(row["installed_at"], row["sighted_at"] or "")


Unconfirmed = tuple[dict[str, tuple[Doubt, ...]], dict[str, tuple[Finding, ...]]]


def unconfirmed(db: sa.Connection, at: str, known_size: int, seated: Iterable[Mapping[str, Any]]) -> Unconfirmed:
    """Bay id -> what was seen or lent that puts its pair in doubt, for bays that hold one; vehicle id -> what is told of
    the loan it is on. Two statements."""
    keys = {"at": at, "known": known_size}
    strayed, lent = db.execute(_astray, keys).all(), db.execute(_loans, keys).mappings().all()
    out = [row for row in lent if row["direction"] == "out"]
    return {row["id"]: (*_sighted(row, strayed), *_lent(row, out)) for row in seated}, _told(lent, at)


def _sighted(row: Mapping[str, Any], strayed: Iterable[sa.Row]) -> Iterable[Doubt]:
    proved, own = (
        proved_at(row) or row["installed_at"],
        {row["sensor_id"]: "sensor half", row["electronics_id"]: "electronics half"},
    )
    for one in strayed:
        if one.at <= proved:
            continue
        seen = {one.sensor_id, one.electronics_id}
        if one.bay_id == row["id"]:
            yield Doubt(
                "not_there", one.at, f"What was sighted there on {say(one.at)} is not what the record has.", one.seq
            )
        else:
            for half, words in own.items():
                if half in seen:
                    place = one.place if one.bay_id else one.place.partition(", at ")[2]
                    yield Doubt(
                        "elsewhere", one.at, f"Its {words} was sighted on {say(one.at)}: {place}.", one.seq, half
                    )


def _lent(row: Mapping[str, Any], lent: Iterable[Mapping[str, Any]]) -> Iterable[Doubt]:
    for one in lent:
        if one["vehicle_id"] == row["vehicle_id"]:
            until = f" to {say_day(one['returned_at'])}" if one["returned_at"] else ""
            since = one["returned_at"] or one["lent_at"]
            told = f"The vehicle was with {one['partner']} from {say_day(one['lent_at'])}{until}."
            yield Doubt("loan", since, told, one["seq"])


def _told(lent: Iterable[Mapping[str, Any]], at: str) -> dict[str, tuple[Finding, ...]]:
    found: dict[str, list[Finding]] = defaultdict(list)
    for row in lent:
        if row["returned_at"] is None:
            who = row["answers"] or "Nobody by name"
            one = Loan(row["id"], row["direction"], row["partner"], who, row["lent_at"], row["due_on"], row["seq"])
            found[row["vehicle_id"]].append(finding_of_loan(one, at))
    return {id_: tuple(listed) for id_, listed in found.items()}
