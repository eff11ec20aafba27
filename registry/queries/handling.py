"""ESD sign-offs with their readings, and stations with their periodic checks."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.handling import LastCheck
from registry.models.handling import esd_insulator, esd_reading, esd_signoff, last_check, station_check, station_reading
from registry.models.meters import meter
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, ended_by, known, newest
from registry.models.sites import site, station

_signoffs = (
    select(
        esd_signoff.c.id, esd_signoff.c.person_id, person_private.c.name.label("person"), station.c.name.label("station"), station.c.kind, station.c.code.label("station_code"),
        site.c.name.label("site"), esd_signoff.c.signed_at, esd_signoff.c.verdict, esd_signoff.c.good_to_at, ended_by(esd_signoff, "ended_at").label("ended_at"),
        esd_signoff.c.end_reason, esd_signoff.c.seq,
    )
    .join(station, station.c.id == esd_signoff.c.station_id)
    .join(site, site.c.id == station.c.site_id)
    .outerjoin(person_private, person_private.c.person_id == esd_signoff.c.person_id)
    .where(known(esd_signoff), esd_signoff.c.signed_at <= AT)
    .order_by(esd_signoff.c.signed_at.desc())
)  # fmt: skip
_own_signoff = _signoffs.where(esd_signoff.c.person_id == bindparam("person")).limit(1)
_last_signoffs = _signoffs.limit(bindparam("most"))
_signoffs_at = _signoffs.where(esd_signoff.c.station_id == bindparam("station")).limit(bindparam("most"))
_one_signoff = _signoffs.where(esd_signoff.c.id == bindparam("signoff"))
_insulators = (
    select(esd_insulator).where(esd_insulator.c.esd_signoff_id == bindparam("of")).order_by(esd_insulator.c.number)
)


def _readings_of(table: sa.Table, owner: sa.Column) -> sa.Select:
    """Readings in the order they were entered, each with the name of the meter that took it."""
    columns = (*table.c, meter.c.name.label("meter"))
    return (
        select(*columns)
        .outerjoin(meter, meter.c.id == table.c.meter_id)
        .where(owner == bindparam("of"))
        .order_by(table.c.id)
    )


_esd_readings = _readings_of(esd_reading, esd_reading.c.esd_signoff_id)
_check_readings = _readings_of(station_reading, station_reading.c.station_check_id)
_station = (
    select(station.c.id, station.c.code, station.c.name, station.c.kind, station.c.site_id, site.c.name.label("site"))
    .join(site, site.c.id == station.c.site_id)
    .where(station.c.id == bindparam("station"))
)
_checks = (
    select(station_check)
    .where(station_check.c.station_id == bindparam("station"), known(station_check), station_check.c.checked_at <= AT)
    .order_by(station_check.c.checked_at.desc(), station_check.c.seq.desc())
    .limit(bindparam("most"))
)
_last_meters = (
    select(meter.c.name)
    .distinct()
    .join(esd_reading, esd_reading.c.meter_id == meter.c.id)
    .join(esd_signoff, esd_signoff.c.id == esd_reading.c.esd_signoff_id)
    .where(
        meter.c.ended_at.is_(None),
        esd_signoff.c.id
        == select(esd_signoff.c.id)
        .where(esd_signoff.c.station_id == bindparam("station"))
        .order_by(esd_signoff.c.signed_at.desc(), esd_signoff.c.seq.desc())
        .limit(1)
        .scalar_subquery(),
    )
    .order_by(meter.c.name)
)
#: The newest check of every station.
_newest_checks = station_check.alias("newest_checks")
_standing = select(
    station_check.c.station_id, station_check.c.verdict, station_check.c.checked_at, station_check.c.good_to_on
).where(
    station_check.c.id
    == newest(_newest_checks, "checked_at", _newest_checks.c.station_id == station_check.c.station_id)
)


@dataclass(frozen=True, slots=True)
class SignoffPage:
    """One sign-off with its readings, its insulators, and the station’s check it rested on."""

    row: sa.RowMapping
    readings: list[sa.RowMapping]
    insulators: list[sa.RowMapping]


@dataclass(frozen=True, slots=True)
class StationPage:
    """A station, its newest check with the readings, the checks before, and who signed there last."""

    row: sa.RowMapping
    check: LastCheck | None
    readings: list[sa.RowMapping]
    checks: list[sa.RowMapping]
    signoffs: list[sa.RowMapping]


def own_signoff(db: sa.Connection, person_id: str, at: str) -> sa.RowMapping | None:
    """The person's last sign-off, whether or not it still holds."""
    return db.execute(_own_signoff, {"person": person_id, "at": at, "known": EVER}).mappings().first()


def signoffs_listed(db: sa.Connection, at: str, most: int = 50) -> list[sa.RowMapping]:
    return list(db.execute(_last_signoffs, {"at": at, "known": EVER, "most": most}).mappings())


def signoff_page(db: sa.Connection, signoff_id: str, at: str) -> SignoffPage | None:
    """One sign-off; None when there is none of that id."""
    row = db.execute(_one_signoff, {"signoff": signoff_id, "at": at, "known": EVER}).mappings().first()
    if row is None:
        return None
    readings, insulators = (
        list(db.execute(query, {"of": signoff_id}).mappings()) for query in (_esd_readings, _insulators)
    )
    return SignoffPage(row, readings, insulators)


def station_page(db: sa.Connection, station_id: str, at: str, most: int = 12) -> StationPage:
    """One station as it stands at the instant."""
    keys = {"station": station_id, "at": at, "known": EVER, "most": most}
    check_id, check = last_check(db, station_id, at)
    readings = list(db.execute(_check_readings, {"of": check_id}).mappings()) if check_id else []
    checks = list(db.execute(_checks, keys).mappings())
    row = db.execute(_station, keys).mappings().one()
    return StationPage(row, check, readings, checks, list(db.execute(_signoffs_at, keys).mappings()))


def checks_standing(db: sa.Connection, at: str) -> dict[str, LastCheck]:
    """Station id -> its newest check."""
    rows = db.execute(_standing, {"at": at, "known": EVER})
    return {row.station_id: LastCheck(row.verdict, row.checked_at[:10], row.good_to_on) for row in rows}


def meters_last_used(db: sa.Connection, station_id: str) -> list[str]:
    """The names of the meters that the last sign-off at this station was read with."""
    return list(db.execute(_last_meters, {"station": station_id}).scalars())
