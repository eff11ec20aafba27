"""Things in words by their ids, of many kinds at once: what a form says in place of an id that a link filled in."""

from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.codes import say_code
from registry.domain.times import say
from registry.models.acceptances import acceptance
from registry.models.audits import audit, audit_line
from registry.models.bench_marks import bench_mark
from registry.models.calibrations import calibration
from registry.models.columns import Stamp
from registry.models.contracts import contract_term
from registry.models.deliveries import carton, delivery
from registry.models.fleet import bay, housing, vehicle
from registry.models.handling import esd_signoff
from registry.models.holds import hold
from registry.models.impacts import impact, impact_line
from registry.models.installs import installation, removal
from registry.models.log import log_entry
from registry.models.meters import meter
from registry.models.missions import mission
from registry.models.movement import crossing, loan
from registry.models.openings import knock, recheck
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.sightings import discrepancy
from registry.models.sites import site, station
from registry.models.units import half, unit_type
from registry.models.verifications import verification

_IDS = bindparam("ids", expanding=True)
_NONE = sa.null()


def _named(
    key: sa.Column[Any], words: Any, *, kind: str = "", at: Any = _NONE, code: Any = _NONE, act: Any = _NONE
) -> sa.Select[Any]:
    """(kind, id, words, an instant, a code and the act of an entry to be said after them)."""
    return select(
        sa.literal(kind or key.table.name).label("kind"), key.label("id"), sa.cast(words, sa.Text).label("words"), (sa.cast(_NONE, Stamp) if at is _NONE else at).label("at"),
        sa.cast(code, sa.Text).label("code"), sa.cast(act, sa.Text).label("act"),
    ).where(key.in_(_IDS))  # fmt: skip


_bay_words = vehicle.c.name + ", bay " + bay.c.letter
_half_words = half.c.kind + " half"
_on = sa.func.coalesce(vehicle.c.name, pairing.c.name, _half_words)
#: Kind -> the statement that names things of it. Each is told whatever became of it: ended, closed or voided since.
_NAMED: dict[str, sa.Select[Any]] = {
    "half": _named(half.c.id, _half_words, code=half.c.code),
    "pairing": _named(pairing.c.id, pairing.c.name),
    "unit_type": _named(unit_type.c.id, unit_type.c.maker + " " + unit_type.c.name),
    "site": _named(site.c.id, site.c.name),
    "station": _named(station.c.id, site.c.name + ", " + station.c.name).join(site, site.c.id == station.c.site_id),
    "vehicle": _named(vehicle.c.id, vehicle.c.name),
    "housing": _named(housing.c.id, vehicle.c.name + ", " + housing.c.name + " housing").join(vehicle, vehicle.c.id == housing.c.vehicle_id),
    "bay": _named(bay.c.id, _bay_words).join(vehicle, vehicle.c.id == bay.c.vehicle_id),
    "person": _named(person_private.c.person_id, person_private.c.name, kind="person"),
    "delivery": _named(delivery.c.id, delivery.c.reference + ", " + delivery.c.sender),
    "carton": _named(carton.c.id, delivery.c.reference + ", carton " + sa.cast(carton.c.number, sa.Text)).join(delivery, delivery.c.id == carton.c.delivery_id),
    "bench_mark": _named(bench_mark.c.id, site.c.name + ", " + bench_mark.c.name).join(site, site.c.id == bench_mark.c.site_id),
    "meter": _named(meter.c.id, meter.c.name),
    "esd_signoff": _named(esd_signoff.c.id, person_private.c.name, at=esd_signoff.c.signed_at).join(person_private, person_private.c.person_id == esd_signoff.c.person_id),
    "hold": _named(hold.c.id, sa.func.coalesce(_bay_words, _on) + ": " + hold.c.reason, at=hold.c.placed_at, code=half.c.code)
    .outerjoin(half, half.c.id == hold.c.half_id).outerjoin(pairing, pairing.c.id == hold.c.pairing_id).outerjoin(bay, bay.c.id == hold.c.bay_id)
    .outerjoin(vehicle, vehicle.c.id == sa.func.coalesce(hold.c.vehicle_id, bay.c.vehicle_id)),
    "acceptance": _named(acceptance.c.id, vehicle.c.name + ": " + acceptance.c.fact, at=acceptance.c.accepted_at).join(vehicle, vehicle.c.id == acceptance.c.vehicle_id),
    "audit": _named(audit.c.id, audit.c.reference),
    "audit_line": _named(
        audit_line.c.id, audit.c.reference + ", line " + sa.cast(audit_line.c.number, sa.Text) + ": " + sa.func.coalesce(_bay_words, _half_words, audit_line.c.label), code=half.c.code
    ).join(audit, audit.c.id == audit_line.c.audit_id).outerjoin(bay, bay.c.id == audit_line.c.bay_id).outerjoin(vehicle, vehicle.c.id == bay.c.vehicle_id).outerjoin(half, half.c.id == audit_line.c.half_id),
    "loan": _named(loan.c.id, loan.c.partner + ", " + sa.func.coalesce(vehicle.c.name, pairing.c.name)).outerjoin(vehicle, vehicle.c.id == loan.c.vehicle_id).outerjoin(pairing, pairing.c.id == loan.c.pairing_id),
    "crossing": _named(crossing.c.id, _on + ", " + crossing.c.from_country + " to " + crossing.c.to_country + ", " + sa.cast(crossing.c.crosses_on, sa.Text), code=half.c.code)
    .outerjoin(vehicle, vehicle.c.id == crossing.c.vehicle_id).outerjoin(pairing, pairing.c.id == crossing.c.pairing_id).outerjoin(half, half.c.id == crossing.c.half_id),
    "contract_term": _named(contract_term.c.id, vehicle.c.name + ", " + contract_term.c.reference).join(vehicle, vehicle.c.id == contract_term.c.vehicle_id),
    "mission": _named(mission.c.id, mission.c.reference + ", " + vehicle.c.name).join(vehicle, vehicle.c.id == mission.c.vehicle_id),
    "impact": _named(impact.c.id, impact.c.reason, at=impact.c.found_at),
    "impact_line": _named(impact_line.c.id, impact_line.c.told),
    "calibration": _named(calibration.c.id, pairing.c.name + ", certificate " + calibration.c.certificate).join(pairing, pairing.c.id == calibration.c.pairing_id),
    "verification": _named(verification.c.id, pairing.c.name, at=verification.c.verified_at).join(pairing, pairing.c.id == verification.c.pairing_id),
    "removal": _named(removal.c.id, pairing.c.name + " out of " + _bay_words)
    .join(installation, installation.c.id == removal.c.installation_id).join(pairing, pairing.c.id == installation.c.pairing_id).join(bay, bay.c.id == installation.c.bay_id).join(vehicle, vehicle.c.id == bay.c.vehicle_id),
    "discrepancy": _named(discrepancy.c.id, discrepancy.c.words, at=discrepancy.c.noted_at),
    "recheck": _named(recheck.c.id, knock.c.words, at=recheck.c.asked_at).join(knock, knock.c.id == recheck.c.knock_id),
    "act": _named(log_entry.c.act_id, "entry " + sa.cast(log_entry.c.seq, sa.Text), kind="act", act=log_entry.c.act),
}  # fmt: skip


def named(db: sa.Connection, wanted: Iterable[tuple[str, str]], says: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """(kind, id) -> words, for those of the (kind, id) wanted that are on record; `says` says acts. One statement for all."""
    pairs = set(wanted)
    kinds = sorted({kind for kind, _id in pairs} & set(_NAMED))
    if not kinds:
        return {}
    rows = db.execute(sa.union_all(*(_NAMED[kind] for kind in kinds)), {"ids": sorted({id_ for _kind, id_ in pairs})})
    return {(row.kind, row.id): _said(row, says) for row in rows}


def _said(row: sa.Row[Any], says: Mapping[str, str]) -> str:
    act = says[row.act].lower() if row.act else None
    parts = [row.words.rstrip("."), say_code(row.code) if row.code else None, act, say(row.at) if row.at else None]
    return ", ".join(part for part in parts if part)
