"""The statements a mission is shown from: itself, the stays it rode on, and what proves or doubts each of them."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.alignments import alignment, alignment_answer
from registry.models.amended_missions import (
    amended_mission,
    as_it_holds,
    begun_seq,
    of_withdrawal,
    told_by_act,
    vehicle_of_mission,
)
from registry.models.amendments import withdrawal
from registry.models.fleet import bay, vehicle
from registry.models.handling import esd_signoff
from registry.models.holds import hold
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.missions import mission, mission_distance, mission_run
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, KNOWN, ended_by, in_force, known, newest
from registry.models.sightings import discrepancy, sighting
from registry.models.sites import station

_runs, _distances = mission_run.alias("runs"), mission_distance.alias("distances")
_FOREVER = sa.literal("9999-12-31T23:59:59.999999Z", type_=span.c.installed_at.type)
#: Each mission as it holds with its run so far, and what it ran as told last; those that were taken back say so.
_every = (
    select(
        *as_it_holds, vehicle.c.name.label("vehicle"), vehicle.c.code.label("vehicle_code"), mission_run.c.id.label("run_id"), mission_run.c.started_at,
        ended_by(mission_run, "ended_at").label("ended_at"), mission_run.c.seq.label("run_seq"), mission_run.c.closed_seq,
        mission_distance.c.distance_km, mission_distance.c.aided_by, mission_distance.c.stretch_km, mission_distance.c.data_until_at, mission_distance.c.words.label("data_words"), mission_distance.c.seq.label("distance_seq"),
        begun_seq.label("begun_seq"), withdrawal.c.seq.label("withdrawn_seq"), withdrawal.c.why.label("withdrawn_why"),
    )
    .select_from(mission)
    .join(vehicle, vehicle.c.id == vehicle_of_mission)
    .outerjoin(withdrawal, of_withdrawal)
    .outerjoin(mission_run, mission_run.c.id == newest(_runs, "started_at", _runs.c.mission_id == mission.c.id))
    .outerjoin(mission_distance, mission_distance.c.id == newest(_distances, "told_at", _distances.c.mission_id == mission.c.id, told_by_act(_distances)))
    .where(known(mission))
    .order_by(sa.func.coalesce(mission_run.c.started_at, mission.c.planned_from_at).desc(), mission.c.reference)
)  # fmt: skip
one = _every.where(mission.c.id == bindparam("mission"))
missions = _every.where(withdrawal.c.id.is_(None))
of_vehicle = missions.where(vehicle_of_mission == bindparam("vehicle"))
page = missions.limit(bindparam("most")).offset(bindparam("skip"))
_rode = sa.and_(
    bay.c.vehicle_id == mission_run.c.vehicle_id,
    span.c.pairing_id == bindparam("pairing"),
    known(span),
    span.c.installed_at < sa.func.coalesce(mission_run.c.ended_at, _FOREVER),
    sa.func.coalesce(span.c.removed_at, _FOREVER) > mission_run.c.started_at,
)
of_pair = missions.where(sa.exists().where(_rode, bay.c.id == span.c.bay_id))

SINCE, UNTIL = (bindparam(name, type_=span.c.installed_at.type) for name in ("since", "until"))
_installer = person_private.alias("installer")
#: Stays in a vehicle that share time with a mission, with who put the pair in, and the sign-off that held then.
stays = (
    select(
        span.c.installation_id, span.c.bay_id, bay.c.letter, bay.c.code.label("bay_code"), span.c.pairing_id, pairing.c.name.label("pair"), span.c.sensor_id, span.c.electronics_id,
        span.c.installed_at, ended_by(span, "removed_at").label("removed_at"), span.c.seq, _installer.c.name.label("installed_by"),
        esd_signoff.c.id.label("signoff_id"), esd_signoff.c.signed_at, station.c.name.label("station"),
    )
    .select_from(span)
    .join(bay, bay.c.id == span.c.bay_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(log_entry, log_entry.c.act_id == span.c.opened_by)
    .outerjoin(_installer, _installer.c.person_id == log_entry.c.done_by_id)
    .outerjoin(esd_signoff, sa.and_(
        esd_signoff.c.person_id == log_entry.c.done_by_id, known(esd_signoff), esd_signoff.c.verdict == "pass", esd_signoff.c.signed_at <= span.c.installed_at,
        esd_signoff.c.good_to_at > span.c.installed_at, sa.func.coalesce(esd_signoff.c.ended_at, _FOREVER) > span.c.installed_at,
    ))
    .outerjoin(station, station.c.id == esd_signoff.c.station_id)
    .where(bay.c.vehicle_id == bindparam("vehicle"), known(span), span.c.installed_at < UNTIL, sa.func.coalesce(ended_by(span, "removed_at"), _FOREVER) > SINCE)
    .order_by(bay.c.from_bow_m, bay.c.letter, span.c.installed_at, esd_signoff.c.signed_at.desc())
)  # fmt: skip
bays = select(bay.c.id, bay.c.letter, bay.c.code).where(bay.c.vehicle_id == bindparam("vehicle"), bay.c.seq <= KNOWN).order_by(bay.c.from_bow_m, bay.c.letter)  # fmt: skip
_BAYS = bindparam("bays", expanding=True)
_HALVES = bindparam("halves", expanding=True)
_INSTALLATIONS = bindparam("installations", expanding=True)
scans = (
    select(sighting.c.bay_id, sighting.c.sensor_id, sighting.c.electronics_id, sighting.c.sighted_at)
    .where(sighting.c.bay_id.in_(_BAYS), sighting.c.outcome == "as_recorded", known(sighting), sighting.c.sighted_at <= AT)
    .order_by(sighting.c.sighted_at)
)  # fmt: skip
differences = (
    select(discrepancy.c.bay_id, discrepancy.c.half_id, discrepancy.c.noted_at, discrepancy.c.words, discrepancy.c.seq)
    .where(in_force(discrepancy, "noted_at", "settled_at"), sa.or_(discrepancy.c.bay_id.in_(_BAYS), discrepancy.c.half_id.in_(_HALVES)))
    .order_by(discrepancy.c.noted_at)
)  # fmt: skip


def _turns(table: Any, when: str, holds: sa.ColumnElement[Any]) -> sa.Select[Any]:
    joined = table if table is alignment else table.join(alignment, alignment.c.id == table.c.alignment_id)
    return (
        select(alignment.c.installation_id, table.c[when].label("at"), holds.label("holds"), table.c.seq)
        .select_from(joined)
        .where(alignment.c.installation_id.in_(_INSTALLATIONS), known(table), table.c[when] <= AT)
    )


#: When an alignment of a stay began to hold, and when one was withdrawn.
turns = sa.union_all(
    _turns(alignment, "aligned_at", sa.literal(1)),
    _turns(alignment_answer, "answered_at", sa.case((alignment_answer.c.answer == "withdrawn", 0), else_=1)),
).order_by("at", "seq")
holds = (
    select(hold.c.id, hold.c.vehicle_id, hold.c.bay_id, hold.c.pairing_id, hold.c.half_id, hold.c.reason, hold.c.placed_at, ended_by(hold, "released_at").label("released_at"), hold.c.seq, hold.c.closed_seq)
    .where(
        known(hold), hold.c.placed_at < UNTIL, sa.func.coalesce(ended_by(hold, "released_at"), _FOREVER) > SINCE,
        sa.or_(hold.c.vehicle_id == bindparam("vehicle"), hold.c.bay_id.in_(_BAYS), hold.c.half_id.in_(_HALVES), hold.c.pairing_id.in_(bindparam("pairings", expanding=True))),
    )
    .order_by(hold.c.placed_at)
)  # fmt: skip
_was, _now = vehicle.alias("was_vehicle"), vehicle.alias("now_vehicle")
#: What was put right of it, in order.
amendments = (
    select(amended_mission.c.part, amended_mission.c.was_at, amended_mission.c.now_at, _was.c.name.label("was_vehicle"), _now.c.name.label("now_vehicle"), amended_mission.c.why, amended_mission.c.seq)
    .outerjoin(_was, _was.c.id == amended_mission.c.was_vehicle_id)
    .outerjoin(_now, _now.c.id == amended_mission.c.now_vehicle_id)
    .where(amended_mission.c.mission_id == bindparam("mission"), amended_mission.c.seq <= KNOWN)
    .order_by(amended_mission.c.seq, amended_mission.c.part)
)  # fmt: skip
#: The entries that told of its run, also those that were amended since, with the bytes of the one that began it.
run_entries = (
    select(mission_run.c.seq, mission_run.c.closed_seq, log_entry.c.act, log_entry.c.entry)
    .join(log_entry, log_entry.c.seq == mission_run.c.seq)
    .where(mission_run.c.mission_id == bindparam("mission"), mission_run.c.seq <= KNOWN)
    .order_by(mission_run.c.seq.desc())
)
