"""Other halves that share something with a half in doubt: its delivery, certificate, firmware, station, strap tester,
knock or mission. Read alike by the page that lists them and by the acts that answer for each."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.impacts import BATCH_DAYS, KINSHIPS
from registry.domain.same_batch import Handled, Kin, alike_by_day
from registry.domain.times import as_datetime, say_day, stamp
from registry.models.calibrations import calibration
from registry.models.deliveries import bag_opening, carton, delivery
from registry.models.fleet import bay
from registry.models.handling import esd_reading, esd_signoff
from registry.models.holds import hold
from registry.models.impacts import impact, impact_line
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.meters import meter
from registry.models.missions import mission, mission_run
from registry.models.openings import knock, recheck
from registry.models.pairings import pairing
from registry.models.seeks import AT, EVER, in_force, known, newest
from registry.models.sites import station
from registry.models.units import firmware, half
from registry.models.verifications import verification

_FOREVER = sa.literal("9999-12-31T23:59:59.999999Z", type_=span.c.installed_at.type)
MINE = bindparam("mine", expanding=True)
_both = sa.union(
    select(pairing.c.id, pairing.c.sensor_id.label("half_id")).where(pairing.c.voided_seq.is_(None)),
    select(pairing.c.id, pairing.c.electronics_id).where(pairing.c.voided_seq.is_(None)),
).subquery("both_halves")
_theirs = _both.alias("their_halves")
_c1, _c2 = carton.alias("one"), carton.alias("other")
_deliveries = (
    select(_c2.c.half_id, delivery.c.reference.label("told"))
    .select_from(_c1)
    .join(_c2, _c2.c.delivery_id == _c1.c.delivery_id)
    .join(delivery, delivery.c.id == _c1.c.delivery_id)
    .where(_c1.c.half_id.in_(MINE), _c2.c.half_id.is_not(None), _c2.c.taken_in_at <= AT)
)
_s1, _s2 = calibration.alias("sheet"), calibration.alias("sheets")
_certificates = (
    select(_theirs.c.half_id, (_s2.c.place + ", " + sa.cast(_s2.c.calibrated_on, sa.Text)).label("told"))
    .select_from(_both)
    .join(_s1, _s1.c.pairing_id == _both.c.id)
    .join(_s2, sa.and_(_s2.c.place == _s1.c.place, _s2.c.calibrated_on == _s1.c.calibrated_on))
    .join(_theirs, _theirs.c.id == _s2.c.pairing_id)
    .where(_both.c.half_id.in_(MINE), _s2.c.entered_at <= AT)
)
_f1, _f2, _fs1, _fs2 = (firmware.alias(name) for name in ("runs", "run_by", "runs_now", "run_by_now"))
_h1, _h2 = half.alias("mine_half"), half.alias("other_half")
_firmwares = (
    select(_h2.c.id.label("half_id"), _f2.c.version.label("told"))
    .select_from(_h1)
    .join(_f1, _f1.c.id == newest(_fs1, "since_at", _fs1.c.half_id == _h1.c.id))
    .join(_h2, sa.and_(_h2.c.kind == _h1.c.kind, _h2.c.unit_type_id == _h1.c.unit_type_id))
    .join(
        _f2, sa.and_(_f2.c.id == newest(_fs2, "since_at", _fs2.c.half_id == _h2.c.id), _f2.c.version == _f1.c.version)
    )
    .where(_h1.c.id.in_(MINE))
)
_r1, _r2 = recheck.alias("asked"), recheck.alias("asked_too")
_p1, _p2 = pairing.alias("asked_pair"), pairing.alias("pair_too")


def _half_of(r: Any, p: Any) -> list[sa.ColumnElement[Any]]:
    return [r.c.half_id, p.c.sensor_id, p.c.electronics_id]


_knocked = [
    select(theirs.label("half_id"), knock.c.words.label("told"))
    .select_from(_r1)
    .join(knock, knock.c.id == _r1.c.knock_id)
    .join(_r2, _r2.c.knock_id == _r1.c.knock_id)
    .outerjoin(_p1, _p1.c.id == _r1.c.pairing_id)
    .outerjoin(_p2, _p2.c.id == _r2.c.pairing_id)
    .where(sa.or_(*(mine.in_(MINE) for mine in _half_of(_r1, _p1))), theirs.is_not(None), knock.c.knocked_at <= AT)
    for theirs in _half_of(_r2, _p2)
]
_a, _b, _ba, _bb = span.alias("stay"), span.alias("stays"), bay.alias("berth"), bay.alias("berths")


def _during(stay: Any) -> sa.ColumnElement[bool]:
    return sa.and_(
        stay.c.voided_seq.is_(None),
        stay.c.installed_at < sa.func.coalesce(mission_run.c.ended_at, _FOREVER),
        sa.func.coalesce(stay.c.removed_at, _FOREVER) > mission_run.c.started_at,
    )


_voyages = [
    select(theirs.label("half_id"), mission.c.reference.label("told"))
    .select_from(mission_run)
    .join(mission, mission.c.id == mission_run.c.mission_id)
    .join(_ba, _ba.c.vehicle_id == mission_run.c.vehicle_id)
    .join(_a, sa.and_(_a.c.bay_id == _ba.c.id, _during(_a)))
    .join(_bb, _bb.c.vehicle_id == mission_run.c.vehicle_id)
    .join(_b, sa.and_(_b.c.bay_id == _bb.c.id, _during(_b)))
    .where(sa.or_(_a.c.sensor_id.in_(MINE), _a.c.electronics_id.in_(MINE)), known(mission_run), mission_run.c.started_at <= AT)
    for theirs in (_b.c.sensor_id, _b.c.electronics_id)
]  # fmt: skip
_BY = {
    "delivery": [_deliveries],
    "certificate": [_certificates],
    "firmware": [_firmwares],
    "knock": _knocked,
    "voyage": _voyages,
}
FIRST = bindparam("first", type_=span.c.installed_at.type)
#: Which half was handled when, at which station, under which sign-off, with which strap tester.
_signed = sa.and_(
    esd_signoff.c.person_id == log_entry.c.done_by_id, esd_signoff.c.voided_seq.is_(None), esd_signoff.c.signed_at <= span.c.installed_at,
    esd_signoff.c.good_to_at > span.c.installed_at, sa.func.coalesce(esd_signoff.c.ended_at, _FOREVER) > span.c.installed_at,
)  # fmt: skip


def _handled(half_id: Any, at: Any, begun: Any) -> sa.Select[Any]:
    return (
        select(half_id.label("half_id"), at.label("at"), esd_signoff.c.id.label("signoff_id"), esd_signoff.c.person_id, station.c.name.label("station"), meter.c.name.label("tester"))
        .select_from(begun)
        .join(station, station.c.id == esd_signoff.c.station_id)
        .outerjoin(esd_reading, esd_reading.c.esd_signoff_id == esd_signoff.c.id)
        .outerjoin(meter, sa.and_(meter.c.id == esd_reading.c.meter_id, meter.c.reads == "strap"))
        .where(at <= AT, at >= FIRST)
    )  # fmt: skip


_installs = span.join(log_entry, log_entry.c.act_id == span.c.opened_by).join(esd_signoff, _signed)
_bags = bag_opening.join(carton, carton.c.id == bag_opening.c.carton_id).join(
    esd_signoff, esd_signoff.c.id == bag_opening.c.esd_signoff_id
)


def _handlings(mine: bool) -> sa.Select[Any]:
    """Every handling between two instants, or only those of the halves and under the sign-offs in doubt."""
    parts = (
        (span.c.sensor_id, span.c.installed_at, _installs, span.c.voided_seq.is_(None)),
        (span.c.electronics_id, span.c.installed_at, _installs, span.c.voided_seq.is_(None)),
        (carton.c.half_id, bag_opening.c.opened_at, _bags, carton.c.half_id.is_not(None)),
    )
    asked = []
    for half_id, when, begun, there in parts:
        doubt = sa.or_(half_id.in_(MINE), esd_signoff.c.id.in_(bindparam("signoffs", expanding=True)))
        asked.append(_handled(half_id, when, begun).where(there, doubt if mine else sa.true()))
    return sa.union(*asked).order_by("at")


_handled_in_doubt, _handled_between = _handlings(True), _handlings(False)
_hold = select(hold.c.half_id, hold.c.pairing_id, hold.c.vehicle_id, hold.c.bay_id, hold.c.placed_at).where(
    hold.c.id == bindparam("id")
)
_seated = (
    select(span.c.sensor_id, span.c.electronics_id)
    .join(bay, bay.c.id == span.c.bay_id)
    .where(in_force(span, "installed_at", "removed_at"), sa.or_(bay.c.vehicle_id == bindparam("vehicle"), bay.c.id == bindparam("bay")))
)  # fmt: skip
_of_pairing = select(_both.c.half_id).where(_both.c.id == bindparam("pairing"))
_impact = (
    select(impact.c.half_id, sa.func.coalesce(impact.c.pairing_id, verification.c.pairing_id, calibration.c.pairing_id).label("pairing_id"))
    .select_from(impact)
    .outerjoin(verification, verification.c.id == impact.c.verification_id)
    .outerjoin(calibration, calibration.c.id == impact.c.calibration_id)
    .where(impact.c.id == bindparam("id"))
)  # fmt: skip
_doubtful_signoffs = select(impact_line.c.esd_signoff_id).where(
    impact_line.c.impact_id == bindparam("id"), impact_line.c.esd_signoff_id.is_not(None), impact_line.c.dropped_at.is_(None)
)  # fmt: skip


def same_batch(db: sa.Connection, source: str, id_: str, at: str) -> list[Kin]:
    """Every other half that shares something with what a hold or an impact (`source`) is about, each with what they
    share. Of a meter or a person: the halves handled under the sign-offs in doubt."""
    mine, signoffs = _mine(db, source, id_, at)
    keys: dict[str, Any] = {"mine": sorted(mine), "at": at, "known": EVER}
    found: dict[tuple[str, str], str] = {}
    for kinship, statements in _BY.items():
        for statement in statements:
            for row in db.execute(statement, keys):
                found.setdefault((row.half_id, kinship), row.told)
    for one in _by_handling(db, mine, signoffs, at):
        found.setdefault((one.half_id, one.kinship), one.told)
    listed = [Kin(half_id, kinship, told) for (half_id, kinship), told in found.items() if half_id not in mine]
    return sorted(listed, key=lambda kin: (list(KINSHIPS).index(kin.kinship), kin.told, kin.half_id))


def _mine(db: sa.Connection, source: str, id_: str, at: str) -> tuple[set[str], set[str]]:
    """The halves in doubt; and, of an impact with sign-offs on its list, those sign-offs."""
    if source == "hold":
        row: Any = db.execute(_hold, {"id": id_}).one()
        if row.vehicle_id or row.bay_id:
            keys = {"vehicle": row.vehicle_id, "bay": row.bay_id, "at": row.placed_at, "known": EVER}
            return {half_id for seat in db.execute(_seated, keys) for half_id in seat}, set()
        signoffs: set[str] = set()
    else:
        row = db.execute(_impact, {"id": id_}).one()
        signoffs = set(db.execute(_doubtful_signoffs, {"id": id_}).scalars())
    if row.half_id:
        return {row.half_id}, signoffs
    if row.pairing_id:
        return set(db.execute(_of_pairing, {"pairing": row.pairing_id}).scalars()), signoffs
    return set(), signoffs


def _by_handling(db: sa.Connection, mine: set[str], signoffs: set[str], at: str) -> Iterable[Kin]:
    keys = {"mine": sorted(mine), "signoffs": sorted(signoffs), "at": at, "first": "2000-01-01T00:00:00.000000Z"}
    doubtful = db.execute(_handled_in_doubt, keys).all()
    if not doubtful:
        return
    around = timedelta(days=BATCH_DAYS + 1)
    keys |= {
        "first": stamp(as_datetime(doubtful[0].at) - around),
        "at": min(at, stamp(as_datetime(doubtful[-1].at) + around)),
    }
    handled = [Handled(row.half_id, row.at, row.station, row.tester) for row in db.execute(_handled_between, keys)]
    yield from alike_by_day(handled, mine)
    for row in doubtful:
        if row.signoff_id in signoffs:
            kinship = "tester" if row.tester else "station"
            yield Kin(row.half_id, kinship, f"{row.tester or row.station}, {say_day(row.at)}")
