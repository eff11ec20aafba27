"""The facts about bays, halves and stays that installing, removing, swapping and pairing are decided on."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.act import Case
from registry.domain.fleet import LEAK_TESTED
from registry.domain.holds import SUBJECTS, Hold
from registry.domain.installs import Move, Neighbours, Stay
from registry.domain.matches import Half
from registry.domain.openings import Asked
from registry.domain.signoffs import Signoff
from registry.domain.times import NEVER, say
from registry.models.fleet import bay, bay_type, housing, vehicle, vehicle_place
from registry.models.handling import esd_signoff
from registry.models.holds import hold
from registry.models.installs import installation_span as span
from registry.models.lookups import halves, pairings
from registry.models.openings import recheck
from registry.models.pairings import pairing
from registry.models.seeks import AT, EVER, in_force, newest
from registry.models.sites import site, station
from registry.models.units import half_place, retirement

_stays = (
    select(
        span.c.id, span.c.bay_id, (vehicle.c.name + ", bay " + bay.c.letter).label("bay"), span.c.pairing_id, pairing.c.name.label("pair"),
        span.c.sensor_id, span.c.electronics_id, span.c.installed_at, span.c.removed_at,
        sa.func.coalesce(span.c.closed_seq, span.c.seq).label("seq"),
    )
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .where(span.c.voided_seq.is_(None))
)  # fmt: skip

#: Read by every act on halves; they live with the lookups that pages share.
__all__ = ["halves", "pairings"]


def _neighbour_statements(key: str) -> tuple[sa.Select[Any], sa.Select[Any]]:
    mine = _stays.where(span.c[key] == bindparam("key", type_=span.c[key].type))
    before = mine.where(span.c.installed_at <= AT).order_by(span.c.installed_at.desc(), span.c.seq.desc()).limit(1)
    after = mine.where(span.c.installed_at > AT).order_by(span.c.installed_at, span.c.seq).limit(1)
    return before, after


_NEIGHBOURS = {key: _neighbour_statements(key) for key in ("bay_id", "sensor_id", "electronics_id")}
_installation = select(span.c.installation_id).where(span.c.id == bindparam("span"))
_all_of = {
    "half": _stays.where(sa.or_(span.c.sensor_id == bindparam("thing"), span.c.electronics_id == bindparam("thing"))),
    "vehicle": _stays.where(bay.c.vehicle_id == bindparam("thing")),
}
_stays_at = _stays.where(
    bay.c.vehicle_id == bindparam("vehicle"), in_force(span, "installed_at", "removed_at")
).order_by(bay.c.letter)
_one_stay = _stays.where(span.c.id == bindparam("span"))
_stay_of_half = _stays.where(
    sa.or_(span.c.sensor_id == bindparam("thing"), span.c.electronics_id == bindparam("thing")),
    in_force(span, "installed_at", "removed_at"),
)
_sharing = _stays.where(
    sa.or_(*(span.c[name].in_(bindparam(name, expanding=True)) for name in ("bay_id", "sensor_id", "electronics_id")))
)
_halves, _until = bindparam("halves", expanding=True), bindparam("until", type_=retirement.c.retired_at.type)
_moves_within = (
    select(half_place.c.id, half_place.c.half_id, half_place.c.since_at, site.c.name.label("site"))
    .join(site, site.c.id == half_place.c.site_id)
    .where(half_place.c.half_id.in_(_halves), half_place.c.voided_seq.is_(None), half_place.c.since_at > AT, half_place.c.since_at < _until)
    .order_by(half_place.c.since_at, half_place.c.id)
)  # fmt: skip
_touched = select(
    sa.func.max(
        sa.union_all(
            *(
                select(sa.func.max(sa.func.coalesce(t.c.closed_seq, t.c.seq)).label("seq")).where(
                    sa.or_(t.c.sensor_id.in_(_halves), t.c.electronics_id.in_(_halves))
                )
                for t in (pairing, span)
            )
        )
        .subquery("newest")
        .c.seq
    )
)
_tested = (
    select(housing.c.id)
    .where(housing.c.vehicle_id == bindparam("vehicle"), housing.c.closing_method.in_(bindparam("methods", expanding=True)))
    .order_by(housing.c.id)
)  # fmt: skip
_vehicle_places = vehicle_place.alias("vehicle_places")
_bay = (
    select(bay.c.id, bay.c.letter, bay.c.housing_id, bay.c.vehicle_id, vehicle.c.name.label("vehicle"), vehicle_place.c.site_id, site.c.name.label("site"))
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(vehicle_place, vehicle_place.c.id == newest(_vehicle_places, "since_at", _vehicle_places.c.vehicle_id == bay.c.vehicle_id))
    .outerjoin(site, site.c.id == vehicle_place.c.site_id)
    .where(bay.c.id == bindparam("bay"))
)  # fmt: skip
_vehicle_site = (
    select(vehicle_place.c.site_id, site.c.name.label("site"), vehicle_place.c.since_at, vehicle_place.c.seq)
    .join(site, site.c.id == vehicle_place.c.site_id)
    .where(vehicle_place.c.id == newest(_vehicle_places, "since_at", _vehicle_places.c.vehicle_id == bindparam("vehicle")))
)  # fmt: skip
_accepted = select(bay_type.c.unit_type_id).where(
    bay_type.c.bay_id == bindparam("bay"), in_force(bay_type, "accepted_at", "ended_at")
)
_holds = select(hold).where(
    in_force(hold, "placed_at", "released_at"),
    sa.or_(*(hold.c[name].in_(bindparam(name, expanding=True)) for name in SUBJECTS)),
)  # fmt: skip
_rechecks = select(recheck.c.id, recheck.c.what, recheck.c.half_id, recheck.c.pairing_id, recheck.c.asked_at).where(
    in_force(recheck, "asked_at", "answered_at"), recheck.c.what.in_(bindparam("what", expanding=True)),
    sa.or_(recheck.c.half_id.in_(bindparam("halves", expanding=True)), recheck.c.pairing_id.in_(bindparam("pairings", expanding=True))),
).order_by(recheck.c.asked_at, recheck.c.id)  # fmt: skip
_signoffs = (
    select(
        esd_signoff.c.id, esd_signoff.c.person_id, station.c.name, station.c.kind, station.c.site_id,
        esd_signoff.c.signed_at, esd_signoff.c.good_to_at, esd_signoff.c.ended_at, esd_signoff.c.verdict,
    )
    .join(station, station.c.id == esd_signoff.c.station_id)
    .where(esd_signoff.c.voided_seq.is_(None))
)  # fmt: skip
_last_signoffs = (
    _signoffs.where(esd_signoff.c.person_id == bindparam("person"), esd_signoff.c.signed_at <= AT)
    .order_by(esd_signoff.c.signed_at.desc(), esd_signoff.c.seq.desc()).limit(1)
)  # fmt: skip
_named_signoff = _signoffs.where(esd_signoff.c.id == bindparam("signoff"))
_retired = select(retirement.c.half_id, retirement.c.vehicle_id, retirement.c.retired_at).where(
    retirement.c.retired_at < bindparam("until", type_=retirement.c.retired_at.type),
    sa.or_(
        retirement.c.half_id.in_(bindparam("halves", expanding=True)), retirement.c.vehicle_id == bindparam("vehicle")
    ),
)


def neighbours(db: sa.Connection, key: str, value: str, at: str) -> Neighbours:
    """The stay of a bay or half that began last by `at`, and the next one to begin."""
    found = [db.execute(statement, {"key": value, "at": at}).first() for statement in _NEIGHBOURS[key]]
    before, after = (Stay(*row) if row else None for row in found)
    return Neighbours(before, after)


def stays_of(db: sa.Connection, what: str, thing: str) -> list[Stay]:
    """Every stay of a half, or in the bays of a vehicle, oldest first. `what` is `half` or `vehicle`."""
    return sorted(
        (Stay(*row) for row in db.execute(_all_of[what], {"thing": thing})), key=lambda stay: stay.installed_at
    )


def stay_with(db: sa.Connection, span_id: str, installed_at: str, removed_at: str | None) -> Stay:
    """A stay as it would be with other instants."""
    return replace(
        Stay(*db.execute(_one_stay, {"span": span_id}).one()), installed_at=installed_at, removed_at=removed_at
    )


def stay_of_half(db: sa.Connection, half_id: str, at: str) -> Stay | None:
    """The stay a half sat in at an instant."""
    row = db.execute(_stay_of_half, {"thing": half_id, "at": at, "known": EVER}).first()
    return Stay(*row) if row else None


def stays_sharing(db: sa.Connection, stays: Iterable[Stay]) -> list[Stay]:
    """Every stay in the bays or with the halves of these."""
    stays = list(stays)
    keys = {name: sorted({getattr(stay, name) for stay in stays}) for name in ("bay_id", "sensor_id", "electronics_id")}
    return [Stay(*row) for row in db.execute(_sharing, keys)]


def live_stays_at(db: sa.Connection, vehicle_id: str, at: str) -> list[Stay]:
    """What sat in the bays of a vehicle at an instant."""
    return [Stay(*row) for row in db.execute(_stays_at, {"vehicle": vehicle_id, "at": at, "known": EVER})]


def tested_housings(db: sa.Connection, vehicle_id: str) -> list[str]:
    """Housings of a vehicle whose closing a leak test proves."""
    return list(db.execute(_tested, {"vehicle": vehicle_id, "methods": sorted(LEAK_TESTED)}).scalars())


def installation_of(db: sa.Connection, span_id: str) -> str:
    return db.execute(_installation, {"span": span_id}).scalar_one()


def bay_facts(db: sa.Connection, bay_id: str, at: str) -> sa.Row:
    """The bay with its vehicle, its housing and the site the vehicle was at."""
    return db.execute(_bay, {"bay": bay_id, "at": at, "known": EVER}).one()


def vehicle_site(db: sa.Connection, vehicle_id: str, at: str) -> sa.Row | None:
    """Where a vehicle was, and since when."""
    return db.execute(_vehicle_site, {"vehicle": vehicle_id, "at": at, "known": EVER}).first()


def accepted_types(db: sa.Connection, bay_id: str, at: str) -> frozenset[str]:
    return frozenset(db.execute(_accepted, {"bay": bay_id, "at": at, "known": EVER}).scalars())


def open_holds(db: sa.Connection, at: str, names: dict[str, dict[str, str]]) -> tuple[Hold, ...]:
    """Holds open at `at` on any of these things. `names` is column of `hold` -> {id: words for it}."""
    keys = {column: sorted(names.get(column, {})) for column in SUBJECTS}
    rows = db.execute(_holds, {**keys, "at": at, "known": EVER}).mappings()
    found = []
    for row in rows:
        column = next(name for name in SUBJECTS if row[name])
        found.append(
            Hold(
                row["id"],
                names[column][row[column]],
                row["cause"],
                row["reason"],
                row["placed_at"],
                row["placed_by_id"],
                row["done_by_id"],
                row["seq"],
            )
        )
    return tuple(found)


def signoffs_of(case: Case, named: str | None) -> tuple[list[Signoff], Signoff | None]:
    """The last sign-off of who did it by the instant, and the one the act names."""
    own = [Signoff(*row) for row in case.db.execute(_last_signoffs, {"person": case.done_by, "at": case.at})]
    row = case.db.execute(_named_signoff, {"signoff": named}).first() if named else None
    return own, Signoff(*row) if row else None


def touched(db: sa.Connection, half_ids: Iterable[str]) -> int:
    """The newest entry that changed a pairing or a stay of these halves."""
    return db.execute(_touched, {"halves": sorted(half_ids)}).scalar() or 0


def moves_within(
    db: sa.Connection, known: dict[str, Half], at: str, until: str | None, but: Iterable[str] = ()
) -> tuple[Move, ...]:
    """Where the record puts these halves down inside a stay, in order; `but` are rows that are not looked at."""
    keys = {"halves": sorted(known), "at": at, "until": until or NEVER}
    gone = set(but)
    rows = db.execute(_moves_within, keys).all()
    return tuple(Move(known[r.half_id].say(), r.site, r.since_at) for r in rows if r.id not in gone)


def retired_words(
    db: sa.Connection, until: str | None, known: dict[str, Half], vehicle_id: str | None = None, vehicle_name: str = ""
) -> tuple[str, ...]:
    """Words for whichever of these things were retired before a stay ended, or ever if it has not ended."""
    rows = db.execute(_retired, {"until": until or NEVER, "halves": sorted(known), "vehicle": vehicle_id})
    return tuple(
        f"{known[row.half_id].say() if row.half_id else vehicle_name} was retired on {say(row.retired_at)}"
        for row in rows.all()
    )


def rechecks_asked(
    db: sa.Connection, at: str, what: Iterable[str], names: dict[str, dict[str, str]]
) -> tuple[Asked, ...]:
    """What of these kinds was asked of these halves and pairings by then, and not answered; `names` as for holds."""
    halves, pairs = names.get("half_id", {}), names.get("pairing_id", {})
    keys = {"what": list(what), "halves": sorted(halves), "pairings": sorted(pairs), "at": at, "known": EVER}
    return tuple(
        Asked(row.id, row.what, halves[row.half_id] if row.half_id else pairs[row.pairing_id], row.asked_at)
        for row in db.execute(_rechecks, keys)
    )
