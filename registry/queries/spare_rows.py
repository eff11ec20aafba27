"""The statements that spares are found by: free pairs with both halves, and the bays that wait for one."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.fleet import bay, bay_type, vehicle, vehicle_place
from registry.models.installs import installation_span as span
from registry.models.pairings import pairing
from registry.models.seeks import AT, KNOWN, ended_by, in_force, newest
from registry.models.sites import site
from registry.models.units import half, retirement, unit_type

_stays, _places = span.alias("stays"), vehicle_place.alias("places")
_sensor, _electronics = half.alias("sensor"), half.alias("electronics")
#: Pairs that hold at the instant and sit in no bay.
free_pairs = (
    select(
        pairing.c.id, pairing.c.name, pairing.c.unit_type_id, (unit_type.c.maker + " " + unit_type.c.name).label("type_name"),
        pairing.c.sensor_id, pairing.c.electronics_id, _sensor.c.code.label("sensor_code"), _electronics.c.code.label("electronics_code"),
    )
    .join(unit_type, unit_type.c.id == pairing.c.unit_type_id)
    .join(_sensor, _sensor.c.id == pairing.c.sensor_id)
    .join(_electronics, _electronics.c.id == pairing.c.electronics_id)
    .outerjoin(span, span.c.id == newest(_stays, "installed_at", _stays.c.pairing_id == pairing.c.id))
    .where(
        in_force(pairing, "paired_at", "ended_at"),
        sa.or_(span.c.id.is_(None), ended_by(span, "removed_at").is_not(None)),
    )
    .order_by(pairing.c.name)
)  # fmt: skip
retired = select(retirement.c.half_id, retirement.c.retired_at).where(
    retirement.c.half_id.in_(bindparam("halves", expanding=True)), retirement.c.seq <= KNOWN, retirement.c.retired_at <= AT
)  # fmt: skip
bays = (
    select(
        bay.c.id, bay.c.code, bay.c.letter, bay.c.housing_id, vehicle.c.id.label("vehicle_id"), vehicle.c.name.label("vehicle"),
        site.c.id.label("site_id"), site.c.name.label("site"),
    )
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(vehicle_place, vehicle_place.c.id == newest(_places, "since_at", _places.c.vehicle_id == vehicle.c.id))
    .outerjoin(site, site.c.id == vehicle_place.c.site_id)
    .where(bay.c.id.in_(bindparam("bays", expanding=True)), bay.c.seq <= KNOWN)
    .order_by(vehicle.c.name, bay.c.letter)
)  # fmt: skip
accepted = select(bay_type.c.bay_id, bay_type.c.unit_type_id).where(
    bay_type.c.bay_id.in_(bindparam("bays", expanding=True)), in_force(bay_type, "accepted_at", "ended_at")
)
