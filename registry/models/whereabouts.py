"""Where halves are at an instant: in a bay, or lying at a site, as far as the log of a given size tells it."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.loans import Away
from registry.domain.times import say_day
from registry.models.fleet import bay, vehicle, vehicle_place
from registry.models.installs import installation_span, removal
from registry.models.movement import half_away
from registry.models.seeks import EVER, ended_by, newest
from registry.models.seeks import known as known_rows
from registry.models.sites import site
from registry.models.units import half, half_place

_stay, _by_sensor, _by_electronics = (installation_span.alias(name) for name in ("stay", "by_sensor", "by_electronics"))
_place, _places = half_place.alias("place"), half_place.alias("places")
_berth, _berths, _quay = vehicle_place.alias("berth"), vehicle_place.alias("berths"), site.alias("quay")

#: Where the vehicle was when the pair came out of it: there the halves lie, until they are carried on.
_lifted_at = (
    select(_berths.c.id)
    .where(_berths.c.vehicle_id == bay.c.vehicle_id, _berths.c.since_at <= _stay.c.removed_at, known_rows(_berths))
    .order_by(_berths.c.since_at.desc(), _berths.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)
_gone, _absences = half_away.alias("gone"), half_away.alias("absences")
_newest_stay = sa.case(
    (half.c.kind == "sensor", newest(_by_sensor, "installed_at", _by_sensor.c.sensor_id == half.c.id)),
    else_=newest(_by_electronics, "installed_at", _by_electronics.c.electronics_id == half.c.id),
)
_query = (
    select(
        half.c.id, _stay.c.bay_id, _stay.c.pairing_id, _stay.c.installed_at,
        ended_by(_stay, "removed_at").label("removed_at"),
        vehicle.c.id.label("vehicle_id"), vehicle.c.name.label("vehicle"), bay.c.letter, bay.c.code.label("bay_code"),
        _place.c.since_at, _place.c.spot, site.c.id.label("site_id"), site.c.name.label("site"),
        removal.c.as_recorded, _quay.c.id.label("quay_id"), _quay.c.name.label("quay"),
        _gone.c.id.label("away_id"), _gone.c.cause, _gone.c.keeper, _gone.c.since_at.label("away_at"), ended_by(_gone, "returned_at").label("back_at"),
    )
    .select_from(half)
    .outerjoin(_stay, _stay.c.id == _newest_stay)
    .outerjoin(bay, bay.c.id == _stay.c.bay_id)
    .outerjoin(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(removal, sa.and_(removal.c.act_id == _stay.c.closed_by, removal.c.installation_id == _stay.c.installation_id))
    .outerjoin(_berth, _berth.c.id == _lifted_at)
    .outerjoin(_quay, _quay.c.id == _berth.c.site_id)
    .outerjoin(_place, _place.c.id == newest(_places, "since_at", _places.c.half_id == half.c.id))
    .outerjoin(site, site.c.id == _place.c.site_id)
    .outerjoin(_gone, _gone.c.id == newest(_absences, "since_at", _absences.c.half_id == half.c.id))
    .where(half.c.id.in_(bindparam("halves", expanding=True)))
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """One half's place. `bay_id` and `vehicle` are set while it sits in a bay, `away` says where it is away while it is at
    repair or on loan, else `site` if one is recorded."""

    half_id: str
    bay_id: str | None = None
    bay_code: str | None = None
    vehicle_id: str | None = None
    vehicle: str | None = None
    letter: str | None = None
    site_id: str | None = None
    site: str | None = None
    spot: str | None = None
    since_at: str | None = None
    away: str | None = None

    def say(self) -> str:
        """`in Burdock, bay A, since 11 May 2026`, `at North store, shelf 2`, or `place not recorded`."""
        if self.vehicle:
            return f"in {self.vehicle}, bay {self.letter}, since {say_day(self.since_at or '')}"
        if self.away:
            return self.away
        if self.site:
            return f"at {self.site}" + (f", {self.spot}" if self.spot else "")
        return "place not recorded"


def whereabouts(db: sa.Connection, halves: Iterable[str], at: str, known: int = EVER) -> dict[str, Whereabouts]:
    """Half id -> where it was at `at`, as the log of size `known` tells it. One statement for any number of halves."""
    wanted = sorted(set(halves))
    if not wanted:
        return {}
    rows = db.execute(_query, {"halves": wanted, "at": at, "known": known}).all()
    return {row.id: _place_of(row) for row in rows}


def _place_of(row: sa.Row) -> Whereabouts:
    # A place from before its last stay is where it was carried away from: it says nothing about now.
    if row.bay_id and row.removed_at is None:
        return Whereabouts(
            row.id, row.bay_id, row.bay_code, row.vehicle_id, row.vehicle, row.letter, since_at=row.installed_at
        )
    if row.away_id and row.back_at is None:
        gone = Away(row.away_id, row.id, row.cause, row.keeper, row.away_at, None)
        return Whereabouts(row.id, since_at=row.away_at, away=gone.say())
    if row.site and (row.removed_at or "") <= row.since_at:
        return Whereabouts(row.id, site_id=row.site_id, site=row.site, spot=row.spot, since_at=row.since_at)
    if row.removed_at and row.as_recorded and row.quay:
        return Whereabouts(row.id, site_id=row.quay_id, site=row.quay, spot="", since_at=row.removed_at)
    return Whereabouts(row.id)
