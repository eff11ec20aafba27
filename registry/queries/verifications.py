"""Verifications: what is due, one of them in full, and everything of one pair with its own number over time."""

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.calibrations import PROMPT_YEARS
from registry.domain.verifications import VERDICTS, Due
from registry.inertial.due_dates import due_after_months
from registry.models.bench_marks import bench_mark
from registry.models.calibrations import calibration, standard_used
from registry.models.due import days_in_force, dues
from registry.models.fleet import bay, vehicle
from registry.models.holds import hold
from registry.models.installs import installation
from registry.models.installs import installation_span as span
from registry.models.looking_back import stays_in_doubt
from registry.models.own_numbers import OwnNumber, own_numbers, proposed
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, KNOWN, ended_by, in_force, known, newest
from registry.models.sites import site
from registry.models.verifications import (
    affected_stay,
    bench_recording,
    verification,
    verification_interval,
    verification_line,
)
from registry.queries.attachments import FileShown, files_of_pair_by_entry
from registry.queries.drifts import Drift, drift_of

_did, _reviewer, _approver = (person_private.alias(name) for name in ("did", "reviewer", "approver"))
_verifications = (
    select(
        verification, pairing.c.name.label("pair"), _did.c.name.label("by"), _reviewer.c.name.label("reviewed_by"),
        bench_mark.c.name.label("mark"), bench_mark.c.true_deg, bench_mark.c.sigma_deg, bench_mark.c.surveyed_on, site.c.name.label("site"),
    )
    .join(pairing, pairing.c.id == verification.c.pairing_id)
    .outerjoin(_did, _did.c.person_id == verification.c.done_by_id)
    .outerjoin(_reviewer, _reviewer.c.person_id == verification.c.reviewed_by_id)
    .outerjoin(bench_mark, bench_mark.c.id == verification.c.bench_mark_id)
    .outerjoin(site, site.c.id == bench_mark.c.site_id)
)  # fmt: skip
_one = _verifications.where(verification.c.id == bindparam("verification"))
_of_pair = (
    select(
        verification.c.id, verification.c.kind, verification.c.verified_at, verification.c.verdict, verification.c.jumped, verification.c.seq,
        ended_by(verification, "reviewed_at").label("reviewed_at"),
        sa.case((ended_by(verification, "reviewed_at").is_not(None), verification.c.review)).label("review"),
        pairing.c.name.label("pair"), _did.c.name.label("by"),
    )
    .join(pairing, pairing.c.id == verification.c.pairing_id)
    .outerjoin(_did, _did.c.person_id == verification.c.done_by_id)
    .where(known(verification), verification.c.verified_at <= AT)
    .order_by(verification.c.verified_at.desc(), verification.c.seq.desc())
)  # fmt: skip
_unreviewed = _of_pair.where(ended_by(verification, "reviewed_at").is_(None)).limit(100)
_of_pair = _of_pair.where(verification.c.pairing_id == bindparam("pairing"))
_lines = select(verification_line).order_by(verification_line.c.number)
_lines_of = _lines.where(verification_line.c.verification_id == bindparam("verification"))
_lines_of_kind = (
    select(verification_line, verification.c.verified_at)
    .join(verification, verification.c.id == verification_line.c.verification_id)
    .where(
        verification.c.pairing_id == bindparam("pairing"),
        verification.c.kind == "static_test",
        verification.c.voided_seq.is_(None),
    )
    .order_by(verification.c.verified_at.desc(), verification.c.seq.desc(), verification_line.c.number)
)
_standards = (
    select(standard_used)
    .where(standard_used.c.verification_id == bindparam("verification"))
    .order_by(standard_used.c.number)
)
_recording = select(bench_recording).where(bench_recording.c.verification_id == bindparam("verification"))
_affected = (
    select(affected_stay.c.installation_id, affected_stay.c.installed_at, affected_stay.c.removed_at, vehicle.c.name.label("vehicle"), bay.c.letter, bay.c.code)
    .join(installation, installation.c.id == affected_stay.c.installation_id)
    .join(bay, bay.c.id == installation.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(affected_stay.c.verification_id == bindparam("verification"))
    .order_by(affected_stay.c.number)
)  # fmt: skip
_holds = select(hold.c.id, hold.c.vehicle_id, hold.c.released_at).where(hold.c.seq == bindparam("seq"), hold.c.cause == "failed_verification").order_by(hold.c.vehicle_id.is_not(None))  # fmt: skip
_sheets = (
    select(calibration)
    .where(calibration.c.pairing_id == bindparam("pairing"), calibration.c.seq <= KNOWN, calibration.c.entered_at <= AT)
    .order_by(calibration.c.calibrated_on.desc(), calibration.c.seq.desc())
)
_interval = (
    select(verification_interval, _approver.c.name.label("by"))
    .outerjoin(_approver, _approver.c.person_id == verification_interval.c.approved_by_id)
    .where(
        verification_interval.c.pairing_id == bindparam("pairing"),
        in_force(verification_interval, "since_at", "ended_at"),
    )
)
_stays = span.alias("stays")
_seats = (
    select(span.c.pairing_id, vehicle.c.name.label("vehicle"), bay.c.letter, bay.c.code)
    .select_from(pairing)
    .join(span, span.c.id == newest(_stays, "installed_at", _stays.c.pairing_id == pairing.c.id))
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(in_force(pairing, "paired_at", "ended_at"), ended_by(span, "removed_at").is_(None))
)


@dataclass(frozen=True, slots=True)
class DueListed:
    """A pair in the list of what is due, with the bay it sits in (vehicle, letter, code), if any."""

    due: Due
    seat: tuple[str, str, str] | None

    def say(self) -> str:
        """How it stands, in a word or two."""
        return {"soon": "due soon", "in_date": "in date"}.get(self.due.state, self.due.state)

    @property
    def rank(self) -> tuple[int, int, int]:
        """Failed first, then overdue, then what falls due soonest; in a vehicle before on a shelf."""
        state = ("failed", "overdue", "soon", "in_date").index(self.due.state)
        return (state, int(self.seat is None), self.due.left_days)


@dataclass(frozen=True, slots=True)
class PairVerified:
    """Everything of a pair's verification: when it is due, its numbers, their drift, what the rule proposes, all checks."""

    due: Due | None
    numbers: tuple[OwnNumber, ...]
    drift: Drift | None
    told: str
    proposal: str | None
    interval: sa.RowMapping | None
    verifications: tuple[sa.RowMapping, ...]
    calibrations: tuple[sa.RowMapping, ...]
    ask_factory: bool


@dataclass(frozen=True, slots=True)
class StaticEarlier:
    """An earlier static test of the same pair: quantity -> difference found."""

    verification_id: str
    verified_at: str
    found: dict[str, str]


@dataclass(frozen=True, slots=True)
class VerificationPage:
    """One verification in full. `recorded` is what its recording showed; `again` are the installations in doubt as history
    stands now, when they are others than those frozen with the finding."""

    row: sa.RowMapping
    lines: tuple[sa.RowMapping, ...]
    standards: tuple[sa.RowMapping, ...]
    files: tuple[FileShown, ...]
    recording: sa.RowMapping | None
    recorded: dict[str, Any] | None
    earlier: tuple[StaticEarlier, ...]
    affected: tuple[sa.RowMapping, ...]
    holds: tuple[sa.RowMapping, ...]
    again: tuple[str, ...] | None

    @property
    def verdict(self) -> str:
        return VERDICTS[self.row["verdict"]]


def due_listed(db: sa.Connection, at: str, known_size: int = EVER) -> list[DueListed]:
    """Every pair that holds at the instant, worst first. Two statements."""
    keys = {"at": at, "known": known_size}
    seats = {row.pairing_id: (row.vehicle, row.letter, row.code) for row in db.execute(_seats, keys)}
    listed = [DueListed(due, seats.get(id_)) for id_, due in dues(db, at, known_size).items()]
    return sorted(listed, key=lambda one: (one.rank, one.due.pair))


def due_told(one: DueListed) -> dict[str, Any]:
    """A pair of the list as JSON tells it."""
    told = {name: getattr(one.due, name) for name in one.due.__dataclass_fields__}
    seat = dict(zip(("vehicle", "bay", "bay_code"), one.seat, strict=True)) if one.seat else None
    return {**told, "state": one.due.state, "told": one.due.say(), "in": seat}


def awaiting_review(db: sa.Connection, at: str, known_size: int = EVER) -> list[sa.RowMapping]:
    """Verifications that nobody has reviewed yet, newest first, a hundred at most."""
    return list(db.execute(_unreviewed, {"at": at, "known": known_size}).mappings())


def pair_verified(db: sa.Connection, pairing_id: str, at: str, known_size: int = EVER) -> PairVerified:
    """What stands on the page of a pair."""
    keys = {"pairing": pairing_id, "at": at, "known": known_size}
    due = dues(db, at, known_size, only=[pairing_id]).get(pairing_id)
    numbers = own_numbers(db, pairing_id, at, known_size)
    rule = proposed(days_in_force(due), numbers) if due else None
    drift, told = drift_of(numbers)
    sheets = tuple(db.execute(_sheets, keys).mappings())
    return PairVerified(
        due,
        numbers,
        drift,
        told,
        f"{rule.verdict} {rule.next}" if rule else None,
        db.execute(_interval, keys).mappings().first(),
        tuple(db.execute(_of_pair, keys).mappings()),
        sheets,
        bool(sheets) and at[:10] > _years_after(sheets[0]["calibrated_on"], PROMPT_YEARS),
    )


def _years_after(day: str, years: int) -> str:
    return due_after_months(date.fromisoformat(day), 12 * years).isoformat()


def verification_page(db: sa.Connection, verification_id: str) -> VerificationPage | None:
    """One verification in full, or None when there is none of that id."""
    keys = {"verification": verification_id}
    row = db.execute(_one, keys).mappings().first()
    if row is None:
        return None
    recording = db.execute(_recording, keys).mappings().first()
    earlier = _earlier(db, row) if recording else ()
    frozen = tuple(db.execute(_affected, keys).mappings())
    return VerificationPage(
        row,
        tuple(db.execute(_lines_of, keys).mappings()),
        tuple(db.execute(_standards, keys).mappings()),
        files_of_pair_by_entry(db, row["pairing_id"], row["seq"]),
        recording,
        json.loads(recording["worked_out"]) if recording else None,
        earlier,
        frozen,
        tuple(db.execute(_holds, {"seq": row["seq"]}).mappings()),
        _again(db, row, [one["installation_id"] for one in frozen]),
    )


def _again(db: sa.Connection, row: sa.RowMapping, frozen: list[str]) -> tuple[str, ...] | None:
    if row["verdict"] != "fail":
        return None
    due = dues(db, row["verified_at"], only=[row["pairing_id"]]).get(row["pairing_id"])
    found = stays_in_doubt(db, row["pairing_id"], due.good_on if due else None, row["verified_at"])
    now = tuple(one["installation"] for one in found)
    return None if sorted(now) == sorted(frozen) else now


def _earlier(db: sa.Connection, row: sa.RowMapping) -> tuple[StaticEarlier, ...]:
    """The static tests of the same pair before this one, newest first."""
    found: dict[str, StaticEarlier] = {}
    for line in db.execute(_lines_of_kind, {"pairing": row["pairing_id"]}):
        if line.verified_at < row["verified_at"]:
            one = found.setdefault(line.verification_id, StaticEarlier(line.verification_id, line.verified_at, {}))
            one.found[line.quantity] = line.as_found
    return tuple(found.values())
