"""Halves as pages show them: labels, firmware and place at an instant."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.lookups import first_label
from registry.models.seeks import AT, EVER, KNOWN, known, newest
from registry.models.units import firmware, half, half_place, identity, retirement, unit_type
from registry.models.whereabouts import Whereabouts, whereabouts

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
    .outerjoin(retirement, sa.and_(retirement.c.half_id == half.c.id, retirement.c.seq <= KNOWN, retirement.c.retired_at <= AT))
    .where(half.c.seq <= KNOWN)
)  # fmt: skip
_these_halves = _halves.where(half.c.id.in_(bindparam("halves", expanding=True)))
#: A half is there from its first place on.
_received = sa.exists().where(half_place.c.half_id == half.c.id, known(half_place), half_place.c.since_at <= AT)
_is_received = select(half.c.id).where(half.c.id == bindparam("half"), half.c.seq <= KNOWN, _received)
#: Only the ids of a page, so that the rest is looked up for those alone.
_page = (
    select(half.c.id)
    .join(unit_type, unit_type.c.id == half.c.unit_type_id)
    .join(identity, identity.c.id == first_label)
    .where(half.c.seq <= KNOWN, _received)
    .order_by(unit_type.c.maker, unit_type.c.name, identity.c.printed_serial, half.c.id)
    .limit(bindparam("most"))
    .offset(bindparam("skip"))
)


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


def halves_shown(db: sa.Connection, ids: list[str], at: str, known_size: int = EVER) -> dict[str, HalfShown]:
    """Half id -> the half with its label, firmware and place at the instant."""
    if not ids:
        return {}
    rows = db.execute(_these_halves, {"halves": ids, "at": at, "known": known_size}).all()
    places = whereabouts(db, ids, at, known_size)
    return {row.id: HalfShown(*row, places[row.id]) for row in rows}


def is_received(db: sa.Connection, half_id: str, at: str, known_size: int = EVER) -> bool:
    """Whether the half had come by that instant."""
    return db.execute(_is_received, {"half": half_id, "at": at, "known": known_size}).first() is not None


def halves_listed(
    db: sa.Connection, at: str, known_size: int = EVER, *, skip: int = 0, most: int = 100
) -> list[HalfShown]:
    """Halves by type and serial."""
    ids = list(db.execute(_page, {"at": at, "known": known_size, "skip": skip, "most": most}).scalars())
    shown = halves_shown(db, ids, at, known_size)
    return [shown[id_] for id_ in ids]
