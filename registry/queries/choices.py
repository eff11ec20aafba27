"""What forms let a person choose from: things of one kind with the words for them."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.times import say, say_day
from registry.domain.verifications import KINDS
from registry.models.acceptances import acceptance
from registry.models.audits import audit
from registry.models.bench_marks import bench_mark
from registry.models.contracts import contract_term
from registry.models.deliveries import carton, delivery
from registry.models.fleet import bay, housing, vehicle
from registry.models.handling import esd_signoff
from registry.models.meters import meter
from registry.models.movement import loan
from registry.models.pairings import pairing
from registry.models.people import departure, person, person_private
from registry.models.seeks import AT, EVER, in_force
from registry.models.sites import site, station
from registry.models.units import unit_type
from registry.models.verifications import verification
from registry.queries.holds import waiting
from registry.queries.mission_choices import missions_for

_CHOICES: dict[str, sa.Select[tuple[str, str]]] = {
    "delivery": select(delivery.c.id, delivery.c.reference + ", " + delivery.c.sender).order_by(delivery.c.arrived_at.desc()),
    "carton": select(carton.c.id, delivery.c.reference + ", carton " + sa.cast(carton.c.number, sa.Text)).join(delivery, delivery.c.id == carton.c.delivery_id).order_by(delivery.c.arrived_at.desc(), carton.c.number),
    "site": select(site.c.id, site.c.name).order_by(site.c.name),
    "unit_type": select(unit_type.c.id, unit_type.c.maker + " " + unit_type.c.name).order_by(unit_type.c.maker, unit_type.c.name),
    "station": select(station.c.id, site.c.name + ", " + station.c.name).join(site, site.c.id == station.c.site_id).order_by(site.c.name, station.c.name),
    "meter": select(meter.c.id, meter.c.name).where(meter.c.ended_at.is_(None)).order_by(meter.c.name),
    # Who has left is still named for what they did: last in the list.
    "person": select(person.c.id, person_private.c.name + sa.case((departure.c.id.is_(None), ""), else_=", left"))
    .join(person_private, person_private.c.person_id == person.c.id)
    .outerjoin(departure, departure.c.person_id == person.c.id)
    .order_by(departure.c.id.is_not(None), person_private.c.name),
    "contract_term": select(contract_term.c.id, vehicle.c.name + ", " + contract_term.c.reference).join(vehicle, vehicle.c.id == contract_term.c.vehicle_id).where(contract_term.c.ended_at.is_(None)).order_by(vehicle.c.name, contract_term.c.reference),
    "vehicle": select(vehicle.c.id, vehicle.c.name).order_by(vehicle.c.name),
    "bay": select(bay.c.id, vehicle.c.name + ", bay " + bay.c.letter).join(vehicle, vehicle.c.id == bay.c.vehicle_id).order_by(vehicle.c.name, bay.c.letter),
    "housing": select(housing.c.id, vehicle.c.name + ", " + housing.c.name).join(vehicle, vehicle.c.id == housing.c.vehicle_id).order_by(vehicle.c.name, housing.c.name),
    "bench_mark": select(bench_mark.c.id, site.c.name + ", " + bench_mark.c.name).join(site, site.c.id == bench_mark.c.site_id).where(bench_mark.c.ended_at.is_(None)).order_by(site.c.name, bench_mark.c.name),
    "audit": select(audit.c.id, audit.c.reference).where(audit.c.closed_at.is_(None)).order_by(audit.c.opened_at.desc()),
    "loan": select(loan.c.id, loan.c.partner + ", " + sa.func.coalesce(vehicle.c.name, pairing.c.name)).outerjoin(vehicle, vehicle.c.id == loan.c.vehicle_id).outerjoin(pairing, pairing.c.id == loan.c.pairing_id).where(loan.c.returned_at.is_(None)).order_by(loan.c.lent_at),
    "pairing": select(pairing.c.id, pairing.c.name).where(pairing.c.ended_at.is_(None), pairing.c.voided_seq.is_(None)).order_by(pairing.c.name),
}  # fmt: skip

_acceptances = (
    select(acceptance.c.id, vehicle.c.name, acceptance.c.fact, acceptance.c.to_on)
    .join(vehicle, vehicle.c.id == acceptance.c.vehicle_id)
    .where(acceptance.c.withdrawn_at.is_(None), acceptance.c.voided_seq.is_(None))
    .order_by(acceptance.c.accepted_at.desc(), acceptance.c.id)
    .limit(bindparam("most"))
)
_unreviewed = (
    select(verification.c.id, pairing.c.name, verification.c.kind, verification.c.verified_at)
    .join(pairing, pairing.c.id == verification.c.pairing_id)
    .where(verification.c.reviewed_at.is_(None), verification.c.voided_seq.is_(None))
    .order_by(verification.c.verified_at.desc(), verification.c.id)
    .limit(bindparam("most"))
)
_signoffs = (
    select(esd_signoff.c.id, person_private.c.name, station.c.name, esd_signoff.c.signed_at)
    .join(person_private, person_private.c.person_id == esd_signoff.c.person_id)
    .join(station, station.c.id == esd_signoff.c.station_id)
    .where(in_force(esd_signoff, "signed_at", "ended_at"), esd_signoff.c.good_to_at > AT)
    .order_by(esd_signoff.c.signed_at.desc())
)


def choices(db: sa.Connection, kinds: set[str], at: str, act: str, most: int = 500) -> dict[str, list[tuple[str, str]]]:
    """Kind -> [(id, words)] for each kind asked for that can be listed, as far as the act may be about it."""
    listed = {
        kind: [(row[0], row[1]) for row in db.execute(_CHOICES[kind].limit(most), {"known": EVER})]
        for kind in sorted(kinds & set(_CHOICES))
    }
    if "mission" in kinds:
        listed["mission"] = missions_for(db, act, most)
    if "esd_signoff" in kinds:
        rows = db.execute(_signoffs, {"at": at, "known": EVER}).all()
        listed["esd_signoff"] = [(row[0], f"{row[1]}, {row[2]}, {say(row[3])}") for row in rows]
    if "verification" in kinds:
        rows = db.execute(_unreviewed, {"most": most}).all()
        listed["verification"] = [(row[0], f"{row[1]}, {KINDS[row[2]]}, {say(row[3])}") for row in rows]
    if "acceptance" in kinds:
        rows = db.execute(_acceptances, {"most": most}).all()
        listed["acceptance"] = [(row[0], f"{row[1]}: {row[2]}, until {say_day(row[3])}") for row in rows]
    if kinds & {"hold", "discrepancy", "recheck"}:
        for one in waiting(db, at):
            kind, id_ = next(iter(one.fields.items()))
            listed.setdefault(kind, []).append((id_, f"{one.what}. {one.told}"[:120]))
    return listed
