"""The life of a vehicle: who stayed in each bay and when, holds, openings, and what was verified and aligned aboard."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.alignments import VERDICTS as ALIGNED
from registry.domain.holds import CAUSES
from registry.domain.verifications import VERDICTS as VERIFIED
from registry.models.alignments import alignment
from registry.models.amended_missions import amended_mission
from registry.models.columns import Id
from registry.models.fleet import bay, housing
from registry.models.holds import hold
from registry.models.installs import installation_span as span
from registry.models.missions import mission, mission_run
from registry.models.openings import opening
from registry.models.pairings import pairing
from registry.models.seeks import AT, EVER, KNOWN, ended_by, known
from registry.models.verifications import verification

VEHICLE = bindparam("vehicle", type_=Id)
_removed = ended_by(span, "removed_at")
_bays = select(bay.c.letter).where(bay.c.vehicle_id == VEHICLE, bay.c.seq <= KNOWN).order_by(bay.c.letter)
_stays_here = (bay.c.id == span.c.bay_id, bay.c.vehicle_id == VEHICLE, known(span), span.c.installed_at <= AT)
_stays = (
    select(bay.c.letter, pairing.c.name, span.c.installed_at, _removed.label("removed_at"), span.c.seq)
    .join(bay, bay.c.id == span.c.bay_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .where(*_stays_here)
    .order_by(span.c.installed_at, span.c.seq)
)
#: What lies on the vehicle or a bay; and what lay on a pair or a half of it while that was in.
_overlaps = sa.and_(
    hold.c.placed_at <= sa.func.coalesce(_removed, AT),
    sa.func.coalesce(ended_by(hold, "released_at"), AT) >= span.c.installed_at,
)
_holds = sa.union(
    select(hold.c.id, bay.c.letter, hold.c.cause, hold.c.placed_at, ended_by(hold, "released_at").label("released_at"), hold.c.seq)
    .select_from(hold)
    .outerjoin(bay, bay.c.id == hold.c.bay_id)
    .where(known(hold), hold.c.placed_at <= AT, sa.or_(hold.c.vehicle_id == VEHICLE, bay.c.vehicle_id == VEHICLE)),
    select(hold.c.id, bay.c.letter, hold.c.cause, hold.c.placed_at, ended_by(hold, "released_at"), hold.c.seq)
    .select_from(hold)
    .join(span, sa.or_(span.c.pairing_id == hold.c.pairing_id, span.c.sensor_id == hold.c.half_id, span.c.electronics_id == hold.c.half_id))
    .join(bay, bay.c.id == span.c.bay_id)
    .where(known(hold), hold.c.placed_at <= AT, *_stays_here, _overlaps),
)  # fmt: skip
_openings = (
    select(housing.c.name, opening.c.opened_at, opening.c.seq)
    .join(housing, housing.c.id == opening.c.housing_id)
    .where(housing.c.vehicle_id == VEHICLE, opening.c.seq <= KNOWN, opening.c.opened_at <= AT)
    .order_by(opening.c.opened_at, opening.c.seq)
)
_verified = (
    select(bay.c.letter, verification.c.verified_at, verification.c.verdict, verification.c.seq)
    .join(span, span.c.pairing_id == verification.c.pairing_id)
    .join(bay, bay.c.id == span.c.bay_id)
    .where(
        *_stays_here, known(verification), verification.c.verified_at <= AT, verification.c.verified_at >= span.c.installed_at,
        verification.c.verified_at <= sa.func.coalesce(_removed, AT),
    )
    .order_by(verification.c.verified_at, verification.c.seq)
)  # fmt: skip
_aligned = (
    select(bay.c.letter, alignment.c.aligned_at, alignment.c.verdict, alignment.c.seq)
    .join(span, span.c.installation_id == alignment.c.installation_id)
    .join(bay, bay.c.id == span.c.bay_id)
    .where(*_stays_here, alignment.c.seq <= KNOWN, alignment.c.aligned_at <= AT)
    .order_by(alignment.c.aligned_at, alignment.c.seq)
)

_amended = sa.exists().where(amended_mission.c.mission_id == mission.c.id, amended_mission.c.seq <= KNOWN)
_sailed = (
    select(mission.c.reference, mission_run.c.started_at, ended_by(mission_run, "ended_at").label("ended_at"), mission_run.c.seq, _amended.label("amended"))
    .join(mission, mission.c.id == mission_run.c.mission_id)
    .where(mission_run.c.vehicle_id == VEHICLE, known(mission_run), mission_run.c.started_at <= AT)
    .order_by(mission_run.c.started_at)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stretch:
    """Something that lasted: a stay, a mission or a hold. `until` None: it goes on."""

    since: str
    until: str | None
    words: str
    seq: int
    hold: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """Something done at an instant: an opening, a verification, an alignment."""

    at: str
    words: str
    seq: int


@dataclass(frozen=True, slots=True)
class LifeLane:
    """One bay, one housing, the missions, or the vehicle as a whole."""

    name: str
    stretches: tuple[Stretch, ...]
    marks: tuple[Mark, ...]


def vehicle_life(db: sa.Connection, vehicle_id: str, at: str, known_size: int = EVER) -> tuple[LifeLane, ...]:
    """A lane for each bay from the bow letter on, then housings that were opened, then missions, then holds on the whole.
    Seven statements."""
    keys: dict[str, Any] = {"vehicle": vehicle_id, "at": at, "known": known_size}
    letters = list(db.execute(_bays, keys).scalars())
    stretches: dict[str, list[Stretch]] = {f"Bay {letter}": [] for letter in letters}
    marks: dict[str, list[Mark]] = {name: [] for name in stretches}
    for row in db.execute(_stays, keys):
        stretches[f"Bay {row.letter}"].append(Stretch(row.installed_at, row.removed_at, row.name, row.seq))
    for row in db.execute(_verified, keys):
        marks[f"Bay {row.letter}"].append(Mark(row.verified_at, f"verified: {VERIFIED[row.verdict]}", row.seq))
    for row in db.execute(_aligned, keys):
        marks[f"Bay {row.letter}"].append(Mark(row.aligned_at, f"aligned: {ALIGNED[row.verdict]}", row.seq))
    for row in db.execute(_openings, keys):
        marks.setdefault(f"{row.name.capitalize()} housing", []).append(Mark(row.opened_at, "opened", row.seq))
    for row in db.execute(_sailed, keys):
        words = f"{row.reference}{', put right since it was entered' if row.amended else ''}"
        stretches.setdefault("Missions", []).append(Stretch(row.started_at, row.ended_at, words, row.seq))
    for row in db.execute(_holds, keys):
        name = f"Bay {row.letter}" if row.letter else "Vehicle"
        held = Stretch(row.placed_at, row.released_at, f"on hold: {CAUSES[row.cause]}", row.seq, hold=True)
        stretches.setdefault(name, []).append(held)
    return tuple(
        _lane(name, stretches.get(name, []), marks.get(name, [])) for name in dict.fromkeys([*marks, *stretches])
    )


def _lane(name: str, stretches: list[Stretch], marks: list[Mark]) -> LifeLane:
    return LifeLane(
        name, tuple(sorted(stretches, key=lambda one: (one.since, one.seq))), tuple(sorted(marks, key=lambda one: (one.at, one.seq)))
    )  # fmt: skip
