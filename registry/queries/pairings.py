"""Pairs: their page, and the listing of all of them."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.carrying import VIA
from registry.domain.second_checks import SeatChecked
from registry.models.fleet import bay, vehicle
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.lookups import pairings
from registry.models.pairings import pairing
from registry.models.resting import mission_days, seat_of
from registry.models.second_checks import seats_checked
from registry.models.seeks import AT, EVER, ended_by, in_force, known, newest
from registry.models.sightings import discrepancy, sighting
from registry.models.unconfirmed import proved_at
from registry.models.units import unit_type
from registry.queries.attachments import FileShown, files_of
from registry.queries.halves import HalfShown, halves_shown
from registry.queries.history import About, Event, history
from registry.queries.holds import AskedAgain, HoldShown, holds_on, rechecks_on
from registry.queries.missions import missions_of_pair
from registry.queries.verifications import PairVerified, pair_verified

_pairing_columns = (
    pairing.c.id, pairing.c.name, pairing.c.sensor_id, pairing.c.electronics_id, pairing.c.grade, pairing.c.statement, pairing.c.stated_on,
    pairing.c.paired_at, ended_by(pairing, "ended_at").label("ended_at"),
    sa.case((ended_by(pairing, "ended_at").is_not(None), pairing.c.end_reason)).label("end_reason"), pairing.c.seq,
    (unit_type.c.maker + " " + unit_type.c.name).label("type_name"),
)  # fmt: skip
_pairings = (
    select(*_pairing_columns)
    .join(unit_type, unit_type.c.id == pairing.c.unit_type_id)
    .where(known(pairing), pairing.c.paired_at <= AT)
)
_one_pairing = _pairings.where(pairing.c.id == bindparam("pairing"))
_pairings_of_half = _pairings.where(
    sa.or_(pairing.c.sensor_id == bindparam("half"), pairing.c.electronics_id == bindparam("half"))
).order_by(pairing.c.paired_at.desc())
_some_pairings = _pairings.order_by(pairing.c.name).limit(bindparam("most")).offset(bindparam("skip"))
_sightings = sighting.alias("sightings")
_stays = (
    select(
        span.c.installed_at,
        ended_by(span, "removed_at").label("removed_at"),
        vehicle.c.name.label("vehicle"),
        bay.c.letter,
        span.c.seq,
        sighting.c.sighted_at,
        span.c.bay_id,
        span.c.installation_id,
        bay.c.vehicle_id,
        (log_entry.c.via == VIA).label("carried_over"),
    )
    .join(bay, bay.c.id == span.c.bay_id)
    .join(log_entry, log_entry.c.act_id == span.c.opened_by)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(
        sighting,
        sighting.c.id
        == newest(
            _sightings,
            "sighted_at",
            _sightings.c.bay_id == span.c.bay_id,
            _sightings.c.outcome == "as_recorded",
            sa.and_(_sightings.c.sensor_id == span.c.sensor_id, _sightings.c.electronics_id == span.c.electronics_id),
        ),
    )
    .where(known(span), span.c.installed_at <= AT, span.c.pairing_id == bindparam("pairing"))
    .order_by(span.c.installed_at)
)
_differences = select(discrepancy.c.id, discrepancy.c.words, discrepancy.c.noted_at, discrepancy.c.half_id).where(
    in_force(discrepancy, "noted_at", "settled_at"), discrepancy.c.half_id.in_(bindparam("halves", expanding=True))
)


@dataclass(frozen=True, slots=True)
class StayShown:
    vehicle: str
    letter: str
    installed_at: str
    removed_at: str | None
    seq: int
    bay_id: str
    installation_id: str
    confirmed_at: str | None
    checked: SeatChecked


@dataclass(frozen=True, slots=True)
class PairingLine:
    """A pairing in a listing."""

    id: str
    name: str
    type_name: str
    paired_at: str
    ended_at: str | None
    end_reason: str | None
    sensor_id: str
    electronics_id: str


@dataclass(frozen=True, slots=True)
class PairPage:
    """Everything the page of a pair shows. `disc` is the sign for its state at the instant, `mission_days` what rests on
    the last scan of it where it sits."""

    id: str
    name: str
    type_name: str
    grade: str
    statement: str
    stated_on: str
    paired_at: str
    ended_at: str | None
    end_reason: str | None
    sensor: HalfShown
    electronics: HalfShown
    stays: tuple[StayShown, ...]
    holds: tuple[HoldShown, ...]
    differences: tuple[str, ...]
    events: tuple[Event, ...]
    files: tuple[FileShown, ...]
    rechecks: tuple[AskedAgain, ...]
    verified: PairVerified
    mission_days: int
    missions: tuple[sa.RowMapping, ...]

    @property
    def live_holds(self) -> tuple[HoldShown, ...]:
        return tuple(hold for hold in self.holds if hold.released_at is None)

    @property
    def stay(self) -> StayShown | None:
        """The bay it sits in at the instant."""
        return next((stay for stay in self.stays if stay.removed_at is None), None)

    @property
    def disc(self) -> str:
        return "former" if self.ended_at else "hold" if self.live_holds else "mixed" if self.differences else "whole"


def pair_halves(db: sa.Connection, pairing_id: str) -> tuple[str, str]:
    """Both halves of a pairing."""
    row = db.execute(select(pairing.c.sensor_id, pairing.c.electronics_id).where(pairing.c.id == pairing_id)).one()
    return row.sensor_id, row.electronics_id


def pair_page(db: sa.Connection, pairing_id: str, at: str, known_size: int = EVER) -> PairPage | None:
    """The page of a pair, or None when it was not known yet."""
    keys = {"pairing": pairing_id, "at": at, "known": known_size}
    row = db.execute(_one_pairing, keys).mappings().first()
    if row is None:
        return None
    both = [row["sensor_id"], row["electronics_id"]]
    halves = halves_shown(db, both, at, known_size)
    stays = db.execute(_stays, keys).mappings().all()
    days = mission_days(db, at, known_size, [seat_of(stay, stay["bay_id"]) for stay in stays])
    checked = seats_checked(db, [stay["installation_id"] for stay in stays], at, known_size)
    named = {p.id: f"former pair {p.name}" for p in pairings(db, both)}
    named |= {pairing_id: "the pair", both[0]: "the sensor half", both[1]: "the electronics half"}
    about = About(halves=tuple(both), pairings=(pairing_id,))
    events, files = history(db, about, at, known_size), files_of(db, about, at, known_size)
    differences = tuple(d.words for d in db.execute(_differences, {"halves": both, "at": at, "known": known_size}))
    told: dict[str, Any] = {
        name: row[name]
        for name in (
            "id",
            "name",
            "type_name",
            "grade",
            "statement",
            "stated_on",
            "paired_at",
            "ended_at",
            "end_reason",
        )
    }
    return PairPage(
        **told,
        sensor=halves[both[0]],
        electronics=halves[both[1]],
        stays=tuple(_stay(row, checked[row["installation_id"]]) for row in stays),
        holds=holds_on(db, named, at, known_size),
        differences=differences,
        events=tuple(events),
        files=files,
        rechecks=rechecks_on(db, named, at, known_size),
        verified=pair_verified(db, pairing_id, at, known_size),
        mission_days=sum(days.values()),
        missions=missions_of_pair(db, pairing_id, at, known_size),
    )


def _stay(s: sa.RowMapping, checked: SeatChecked) -> StayShown:
    """A stay, with the last scan that proved it and how its check by a second person stands."""
    named = {
        name: s[name]
        for name in ("vehicle", "letter", "installed_at", "removed_at", "seq", "bay_id", "installation_id")
    }
    return StayShown(**named, confirmed_at=proved_at(s), checked=checked)


def pairings_of_half(db: sa.Connection, half_id: str, at: str, known_size: int = EVER) -> tuple[PairingLine, ...]:
    """Every pairing a half stood in, newest first."""
    rows = db.execute(_pairings_of_half, {"half": half_id, "at": at, "known": known_size})
    return tuple(_line(row) for row in rows)


def _line(row: sa.Row) -> PairingLine:
    return PairingLine(
        row.id, row.name, row.type_name, row.paired_at, row.ended_at, row.end_reason, row.sensor_id, row.electronics_id
    )


@dataclass(frozen=True, slots=True)
class PairListed:
    """A pair in the listing, with where its halves are and whether it is held."""

    line: PairingLine
    sensor: HalfShown
    electronics: HalfShown
    held: bool

    @property
    def disc(self) -> str:
        return "former" if self.line.ended_at else "hold" if self.held else "whole"

    def where(self) -> str:
        """One place when both halves are together, both places when they lie apart."""
        one, other = self.sensor.where.say(), self.electronics.where.say()
        return one if one == other else f"apart: sensor half {one}; electronics half {other}"


def pairs_listed(
    db: sa.Connection, at: str, known_size: int = EVER, *, skip: int = 0, most: int = 100
) -> list[PairListed]:
    """Pairs by name, live and ended."""
    lines = [
        _line(row) for row in db.execute(_some_pairings, {"at": at, "known": known_size, "skip": skip, "most": most})
    ]
    halves = halves_shown(db, [id_ for line in lines for id_ in (line.sensor_id, line.electronics_id)], at, known_size)
    stood = {p.id: p.halves() for p in pairings(db, halves)}
    holds = holds_on(db, {id_: id_ for id_ in (*stood, *halves)}, at, known_size)
    held = {id_ for hold in holds if hold.released_at is None for id_ in stood.get(hold.on, (hold.on,))}
    return [
        PairListed(
            line,
            halves[line.sensor_id],
            halves[line.electronics_id],
            bool(held & {line.sensor_id, line.electronics_id}),
        )
        for line in lines
    ]
