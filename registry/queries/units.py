"""One half with everything about it, and the unit types."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.seeks import EVER
from registry.models.units import accepted_statement, class_limit, identity, unit_type
from registry.queries.attachments import FileShown, files_of
from registry.queries.deliveries import CartonShown, cartons_of_half, scopes
from registry.queries.halves import HalfShown, halves_shown, is_received
from registry.queries.history import About, Event, history
from registry.queries.holds import AskedAgain, HoldShown, holds_on, rechecks_on
from registry.queries.outcomes import FaultDiary, fault_diary
from registry.queries.pairings import PairingLine, pairings_of_half
from registry.queries.type_settings import Demands, demands

_labels = select(identity.c.scheme, identity.c.issuer, identity.c.printed_part, identity.c.printed_serial, identity.c.joined, identity.c.read_from, identity.c.seq).where(
    identity.c.half_id == bindparam("half")
).order_by(identity.c.seq)  # fmt: skip
_types = select(unit_type).order_by(unit_type.c.maker, unit_type.c.name)
_limits = select(class_limit).order_by(class_limit.c.seq, class_limit.c.id)
_grades = select(accepted_statement.c.unit_type_id, accepted_statement.c.grade).order_by(accepted_statement.c.grade)


@dataclass(frozen=True, slots=True)
class HalfPage:
    """Everything the page of a half shows: itself, its labels, every pairing it stood in, its history."""

    half: HalfShown
    pairings: tuple[PairingLine, ...]
    labels: tuple[sa.Row, ...]
    holds: tuple[HoldShown, ...]
    partner: HalfShown | None
    events: tuple[Event, ...]
    cartons: tuple[CartonShown, ...]
    files: tuple[FileShown, ...]
    rechecks: tuple[AskedAgain, ...]
    diary: FaultDiary

    @property
    def pairing(self) -> PairingLine | None:
        return next((p for p in self.pairings if p.ended_at is None), None)


def half_page(db: sa.Connection, half_id: str, at: str, known_size: int = EVER) -> HalfPage | None:
    """The page of a half, or None when it was not known yet."""
    shown = halves_shown(db, [half_id], at, known_size).get(half_id)
    if shown is None or not is_received(db, half_id, at, known_size):
        return None
    pairings = pairings_of_half(db, half_id, at, known_size)
    live = next((p for p in pairings if p.ended_at is None), None)
    partner_id = None if live is None else live.electronics_id if half_id == live.sensor_id else live.sensor_id
    partner = halves_shown(db, [partner_id], at, known_size).get(partner_id) if partner_id else None
    about = About(halves=(half_id,))
    events, files = history(db, about, at, known_size), files_of(db, about, at, known_size)
    labels = tuple(row for row in db.execute(_labels, {"half": half_id}) if row.seq <= known_size)
    named = {half_id: "the half"} | {p.id: f"pair {p.name}" for p in pairings}
    return HalfPage(
        shown,
        pairings,
        labels,
        holds_on(db, named, at, known_size),
        partner,
        tuple(events),
        cartons_of_half(db, half_id, at),
        files,
        rechecks_on(db, named, at, known_size),
        fault_diary(db, half_id, at, known_size),
    )


@dataclass(frozen=True, slots=True)
class TypeShown:
    """A unit type with its class and the statements it accepts."""

    row: Any
    limits: tuple[Any, ...]
    grades: tuple[str, ...]
    scope: tuple[tuple[str, int], ...]
    demands: Demands


def types_listed(db: sa.Connection, at: str) -> list[TypeShown]:
    """Every unit type, by maker and name, with the scope of delivery in force at the instant."""
    scope, demanded = scopes(db, at), demands(db, at)
    limits, grades = db.execute(_limits).mappings().all(), db.execute(_grades).all()
    return [
        TypeShown(
            row,
            tuple(one for one in limits if one["unit_type_id"] == row["id"]),
            tuple(grade for id_, grade in grades if id_ == row["id"]),
            tuple(scope.get(row["id"], ())),
            demanded.get(row["id"], Demands()),
        )
        for row in db.execute(_types).mappings()
    ]
