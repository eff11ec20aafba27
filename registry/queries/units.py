"""Pairs and halves: their pages, and the listings of both and of the unit types."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.fleet import bay, vehicle
from registry.models.holds import hold
from registry.models.installs import installation_span as span
from registry.models.lookups import first_label
from registry.models.pairings import pairing
from registry.models.seeks import AT, EVER, ended_by, in_force, known, newest
from registry.models.sightings import discrepancy
from registry.models.units import accepted_statement, class_limit, firmware, half, identity, retirement, unit_type
from registry.models.whereabouts import Whereabouts, whereabouts
from registry.queries.history import About, Event, history

_firmwares = firmware.alias("firmwares")
_halves = (
    select(
        half.c.id, half.c.code, half.c.kind, half.c.revision, half.c.unit_type_id, (unit_type.c.maker + " " + unit_type.c.name).label("type_name"),
        identity.c.printed_part, identity.c.printed_serial, identity.c.issuer, firmware.c.version.label("firmware"), retirement.c.retired_at,
    )
    .select_from(half)
    .join(unit_type, unit_type.c.id == half.c.unit_type_id)
    .join(identity, identity.c.id == first_label)
    .outerjoin(firmware, firmware.c.id == newest(_firmwares, "since_at", _firmwares.c.half_id == half.c.id))
    .outerjoin(retirement, sa.and_(retirement.c.half_id == half.c.id, retirement.c.retired_at <= AT))
    .where(half.c.seq <= bindparam("known"))
)  # fmt: skip
_these_halves = _halves.where(half.c.id.in_(bindparam("halves", expanding=True)))
_all_halves = _halves.order_by(unit_type.c.maker, unit_type.c.name, identity.c.printed_serial).limit(bindparam("most")).offset(bindparam("skip"))
_pairing_columns = (
    pairing.c.id, pairing.c.name, pairing.c.sensor_id, pairing.c.electronics_id, pairing.c.grade, pairing.c.statement, pairing.c.stated_on,
    pairing.c.paired_at, ended_by(pairing, "ended_at").label("ended_at"), pairing.c.end_reason, pairing.c.seq,
    (unit_type.c.maker + " " + unit_type.c.name).label("type_name"),
)  # fmt: skip
_pairings = select(*_pairing_columns).join(unit_type, unit_type.c.id == pairing.c.unit_type_id).where(known(pairing), pairing.c.paired_at <= AT)
_one_pairing = _pairings.where(pairing.c.id == bindparam("pairing"))
_pairings_of_half = _pairings.where(sa.or_(pairing.c.sensor_id == bindparam("half"), pairing.c.electronics_id == bindparam("half"))).order_by(pairing.c.paired_at.desc())
_stays = (
    select(span.c.installed_at, ended_by(span, "removed_at").label("removed_at"), vehicle.c.name.label("vehicle"), bay.c.letter, span.c.seq)
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(known(span), span.c.installed_at <= AT, span.c.pairing_id == bindparam("pairing"))
    .order_by(span.c.installed_at)
)
_on_these = sa.or_(hold.c.half_id.in_(bindparam("halves", expanding=True)), hold.c.pairing_id.in_(bindparam("pairings", expanding=True)))
_holds = (
    select(hold.c.id, hold.c.half_id, hold.c.pairing_id, hold.c.cause, hold.c.reason, hold.c.placed_at, ended_by(hold, "released_at").label("released_at"), hold.c.seq)
    .where(known(hold), hold.c.placed_at <= AT, _on_these)
    .order_by(hold.c.placed_at)
)
_differences = select(discrepancy.c.id, discrepancy.c.words, discrepancy.c.noted_at, discrepancy.c.half_id).where(
    in_force(discrepancy, "noted_at", "settled_at"), discrepancy.c.half_id.in_(bindparam("halves", expanding=True))
)
_labels = select(identity.c.scheme, identity.c.issuer, identity.c.printed_part, identity.c.printed_serial, identity.c.joined, identity.c.read_from, identity.c.seq).where(
    identity.c.half_id == bindparam("half")
).order_by(identity.c.seq)  # fmt: skip
_some_pairings = _pairings.order_by(pairing.c.name).limit(bindparam("most")).offset(bindparam("skip"))
_types = select(unit_type).order_by(unit_type.c.maker, unit_type.c.name)
_limits = select(class_limit).order_by(class_limit.c.seq, class_limit.c.id)
_grades = select(accepted_statement.c.unit_type_id, accepted_statement.c.grade).order_by(accepted_statement.c.grade)


@dataclass(frozen=True, slots=True)
class HalfShown:
    """A half as pages show it."""

    id: str
    code: str
    kind: str
    revision: str
    unit_type_id: str
    type_name: str
    part: str
    serial: str
    issuer: str
    firmware: str | None
    retired_at: str | None
    where: Whereabouts

    @property
    def words(self) -> str:
        return f"{self.kind} half"


@dataclass(frozen=True, slots=True)
class HoldShown:
    id: str
    on: str
    cause: str
    reason: str
    placed_at: str
    released_at: str | None
    seq: int


@dataclass(frozen=True, slots=True)
class StayShown:
    vehicle: str
    letter: str
    installed_at: str
    removed_at: str | None
    seq: int


@dataclass(frozen=True, slots=True)
class PairPage:
    """Everything the page of a pair shows. `disc` is the sign for its state at the instant."""

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


def halves_shown(db: sa.Connection, ids: list[str], at: str, known_size: int = EVER) -> dict[str, HalfShown]:
    """Half id -> the half with its label, firmware and place at the instant."""
    if not ids:
        return {}
    rows = db.execute(_these_halves, {"halves": ids, "at": at, "known": known_size}).all()
    places = whereabouts(db, ids, at, known_size)
    return {row.id: HalfShown(*row, places[row.id]) for row in rows}


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
    stays = tuple(StayShown(s.vehicle, s.letter, s.installed_at, s.removed_at, s.seq) for s in db.execute(_stays, keys))
    named = {pairing_id: "the pair", both[0]: "the sensor half", both[1]: "the electronics half"}
    events = history(db, About(halves=tuple(both), pairings=(pairing_id,)), at, known_size)
    differences = tuple(d.words for d in db.execute(_differences, {"halves": both, "at": at, "known": known_size}))
    told: dict[str, Any] = {name: row[name] for name in ("id", "name", "type_name", "grade", "statement", "stated_on", "paired_at", "ended_at", "end_reason")}
    return PairPage(**told, sensor=halves[both[0]], electronics=halves[both[1]], stays=stays, holds=holds_on(db, named, at, known_size), differences=differences, events=tuple(events))


def holds_on(db: sa.Connection, named: dict[str, str], at: str, known_size: int = EVER) -> tuple[HoldShown, ...]:
    """Holds, open or released, on any of these halves and pairings; `named` says what each is called."""
    keys = {"halves": list(named), "pairings": list(named), "at": at, "known": known_size}
    return tuple(HoldShown(r.id, named[r.half_id or r.pairing_id], r.cause, r.reason, r.placed_at, r.released_at, r.seq) for r in db.execute(_holds, keys))


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
class HalfPage:
    """Everything the page of a half shows: itself, its labels, every pairing it stood in, its history."""

    half: HalfShown
    pairings: tuple[PairingLine, ...]
    labels: tuple[sa.Row, ...]
    holds: tuple[HoldShown, ...]
    partner: HalfShown | None
    events: tuple[Event, ...]

    @property
    def pairing(self) -> PairingLine | None:
        return next((p for p in self.pairings if p.ended_at is None), None)


def half_page(db: sa.Connection, half_id: str, at: str, known_size: int = EVER) -> HalfPage | None:
    """The page of a half, or None when it was not known yet."""
    keys = {"half": half_id, "at": at, "known": known_size}
    shown = halves_shown(db, [half_id], at, known_size).get(half_id)
    if shown is None:
        return None
    pairings = tuple(_line(row) for row in db.execute(_pairings_of_half, keys))
    live = next((p for p in pairings if p.ended_at is None), None)
    partner_id = None if live is None else live.electronics_id if half_id == live.sensor_id else live.sensor_id
    partner = halves_shown(db, [partner_id], at, known_size).get(partner_id) if partner_id else None
    events = history(db, About(halves=(half_id,)), at, known_size)
    labels = tuple(row for row in db.execute(_labels, {"half": half_id}) if row.seq <= known_size)
    named = {half_id: "the half"} | {p.id: f"pair {p.name}" for p in pairings}
    return HalfPage(shown, pairings, labels, holds_on(db, named, at, known_size), partner, tuple(events))


def _line(row: sa.Row) -> PairingLine:
    return PairingLine(row.id, row.name, row.type_name, row.paired_at, row.ended_at, row.end_reason, row.sensor_id, row.electronics_id)


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


def pairs_listed(db: sa.Connection, at: str, known_size: int = EVER, *, skip: int = 0, most: int = 100) -> list[PairListed]:
    """Pairs by name, live and ended."""
    lines = [_line(row) for row in db.execute(_some_pairings, {"at": at, "known": known_size, "skip": skip, "most": most})]
    halves = halves_shown(db, [id_ for line in lines for id_ in (line.sensor_id, line.electronics_id)], at, known_size)
    named = {id_: "" for line in lines for id_ in (line.id, line.sensor_id, line.electronics_id)}
    keys = {"halves": list(named), "pairings": list(named), "at": at, "known": known_size}
    held = {row.half_id or row.pairing_id for row in db.execute(_holds, keys) if row.released_at is None} if named else set()
    return [PairListed(line, halves[line.sensor_id], halves[line.electronics_id], bool(held & {line.id, line.sensor_id, line.electronics_id})) for line in lines]


def halves_listed(db: sa.Connection, at: str, known_size: int = EVER, *, skip: int = 0, most: int = 100) -> list[HalfShown]:
    """Halves by type and serial."""
    rows = db.execute(_all_halves, {"at": at, "known": known_size, "skip": skip, "most": most}).all()
    places = whereabouts(db, [row.id for row in rows], at, known_size)
    return [HalfShown(*row, places[row.id]) for row in rows]


@dataclass(frozen=True, slots=True)
class TypeShown:
    """A unit type with its class and the statements it accepts."""

    row: Any
    limits: tuple[Any, ...]
    grades: tuple[str, ...]


def types_listed(db: sa.Connection) -> list[TypeShown]:
    """Every unit type, by maker and name."""
    limits, grades = db.execute(_limits).mappings().all(), db.execute(_grades).all()
    return [
        TypeShown(row, tuple(one for one in limits if one["unit_type_id"] == row["id"]), tuple(grade for id_, grade in grades if id_ == row["id"]))
        for row in db.execute(_types).mappings()
    ]
