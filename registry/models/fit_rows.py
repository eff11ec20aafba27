"""The statements a picture of the fleet is made from: one each for vehicles, bays, housings, what is open on them, what
their alignments left, and what was accepted by name."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.carrying import VIA
from registry.models.acceptances import acceptance
from registry.models.alignments import alignment_left
from registry.models.amendments import doer
from registry.models.closing_sheets import closing_sheet
from registry.models.fleet import bay, bay_type, bay_use, housing, vehicle, vehicle_place
from registry.models.holds import hold
from registry.models.installs import installation_span as span
from registry.models.installs import removal
from registry.models.log import log_entry
from registry.models.openings import housing_closing, leak_test, opening, recheck
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, KNOWN, ended_by, in_force, known, newest
from registry.models.sightings import discrepancy, sighting
from registry.models.sites import site
from registry.models.units import half, retirement, unit_type

ALL = bindparam("all_vehicles", type_=sa.Integer)
WANTED = bindparam("vehicles", expanding=True)


def _of(column: sa.ColumnElement[Any]) -> sa.ColumnElement[bool]:
    """All vehicles, or those asked for."""
    return sa.or_(ALL == 1, column.in_(WANTED))


_places = vehicle_place.alias("places")
_any_stay, _its_bay = span.alias("any_stay"), bay.alias("its_bay")
#: A vehicle is there from its first place on, or from the first stay in it, whichever is earlier.
_is_there = sa.or_(
    vehicle_place.c.id.is_not(None),
    sa.exists().where(
        _its_bay.c.vehicle_id == vehicle.c.id, _any_stay.c.bay_id == _its_bay.c.id, known(_any_stay), _any_stay.c.installed_at <= AT
    ),
)  # fmt: skip
vehicles = (
    select(vehicle.c.id, vehicle.c.code, vehicle.c.name, vehicle.c.hull_number, vehicle.c.hull, vehicle.c.length_m, site.c.name.label("site"), site.c.id.label("site_id"), retirement.c.retired_at, vehicle.c.seq, retirement.c.seq.label("retired_seq"))
    .select_from(vehicle)
    .outerjoin(vehicle_place, vehicle_place.c.id == newest(_places, "since_at", _places.c.vehicle_id == vehicle.c.id))
    .outerjoin(site, site.c.id == vehicle_place.c.site_id)
    .outerjoin(retirement, sa.and_(retirement.c.vehicle_id == vehicle.c.id, retirement.c.seq <= KNOWN, retirement.c.retired_at <= AT))
    .where(_of(vehicle.c.id), vehicle.c.seq <= KNOWN, _is_there)
    .order_by(vehicle.c.name)
)  # fmt: skip
_stays, _uses, _sightings = span.alias("stays"), bay_use.alias("uses"), sighting.alias("sightings")
_sensor, _electronics = half.alias("sensor"), half.alias("electronics")
_accepted = sa.exists().where(
    bay_type.c.bay_id == bay.c.id,
    bay_type.c.unit_type_id == pairing.c.unit_type_id,
    in_force(bay_type, "accepted_at", "ended_at"),
)
#: Who did it; of what was carried over that is not on record, and who carried it over is told.
by_whom = sa.case((log_entry.c.via == VIA, "carried over by " + person_private.c.name), else_=person_private.c.name)
bays = (
    select(
        bay.c.id, bay.c.code, bay.c.vehicle_id, bay.c.housing_id, bay.c.letter, bay.c.from_bow_m, bay_use.c.use, bay_use.c.heading_tolerance_deg,
        span.c.id.label("span_id"), span.c.installation_id, span.c.installed_at, ended_by(span, "removed_at").label("removed_at"), span.c.seq, span.c.closed_seq,
        pairing.c.id.label("pairing_id"), pairing.c.name.label("pair"), _sensor.c.id.label("sensor_id"), _sensor.c.code.label("sensor_code"),
        _electronics.c.id.label("electronics_id"), _electronics.c.code.label("electronics_code"),
        (unit_type.c.maker + " " + unit_type.c.name).label("type_name"), _accepted.label("accepted"),
        removal.c.seat_follows, by_whom.label("done_by"), (log_entry.c.via == VIA).label("carried_over"), sighting.c.sighted_at, bay.c.seq.label("entered_seq"),
    )
    .select_from(bay)
    .outerjoin(bay_use, bay_use.c.id == newest(_uses, "since_at", _uses.c.bay_id == bay.c.id))
    .outerjoin(span, span.c.id == newest(_stays, "installed_at", _stays.c.bay_id == bay.c.id))
    .outerjoin(pairing, pairing.c.id == span.c.pairing_id)
    .outerjoin(unit_type, unit_type.c.id == pairing.c.unit_type_id)
    .outerjoin(_sensor, _sensor.c.id == span.c.sensor_id)
    .outerjoin(_electronics, _electronics.c.id == span.c.electronics_id)
    .outerjoin(removal, sa.and_(removal.c.act_id == span.c.closed_by, removal.c.installation_id == span.c.installation_id))
    .outerjoin(log_entry, log_entry.c.act_id == span.c.opened_by)
    .outerjoin(person_private, person_private.c.person_id == doer(log_entry.c.act_id, log_entry.c.done_by_id))
    .outerjoin(sighting, sighting.c.id == newest(_sightings, "sighted_at", _sightings.c.bay_id == bay.c.id, _sightings.c.outcome == "as_recorded", sa.and_(_sightings.c.sensor_id == span.c.sensor_id, _sightings.c.electronics_id == span.c.electronics_id)))
    .where(_of(bay.c.vehicle_id), bay.c.seq <= KNOWN)
    .order_by(bay.c.from_bow_m, bay.c.letter)
)  # fmt: skip
_openings, _closings, _tests = opening.alias("openings"), housing_closing.alias("closings"), leak_test.alias("tests")
_closing_sheets = closing_sheet.alias("closing_sheets")
housings = (
    select(
        housing.c.id, housing.c.vehicle_id, housing.c.name, housing.c.closing_method, opening.c.opened_at, housing_closing.c.closed_at,
        opening.c.seq.label("opened_seq"), housing_closing.c.seq.label("closed_seq"), leak_test.c.seq.label("tested_seq"),
        leak_test.c.tested_at, leak_test.c.verdict, leak_test.c.change_mbar, leak_test.c.hold_min, leak_test.c.limit_mbar,
        closing_sheet.c.verdict.label("sheet_verdict"), closing_sheet.c.told.label("sheet_told"), closing_sheet.c.seq.label("sheet_seq"),
    )
    .select_from(housing)
    .outerjoin(opening, opening.c.id == newest(_openings, "opened_at", _openings.c.housing_id == housing.c.id))
    .outerjoin(housing_closing, housing_closing.c.id == newest(_closings, "closed_at", _closings.c.housing_id == housing.c.id))
    .outerjoin(closing_sheet, closing_sheet.c.id == newest(_closing_sheets, "filled_in_at", _closing_sheets.c.housing_closing_id == housing_closing.c.id))
    .outerjoin(leak_test, leak_test.c.id == newest(_tests, "tested_at", _tests.c.housing_id == housing.c.id))
    .where(_of(housing.c.vehicle_id), housing.c.seq <= KNOWN)
    .order_by(housing.c.name)
)  # fmt: skip
#: What lies on a pair lies on its halves, also when they got another statement since.
_of_pair = (pairing.c.sensor_id, pairing.c.electronics_id)
holds = (
    select(hold, *_of_pair)
    .outerjoin(pairing, pairing.c.id == hold.c.pairing_id)
    .where(in_force(hold, "placed_at", "released_at"))
    .order_by(hold.c.placed_at, hold.c.id)
)
differences = (
    select(discrepancy)
    .where(in_force(discrepancy, "noted_at", "settled_at"))
    .order_by(discrepancy.c.noted_at, discrepancy.c.id)
)
rechecks = (
    select(recheck, *_of_pair)
    .outerjoin(pairing, pairing.c.id == recheck.c.pairing_id)
    .where(in_force(recheck, "asked_at", "answered_at"))
    .order_by(recheck.c.asked_at, recheck.c.id)
)
left = (
    select(alignment_left.c.alignment_id, alignment_left.c.judged, alignment_left.c.left_deg, alignment_left.c.left_sigma_deg)
    .where(alignment_left.c.alignment_id.in_(bindparam("alignments", expanding=True)))
    .order_by(alignment_left.c.alignment_id, alignment_left.c.judged)
)  # fmt: skip
acceptances = (
    select(acceptance, person_private.c.name.label("who"))
    .outerjoin(person_private, person_private.c.person_id == acceptance.c.accepted_by_id)
    .where(_of(acceptance.c.vehicle_id), in_force(acceptance, "accepted_at", "withdrawn_at"))
    .order_by(acceptance.c.accepted_at, acceptance.c.id)
)
