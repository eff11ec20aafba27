"""Meters with what covers them, and what each one proved."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.handling import esd_reading, esd_signoff, station_check, station_reading
from registry.models.meters import meter, meter_calibration
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, ended_by, known
from registry.models.sites import site, station
from registry.queries.attachments import FileShown, files_of_meter

_calibrations = meter_calibration.alias("calibrations")
_newest = (
    select(_calibrations.c.id)
    .where(_calibrations.c.meter_id == meter.c.id, known(_calibrations), _calibrations.c.calibrated_on <= bindparam("on", type_=_calibrations.c.calibrated_on.type))
    .order_by(_calibrations.c.calibrated_on.desc(), _calibrations.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)  # fmt: skip
_meters = (
    select(
        meter.c.id, meter.c.name, meter.c.reads, meter.c.words, meter.c.site_id, site.c.name.label("site"), meter.c.seq,
        ended_by(meter, "ended_at").label("ended_at"), meter.c.end_reason, meter_calibration.c.calibrated_on, meter_calibration.c.due_on,
        meter_calibration.c.as_found,
    )
    .join(site, site.c.id == meter.c.site_id)
    .outerjoin(meter_calibration, meter_calibration.c.id == _newest)
    .where(known(meter), meter.c.added_at <= AT)
    .order_by(ended_by(meter, "ended_at").is_not(None), meter.c.name)
)  # fmt: skip
_one = _meters.where(meter.c.id == bindparam("meter"))
_history = (
    select(meter_calibration)
    .where(meter_calibration.c.meter_id == bindparam("meter"), known(meter_calibration))
    .order_by(meter_calibration.c.calibrated_on.desc(), meter_calibration.c.seq.desc())
)
_most = bindparam("most")
_signoffs = (
    select(esd_signoff.c.id, esd_signoff.c.signed_at, esd_signoff.c.verdict, person_private.c.name.label("person"), station.c.name.label("station"))
    .join(station, station.c.id == esd_signoff.c.station_id)
    .outerjoin(person_private, person_private.c.person_id == esd_signoff.c.person_id)
    .where(esd_signoff.c.id.in_(select(esd_reading.c.esd_signoff_id).where(esd_reading.c.meter_id == bindparam("meter"))), esd_signoff.c.signed_at <= AT)
    .order_by(esd_signoff.c.signed_at.desc())
    .limit(_most)
)  # fmt: skip
_checks = (
    select(station_check.c.id, station_check.c.checked_at, station_check.c.verdict, station_check.c.seq, station.c.name.label("station"), station.c.code)
    .join(station, station.c.id == station_check.c.station_id)
    .where(station_check.c.id.in_(select(station_reading.c.station_check_id).where(station_reading.c.meter_id == bindparam("meter"))), station_check.c.checked_at <= AT)
    .order_by(station_check.c.checked_at.desc())
    .limit(_most)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MeterPage:
    """A meter, its calibrations newest first, and the sign-offs and checks that rest on it."""

    row: sa.RowMapping
    calibrations: list[sa.RowMapping]
    signoffs: list[sa.RowMapping]
    checks: list[sa.RowMapping]
    files: tuple[FileShown, ...]


def meters_listed(db: sa.Connection, at: str) -> list[sa.RowMapping]:
    """Every meter with what covers it at the instant; those out of use last."""
    return list(db.execute(_meters, {"at": at, "on": at[:10], "known": EVER}).mappings())


def meter_page(db: sa.Connection, meter_id: str, at: str, most: int = 200) -> MeterPage:
    keys = {"meter": meter_id, "at": at, "on": at[:10], "known": EVER, "most": most}
    row = db.execute(_one, keys).mappings().one()
    lists = [list(db.execute(query, keys).mappings()) for query in (_history, _signoffs, _checks)]
    return MeterPage(row, *lists, files_of_meter(db, meter_id, at))
