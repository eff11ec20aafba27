"""Open holds, discrepancies and rechecks of the whole registry: what waits for somebody's hand."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.codes import say_code
from registry.domain.openings import RECHECKS
from registry.models.fleet import bay, housing, vehicle
from registry.models.holds import hold
from registry.models.openings import knock, recheck
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, ended_by, in_force, known
from registry.models.sightings import discrepancy
from registry.models.units import half

_placed, _released = person_private.alias("placed"), person_private.alias("released")
_carrier, _home = vehicle.alias("carrier"), bay.alias("home")
_holds = (
    select(
        hold.c.id, hold.c.cause, hold.c.reason, hold.c.placed_at, ended_by(hold, "released_at").label("released_at"), hold.c.release_reason, hold.c.evidence,
        hold.c.placed_by_id, hold.c.done_by_id, hold.c.seq, hold.c.closed_seq, _placed.c.name.label("placed_by"), _released.c.name.label("released_by"),
        half.c.code.label("half_code"), half.c.kind.label("half_kind"), pairing.c.name.label("pair"), pairing.c.id.label("pairing_id"),
        vehicle.c.name.label("vehicle"), vehicle.c.code.label("vehicle_code"), (_carrier.c.name + ", bay " + _home.c.letter).label("bay"), _home.c.code.label("bay_code"),
    )
    .select_from(hold)
    .outerjoin(half, half.c.id == hold.c.half_id)
    .outerjoin(pairing, pairing.c.id == hold.c.pairing_id)
    .outerjoin(vehicle, vehicle.c.id == hold.c.vehicle_id)
    .outerjoin(_home, _home.c.id == hold.c.bay_id)
    .outerjoin(_carrier, _carrier.c.id == _home.c.vehicle_id)
    .outerjoin(_placed, _placed.c.person_id == hold.c.placed_by_id)
    .outerjoin(_released, _released.c.person_id == hold.c.released_by_id)
    .where(known(hold), hold.c.placed_at <= AT)
    .order_by(hold.c.placed_at)
)  # fmt: skip
_open_holds = _holds.where(in_force(hold, "placed_at", "released_at"))
_one_hold = _holds.where(hold.c.id == bindparam("hold"))
_differences = (
    select(discrepancy.c.id, discrepancy.c.words, discrepancy.c.noted_at, discrepancy.c.seq)
    .where(in_force(discrepancy, "noted_at", "settled_at"))
    .order_by(discrepancy.c.noted_at, discrepancy.c.id)
)
_rechecks = (
    select(recheck.c.id, recheck.c.what, recheck.c.asked_at, recheck.c.seq, pairing.c.name.label("pair"), half.c.code.label("half_code"), housing.c.name.label("housing"), vehicle.c.name.label("vehicle"), knock.c.words)
    .select_from(recheck)
    .join(knock, knock.c.id == recheck.c.knock_id)
    .outerjoin(pairing, pairing.c.id == recheck.c.pairing_id)
    .outerjoin(half, half.c.id == recheck.c.half_id)
    .outerjoin(housing, housing.c.id == recheck.c.housing_id)
    .outerjoin(vehicle, vehicle.c.id == housing.c.vehicle_id)
    .where(in_force(recheck, "asked_at", "answered_at"))
    .order_by(recheck.c.asked_at, recheck.c.id)
)  # fmt: skip


_on_these = sa.or_(
    hold.c.half_id.in_(bindparam("halves", expanding=True)),
    hold.c.pairing_id.in_(bindparam("pairings", expanding=True)),
)
_holds_of = (
    select(
        hold.c.id,
        hold.c.half_id,
        hold.c.pairing_id,
        hold.c.cause,
        hold.c.reason,
        hold.c.placed_at,
        ended_by(hold, "released_at").label("released_at"),
        hold.c.seq,
    )
    .where(known(hold), hold.c.placed_at <= AT, _on_these)
    .order_by(hold.c.placed_at)
)


_rechecks_of = (
    select(recheck.c.id, recheck.c.what, recheck.c.asked_at, recheck.c.seq, recheck.c.half_id, recheck.c.pairing_id, knock.c.words)
    .join(knock, knock.c.id == recheck.c.knock_id)
    .where(
        in_force(recheck, "asked_at", "answered_at"),
        sa.or_(recheck.c.half_id.in_(bindparam("halves", expanding=True)), recheck.c.pairing_id.in_(bindparam("pairings", expanding=True))),
    )
    .order_by(recheck.c.asked_at, recheck.c.id)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class HoldListed:
    """A hold with words for what it lies on and the path to its page."""

    row: sa.RowMapping
    on: str
    code: str | None
    pairing_id: str | None


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something that waits for a hand: what it is, since when, which act answers it."""

    sign: str
    what: str
    told: str
    since: str
    act: str
    label: str
    fields: dict[str, str]


def holds_open(db: sa.Connection, at: str, known_size: int = EVER) -> list[HoldListed]:
    """Every hold open at the instant, oldest first."""
    return [_listed(row) for row in db.execute(_open_holds, {"at": at, "known": known_size}).mappings()]


def hold_shown(db: sa.Connection, hold_id: str, at: str, known_size: int = EVER) -> HoldListed | None:
    row = db.execute(_one_hold, {"hold": hold_id, "at": at, "known": known_size}).mappings().first()
    return _listed(row) if row else None


def _listed(row: sa.RowMapping) -> HoldListed:
    if row["half_code"]:
        return HoldListed(row, f"{row['half_kind']} half {say_code(row['half_code'])}", row["half_code"], None)
    if row["pair"]:
        return HoldListed(row, f"pair {row['pair']}", None, row["pairing_id"])
    if row["vehicle"]:
        return HoldListed(row, f"vehicle {row['vehicle']}", row["vehicle_code"], None)
    return HoldListed(row, row["bay"], row["bay_code"], None)


def waiting(db: sa.Connection, at: str, known_size: int = EVER) -> list[Waiting]:
    """What waits for somebody's hand, oldest first: holds, discrepancies and rechecks."""
    keys = {"at": at, "known": known_size}
    held = [
        Waiting(
            "hold",
            f"{one.on[0].upper()}{one.on[1:]}: a hold needs an answer",
            one.row["reason"],
            one.row["placed_at"],
            "release_hold",
            "Release it",
            {"hold": one.row["id"]},
        )
        for one in holds_open(db, at, known_size)
    ]
    differing = [
        Waiting(
            "mixed",
            "Something else was sighted than is recorded",
            row.words,
            row.noted_at,
            "settle_discrepancy",
            "Settle it",
            {"discrepancy": row.id},
        )
        for row in db.execute(_differences, keys)
    ]
    asked = [
        Waiting(
            "whole",
            f"{_recheck_of(row)}: {RECHECKS[row.what]}",
            f"After a knock: {row.words}",
            row.asked_at,
            "answer_recheck",
            "Answer it",
            {"recheck": row.id},
        )
        for row in db.execute(_rechecks, keys)
    ]
    return sorted([*held, *differing, *asked], key=lambda one: one.since)


def _recheck_of(row: sa.Row) -> str:
    if row.pair:
        return f"Pair {row.pair}"
    return f"Half {say_code(row.half_code)}" if row.half_code else f"{row.vehicle}, {row.housing} housing"


@dataclass(frozen=True, slots=True)
class HoldShown:
    id: str
    on: str
    cause: str
    reason: str
    placed_at: str
    released_at: str | None
    seq: int


def holds_on(db: sa.Connection, named: dict[str, str], at: str, known_size: int = EVER) -> tuple[HoldShown, ...]:
    """Holds, open or released, on any of these halves and pairings; `named` says what each is called."""
    if not named:
        return ()
    keys = {"halves": list(named), "pairings": list(named), "at": at, "known": known_size}
    return tuple(
        HoldShown(r.id, named[r.half_id or r.pairing_id], r.cause, r.reason, r.placed_at, r.released_at, r.seq)
        for r in db.execute(_holds_of, keys)
    )


@dataclass(frozen=True, slots=True)
class AskedAgain:
    """Something a knock asked to be looked at again and nobody has answered yet; `on` says of what."""

    id: str
    on: str
    what: str
    why: str
    asked_at: str
    seq: int


def rechecks_on(db: sa.Connection, named: dict[str, str], at: str, known_size: int = EVER) -> tuple[AskedAgain, ...]:
    """Rechecks open at the instant on any of these halves and pairings; `named` says what each is called."""
    keys = {"halves": list(named), "pairings": list(named), "at": at, "known": known_size}
    return tuple(
        AskedAgain(r.id, named[r.half_id or r.pairing_id], RECHECKS[r.what], r.words, r.asked_at, r.seq)
        for r in db.execute(_rechecks_of, keys)
    )
