"""The statements from which it is worked out what something found bad was used for."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.verifications import MOVING
from registry.models.alignments import alignment
from registry.models.calibrations import calibration
from registry.models.columns import Id
from registry.models.due import is_good
from registry.models.fleet import bay, vehicle
from registry.models.handling import esd_reading, esd_signoff, station_check, station_reading
from registry.models.installs import installation
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.meters import meter, meter_calibration
from registry.models.missions import mission, mission_run
from registry.models.pairings import pairing
from registry.models.seeks import AT
from registry.models.sites import station
from registry.models.units import firmware
from registry.models.verifications import verification

_FOREVER = sa.literal("9999-12-31T23:59:59.999999Z", type_=span.c.installed_at.type)
_PAIRINGS = bindparam("pairings", expanding=True)
_INSTALLATIONS = bindparam("installations", expanding=True)
_BUT = bindparam("but", type_=Id)

_good = (
    select(verification.c.id, verification.c.verified_at, verification.c.kind, verification.c.pairing_id)
    .where(verification.c.pairing_id.in_(_PAIRINGS), verification.c.kind.in_(MOVING), is_good(verification), sa.or_(_BUT.is_(None), verification.c.id != _BUT), verification.c.voided_seq.is_(None))
    .limit(1)
)  # fmt: skip
#: The newest good result by an instant, and the first one after it, by what reviews say at `at`; `but` leaves one out.
_BY = bindparam("by", type_=verification.c.verified_at.type)
last_good = _good.where(verification.c.verified_at <= _BY).order_by(
    verification.c.verified_at.desc(), verification.c.seq.desc()
)
_AFTER = bindparam("after", type_=verification.c.verified_at.type)
next_good = _good.where(verification.c.verified_at > _AFTER).order_by(verification.c.verified_at, verification.c.seq)
#: The stay of any of these pairs that held at the instant.
holding = (
    select(span.c.removed_at)
    .where(span.c.pairing_id.in_(_PAIRINGS), span.c.voided_seq.is_(None), span.c.installed_at <= AT, sa.func.coalesce(span.c.removed_at, _FOREVER) > AT)
)  # fmt: skip
pairings_of_half = (
    select(pairing.c.id, pairing.c.name)
    .where(pairing.c.voided_seq.is_(None), pairing.c.paired_at <= AT, sa.or_(pairing.c.sensor_id == bindparam("half"), pairing.c.electronics_id == bindparam("half")))
    .order_by(pairing.c.paired_at)
)  # fmt: skip
halves_of = select(pairing.c.sensor_id, pairing.c.electronics_id, pairing.c.name).where(pairing.c.id.in_(_PAIRINGS))
firmwares = (
    select(firmware.c.half_id, firmware.c.version, firmware.c.since_at)
    .where(firmware.c.half_id.in_(bindparam("halves", expanding=True)), firmware.c.voided_seq.is_(None), firmware.c.since_at <= AT)
    .order_by(firmware.c.since_at, firmware.c.seq)
)  # fmt: skip
one_verification = select(verification.c.pairing_id, verification.c.verified_at).where(
    verification.c.id == bindparam("subject")
)
one_calibration = select(calibration.c.pairing_id, calibration.c.calibrated_on).where(
    calibration.c.id == bindparam("subject")
)
next_calibration = (
    select(calibration.c.calibrated_on)
    .where(calibration.c.pairing_id.in_(_PAIRINGS), calibration.c.calibrated_on > bindparam("day", type_=calibration.c.calibrated_on.type))
    .order_by(calibration.c.calibrated_on)
    .limit(1)
)  # fmt: skip
meter_good = (
    select(meter_calibration.c.calibrated_on, meter_calibration.c.as_found)
    .where(meter_calibration.c.meter_id == bindparam("subject"), meter_calibration.c.calibrated_on <= bindparam("day", type_=meter_calibration.c.calibrated_on.type))
    .order_by(meter_calibration.c.calibrated_on.desc(), meter_calibration.c.seq.desc())
)  # fmt: skip
meter_ended = select(meter.c.ended_at).where(meter.c.id == bindparam("subject"))

# Uses: each row is id, words, first instant, last instant or None.


def _missions(where: sa.ColumnElement[bool]) -> sa.Select[Any]:
    return (
        select(mission.c.id, (mission.c.reference + ", " + vehicle.c.name + ": " + mission.c.area).label("told"), mission_run.c.started_at.label("since"), mission_run.c.ended_at.label("until"))
        .select_from(span)
        .join(bay, bay.c.id == span.c.bay_id)
        .join(mission_run, sa.and_(mission_run.c.vehicle_id == bay.c.vehicle_id, mission_run.c.voided_seq.is_(None), mission_run.c.started_at < sa.func.coalesce(span.c.removed_at, _FOREVER), sa.func.coalesce(mission_run.c.ended_at, _FOREVER) > span.c.installed_at))
        .join(mission, mission.c.id == mission_run.c.mission_id)
        .join(vehicle, vehicle.c.id == mission_run.c.vehicle_id)
        .where(span.c.voided_seq.is_(None), where)
        .order_by(mission_run.c.started_at, mission.c.id)
        .distinct()
    )  # fmt: skip


def _alignments(where: sa.ColumnElement[bool]) -> sa.Select[Any]:
    words = sa.literal("Alignment of ") + pairing.c.name + " in " + vehicle.c.name + ", bay " + bay.c.letter
    return (
        select(alignment.c.id, words.label("told"), alignment.c.aligned_at.label("since"), sa.null().label("until"))
        .join(installation, installation.c.id == alignment.c.installation_id)
        .join(pairing, pairing.c.id == installation.c.pairing_id)
        .join(bay, bay.c.id == installation.c.bay_id)
        .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
        .where(where)
        .order_by(alignment.c.aligned_at, alignment.c.id)
    )


def _verifications(where: sa.ColumnElement[bool]) -> sa.Select[Any]:
    return (
        select(verification.c.id, pairing.c.name.label("told"), verification.c.verified_at.label("since"), sa.null().label("until"), verification.c.kind)
        .join(pairing, pairing.c.id == verification.c.pairing_id)
        .where(verification.c.voided_seq.is_(None), where)
        .order_by(verification.c.verified_at, verification.c.id)
    )  # fmt: skip


def _signoffs(where: sa.ColumnElement[bool]) -> sa.Select[Any]:
    words = sa.literal("ESD sign-off at ") + station.c.name
    return (
        select(esd_signoff.c.id, words.label("told"), esd_signoff.c.signed_at.label("since"), sa.null().label("until"))
        .join(station, station.c.id == esd_signoff.c.station_id)
        .where(esd_signoff.c.voided_seq.is_(None), where)
        .order_by(esd_signoff.c.signed_at, esd_signoff.c.id)
    )


def _checks(where: sa.ColumnElement[bool]) -> sa.Select[Any]:
    words = sa.literal("Check of ") + station.c.name
    return (
        select(station_check.c.id, words.label("told"), station_check.c.checked_at.label("since"), sa.null().label("until"))
        .join(station, station.c.id == station_check.c.station_id)
        .where(where)
        .order_by(station_check.c.checked_at, station_check.c.id)
    )  # fmt: skip


_SUBJECT = bindparam("subject", type_=Id)
_done = select(log_entry.c.act_id).where(log_entry.c.done_by_id == _SUBJECT)
_checks_read = select(station_reading.c.station_check_id).where(station_reading.c.meter_id == _SUBJECT)
_signed_with = select(esd_reading.c.esd_signoff_id).where(esd_reading.c.meter_id == _SUBJECT)
of_pairs = {
    "alignment": _alignments(alignment.c.installation_id.in_(_INSTALLATIONS)),
    "verification": _verifications(verification.c.pairing_id.in_(_PAIRINGS)),
    "calibration": (
        select(calibration.c.id, (sa.literal("Certificate ") + calibration.c.certificate + " of " + pairing.c.name).label("told"), calibration.c.calibrated_on.label("since"), sa.null().label("until"))
        .join(pairing, pairing.c.id == calibration.c.pairing_id)
        .where(calibration.c.pairing_id.in_(_PAIRINGS))
        .order_by(calibration.c.calibrated_on, calibration.c.id)
    ),
    "mission": _missions(span.c.installation_id.in_(_INSTALLATIONS)),
}  # fmt: skip
#: A periodic check that the meter read carries every sign-off that rests on it.
of_meter = {
    "esd_signoff": _signoffs(sa.or_(esd_signoff.c.id.in_(_signed_with), esd_signoff.c.station_check_id.in_(_checks_read))),
    "station_check": _checks(station_check.c.id.in_(_checks_read)),
}  # fmt: skip
of_person = {
    "alignment": _alignments(alignment.c.id.in_(_done)),
    "verification": _verifications(verification.c.done_by_id == _SUBJECT),
    "esd_signoff": _signoffs(esd_signoff.c.person_id == _SUBJECT),
    "station_check": _checks(station_check.c.id.in_(_done)),
    "mission": _missions(
        sa.and_(
            span.c.opened_by.in_(_done),
            span.c.installed_at >= bindparam("first", type_=span.c.installed_at.type),
        )
    ),
}
