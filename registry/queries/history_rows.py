"""The statements a history is made from, one each for every kind of event."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.alignments import alignment, alignment_answer
from registry.models.amendments import doer, withdrawn
from registry.models.attachments import attachment
from registry.models.audits import audit, audit_answer, audit_line
from registry.models.axis_checks import axis_check
from registry.models.calibrations import calibration
from registry.models.deliveries import carton, delivery, inspection, power_up
from registry.models.fleet import bay, housing, vehicle, vehicle_place
from registry.models.holds import hold
from registry.models.installs import amendment, removal
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.movement import crossing, half_away, loan
from registry.models.openings import housing_closing, knock, leak_test, opening
from registry.models.outcomes import removal_outcome
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.second_checks import second_check
from registry.models.seeks import AT, KNOWN, ended_by, known
from registry.models.sightings import discrepancy, sighting
from registry.models.sites import site
from registry.models.units import fault, firmware, half, half_place, retirement
from registry.models.verifications import verification

H, P, B, G, V = (bindparam(name, expanding=True) for name in ("halves", "pairings", "bays", "housings", "vehicles"))
bay_name = (vehicle.c.name + ", bay " + bay.c.letter).label("bay")

#: The act that first told it, whoever amended its time since.
first_told, _doer = log_entry.alias("first"), person_private.alias("doer")
_did = doer(first_told.c.act_id, first_told.c.done_by_id)

stays = (
    select(
        span.c.installed_at, ended_by(span, "removed_at").label("removed_at"), span.c.seq, span.c.closed_seq, span.c.opened_by, span.c.closed_by,
        bay_name, pairing.c.name.label("pair"), removal.c.reason, removal.c.condition, _doer.c.name.label("by"), person_private.c.name.label("removed_by"),
    )
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(first_told, first_told.c.act_id == span.c.opened_by)
    .outerjoin(_doer, _doer.c.person_id == _did)
    .outerjoin(removal, sa.and_(removal.c.act_id == span.c.closed_by, removal.c.installation_id == span.c.installation_id))
    .outerjoin(person_private, person_private.c.person_id == doer(span.c.closed_by, removal.c.done_by_id, "lifted"))
    .where(known(span), span.c.installed_at <= AT, sa.or_(span.c.pairing_id.in_(P), span.c.sensor_id.in_(H), span.c.electronics_id.in_(H), span.c.bay_id.in_(B)))
)  # fmt: skip
pairings = select(
    pairing.c.name,
    pairing.c.paired_at,
    ended_by(pairing, "ended_at").label("ended_at"),
    pairing.c.end_reason,
    pairing.c.grade,
    pairing.c.statement,
    pairing.c.seq,
    pairing.c.closed_seq,
).where(
    known(pairing),
    pairing.c.paired_at <= AT,
    sa.or_(pairing.c.id.in_(P), pairing.c.sensor_id.in_(H), pairing.c.electronics_id.in_(H)),
)
holds = select(
    hold.c.cause,
    hold.c.reason,
    hold.c.placed_at,
    ended_by(hold, "released_at").label("released_at"),
    hold.c.release_reason,
    hold.c.seq,
    hold.c.closed_seq,
).where(
    known(hold),
    hold.c.placed_at <= AT,
    sa.or_(hold.c.half_id.in_(H), hold.c.pairing_id.in_(P), hold.c.bay_id.in_(B), hold.c.vehicle_id.in_(V)),
)
#: Files of their own; those of a hold are told with the hold.
files = select(attachment.c.attached_at, attachment.c.name, attachment.c.words, attachment.c.seq).where(
    known(attachment),
    attachment.c.attached_at <= AT,
    sa.or_(
        attachment.c.half_id.in_(H), attachment.c.pairing_id.in_(P), attachment.c.bay_id.in_(B), attachment.c.vehicle_id.in_(V)
    ),
)  # fmt: skip
sightings = (
    select(sighting.c.sighted_at, sighting.c.outcome, sighting.c.words, sighting.c.seq, bay_name)
    .join(bay, bay.c.id == sighting.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(
        known(sighting),
        sighting.c.sighted_at <= AT,
        sa.or_(sighting.c.bay_id.in_(B), sighting.c.sensor_id.in_(H), sighting.c.electronics_id.in_(H)),
    )
)
ends = select(
    discrepancy.c.noted_at,
    discrepancy.c.words,
    ended_by(discrepancy, "settled_at").label("settled_at"),
    discrepancy.c.answer,
    discrepancy.c.seq,
    discrepancy.c.closed_seq,
).where(
    known(discrepancy), discrepancy.c.noted_at <= AT, sa.or_(discrepancy.c.bay_id.in_(B), discrepancy.c.half_id.in_(H))
)
half_places = (
    select(
        half_place.c.since_at,
        half_place.c.spot,
        half_place.c.seq,
        half_place.c.by_act,
        site.c.name,
        half.c.kind,
        _doer.c.name.label("by"),
    )
    .join(site, site.c.id == half_place.c.site_id)
    .join(half, half.c.id == half_place.c.half_id)
    .join(first_told, first_told.c.act_id == half_place.c.by_act)
    .outerjoin(_doer, _doer.c.person_id == _did)
    .where(
        known(half_place),
        half_place.c.since_at <= AT,
        half_place.c.half_id.in_(H),
        first_told.c.act.in_(("move_halves", "receive_half")),
    )
)
vehicle_places = (
    select(
        vehicle_place.c.since_at,
        vehicle_place.c.seq,
        vehicle_place.c.by_act,
        vehicle.c.name.label("vehicle"),
        site.c.name,
        _doer.c.name.label("by"),
    )
    .join(site, site.c.id == vehicle_place.c.site_id)
    .join(first_told, first_told.c.act_id == vehicle_place.c.by_act)
    .outerjoin(_doer, _doer.c.person_id == _did)
    .join(vehicle, vehicle.c.id == vehicle_place.c.vehicle_id)
    .where(known(vehicle_place), vehicle_place.c.since_at <= AT, vehicle_place.c.vehicle_id.in_(V))
)
#: The acts whose instants a history shows: few, whatever else was ever amended.
shown_acts = sa.union(
    *(select(act).where(sa.or_(span.c.pairing_id.in_(P), span.c.sensor_id.in_(H), span.c.electronics_id.in_(H), span.c.bay_id.in_(B))) for act in (span.c.opened_by, span.c.closed_by)),
    select(half_place.c.by_act).where(half_place.c.half_id.in_(H)),
    select(vehicle_place.c.by_act).where(vehicle_place.c.vehicle_id.in_(V)),
)  # fmt: skip
amendments = select(amendment).where(amendment.c.seq <= KNOWN, amendment.c.amended_act_id.in_(shown_acts))


def _of_housing(table: Any, when: str, *more: Any) -> sa.Select[Any]:
    columns = [table.c[when].label("at"), table.c.seq, housing.c.name, *more]
    return (
        select(*columns)
        .join(housing, housing.c.id == table.c.housing_id)
        .where(known(table), table.c[when] <= AT, table.c.housing_id.in_(G))
    )


openings = _of_housing(opening, "opened_at", opening.c.reason)
closings = _of_housing(housing_closing, "closed_at", housing_closing.c.words)
tests = _of_housing(leak_test, "tested_at", leak_test.c.verdict, leak_test.c.change_mbar)
knocks = select(knock.c.knocked_at, knock.c.words, knock.c.seq).where(
    known(knock),
    ~withdrawn(knock.c.id),
    knock.c.knocked_at <= AT,
    sa.or_(knock.c.vehicle_id.in_(V), knock.c.half_id.in_(H)),
)
firmwares = (
    select(firmware.c.since_at, firmware.c.version, firmware.c.seq, half.c.kind)
    .join(half, half.c.id == firmware.c.half_id)
    .where(known(firmware), firmware.c.since_at <= AT, firmware.c.half_id.in_(H))
)
faults = (
    select(fault.c.noted_at, fault.c.words, fault.c.seq, half.c.kind)
    .join(half, half.c.id == fault.c.half_id)
    .where(known(fault), ~withdrawn(fault.c.id), fault.c.noted_at <= AT, fault.c.half_id.in_(H))
)
outcomes = (
    select(removal_outcome.c.stated_at, removal_outcome.c.outcome, removal_outcome.c.fault_in, removal_outcome.c.words, removal_outcome.c.seq, pairing.c.name.label("pair"), bay_name)
    .select_from(removal_outcome)
    .join(removal, removal.c.id == removal_outcome.c.removal_id)
    .join(span, sa.and_(span.c.installation_id == removal.c.installation_id, known(span)))
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(known(removal_outcome), removal_outcome.c.stated_at <= AT, sa.or_(span.c.pairing_id.in_(P), span.c.sensor_id.in_(H), span.c.electronics_id.in_(H)))
)  # fmt: skip
retirements = select(retirement.c.retired_at, retirement.c.why, retirement.c.seq).where(
    retirement.c.seq <= KNOWN,
    retirement.c.retired_at <= AT,
    sa.or_(retirement.c.half_id.in_(H), retirement.c.vehicle_id.in_(V)),
)
came_in = (
    select(carton.c.taken_in_at, carton.c.number, delivery.c.reference, delivery.c.sender, carton.c.seq)
    .join(delivery, delivery.c.id == carton.c.delivery_id)
    .where(carton.c.seq <= KNOWN, carton.c.taken_in_at <= AT, carton.c.half_id.in_(H))
)
inspections = select(inspection.c.inspected_at, inspection.c.outcome, inspection.c.words, inspection.c.seq).where(
    inspection.c.seq <= KNOWN, inspection.c.inspected_at <= AT, inspection.c.half_id.in_(H)
)
power_ups = select(
    power_up.c.powered_at, power_up.c.verdict, power_up.c.on_load_v, power_up.c.current_a, power_up.c.seq
).where(power_up.c.seq <= KNOWN, power_up.c.powered_at <= AT, power_up.c.pairing_id.in_(P))
verifications = select(
    verification.c.verified_at, verification.c.kind, verification.c.verdict, verification.c.jumped, verification.c.seq,
    ended_by(verification, "reviewed_at").label("reviewed_at"), verification.c.review, verification.c.closed_seq,
).where(known(verification), verification.c.verified_at <= AT, verification.c.pairing_id.in_(P))  # fmt: skip
calibrations = select(calibration.c.entered_at, calibration.c.certificate, calibration.c.seq).where(
    calibration.c.seq <= KNOWN, calibration.c.entered_at <= AT, calibration.c.pairing_id.in_(P)
)


def _in_stays(table: Any, when: str, kind: str, found_by: Any, verdict: Any, of: Any) -> sa.Select[Any]:
    """What was done in stays of these things; `of` is the table that names the installation."""
    told = (
        sa.literal(kind).label("kind"),
        found_by.label("found_by"),
        verdict.label("verdict"),
        table.c.told,
        table.c.seq,
    )
    return (
        select(table.c[when].label("at"), *told, pairing.c.name.label("pair"), bay_name)
        .select_from(table if table is of else table.join(of, of.c.id == table.c.alignment_id))
        .join(span, span.c.installation_id == of.c.installation_id)
        .join(bay, bay.c.id == span.c.bay_id)
        .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
        .join(pairing, pairing.c.id == span.c.pairing_id)
        .where(
            known(span), known(table), table.c[when] <= AT,
            sa.or_(span.c.pairing_id.in_(P), span.c.sensor_id.in_(H), span.c.electronics_id.in_(H), span.c.bay_id.in_(B)),
        )
    )  # fmt: skip


#: Axis and sign checks, alignments, what was answered to them, and looks at how pairs sat, in one statement.
aligned = sa.union_all(
    _in_stays(axis_check, "checked_at", "checked", sa.literal(""), axis_check.c.verdict, axis_check),
    _in_stays(alignment, "aligned_at", "aligned", alignment.c.found_by, alignment.c.verdict, alignment),
    _in_stays(second_check, "checked_at", "looked_at", second_check.c.how, sa.literal(""), second_check),
    _in_stays(alignment_answer, "answered_at", "answered", sa.literal(""), alignment_answer.c.answer, alignment),
)
#: What answered a line of an audit.
audited = (
    select(audit_answer.c.answered_at, audit_answer.c.verdict, audit_answer.c.told, audit_answer.c.seq, audit.c.reference)
    .join(audit, audit.c.id == audit_answer.c.audit_id)
    .join(audit_line, audit_line.c.id == audit_answer.c.audit_line_id)
    .where(audit_answer.c.seq <= KNOWN, audit_answer.c.answered_at <= AT, sa.or_(audit_line.c.bay_id.in_(B), audit_line.c.half_id.in_(H)))
)  # fmt: skip


def _out(table: Any, since: str, until: str, kind: Any, told: Any, said: Any, of: Any) -> sa.Select[Any]:
    """Something that left or may leave the house, with what became of it."""
    return select(
        table.c[since].label("at"), kind.label("kind"), told.label("told"), ended_by(table, until).label("ended_at"), said.label("said"), table.c.seq, table.c.closed_seq
    ).where(known(table), table.c[since] <= AT, of)  # fmt: skip


#: Loans, halves away and crossings, in one statement.
moved = sa.union_all(
    _out(loan, "lent_at", "returned_at", loan.c.direction, loan.c.partner, loan.c.said, sa.or_(loan.c.vehicle_id.in_(V), loan.c.pairing_id.in_(P))),
    _out(half_away, "since_at", "returned_at", half_away.c.cause, half_away.c.keeper, half_away.c.outcome + "|" + half_away.c.said, sa.and_(half_away.c.half_id.in_(H), half_away.c.cause == "repair")),
    _out(
        crossing, "planned_at", "ended_at", sa.literal("crossing"), crossing.c.from_country + " to " + crossing.c.to_country, crossing.c.outcome + "|" + crossing.c.said,
        sa.or_(crossing.c.vehicle_id.in_(V), crossing.c.pairing_id.in_(P), crossing.c.half_id.in_(H)),
    ),
)  # fmt: skip
names = (
    select(log_entry.c.seq, person_private.c.name, log_entry.c.via)
    .select_from(log_entry)
    .join(person_private, person_private.c.person_id == doer(log_entry.c.act_id, log_entry.c.done_by_id))
    .where(log_entry.c.seq.in_(bindparam("seqs", expanding=True)))
)
