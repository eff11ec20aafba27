"""One bay at an instant: what it holds, what it accepts, what stands against it, and every stay in it."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.findings import Finding
from registry.domain.voyages import Voyage
from registry.models.fleet import bay, bay_type
from registry.models.seeks import EVER, in_force
from registry.models.units import unit_type
from registry.queries.alignments import BayAlignments, bay_alignments
from registry.queries.attachments import FileShown, files_of
from registry.queries.fleet import BayState, VehicleState, vehicles_at
from registry.queries.history import About, Event, history
from registry.queries.settings import BaySettings, bay_settings
from registry.queries.spares import BaySpares, spares_of_bays

_vehicle = select(bay.c.vehicle_id).where(bay.c.id == bindparam("bay"))
_types = (
    select(unit_type.c.id, (unit_type.c.maker + " " + unit_type.c.name).label("name"), bay_type.c.accepted_at)
    .join(bay_type, bay_type.c.unit_type_id == unit_type.c.id)
    .where(bay_type.c.bay_id == bindparam("bay"), in_force(bay_type, "accepted_at", "ended_at"))
    .order_by(unit_type.c.maker, unit_type.c.name)
)


@dataclass(frozen=True, slots=True)
class BayPage:
    """Everything the page of a bay shows."""

    vehicle: VehicleState
    bay: BayState
    types: tuple[sa.Row, ...]
    findings: tuple[Finding, ...]
    events: tuple[Event, ...]
    files: tuple[FileShown, ...]
    aligned: BayAlignments
    settings: BaySettings
    spares: BaySpares


def bay_page(
    db: sa.Connection, bay_id: str, at: str, known: int = EVER, *, voyage: Voyage | None = None, use: str | None = None
) -> BayPage | None:
    """The page of a bay, or None when it was not known yet."""
    vehicle_id = db.execute(_vehicle, {"bay": bay_id}).scalar()
    states = vehicles_at(db, at, known, [vehicle_id], voyage=voyage, use=use) if vehicle_id else []
    one = next((b for state in states for b in state.bays if b.id == bay_id), None)
    if one is None:
        return None
    types = tuple(db.execute(_types, {"bay": bay_id, "at": at, "known": known}))
    mine = tuple(f for f in states[0].findings if f.bay in (one.letter, None))
    about = About(bays=(bay_id,))
    events, files = history(db, about, at, known), files_of(db, about, at, known)
    (spares,) = spares_of_bays(db, [bay_id], at, known)
    aligned, settings = bay_alignments(db, bay_id, at, known), bay_settings(db, bay_id, at, known)
    return BayPage(states[0], one, types, mine, tuple(events), files, aligned, settings, spares)
