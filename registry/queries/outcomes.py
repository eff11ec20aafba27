"""The fault diary of a half: faults noted on it, and each removal of its pairs with what became of it."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.fleet import bay, vehicle
from registry.models.installs import installation_span as span
from registry.models.installs import removal
from registry.models.outcomes import removal_outcome
from registry.models.pairings import pairing
from registry.models.seeks import AT, EVER, KNOWN, known, newest
from registry.models.units import fault

_outcomes = removal_outcome.alias("outcomes")
_faults = (
    select(fault.c.noted_at, fault.c.words, fault.c.seq)
    .where(fault.c.half_id == bindparam("half"), known(fault), fault.c.noted_at <= AT)
    .order_by(fault.c.noted_at.desc(), fault.c.seq.desc())
)
_removals = (
    select(
        removal.c.id, removal.c.reason, removal.c.condition, removal.c.words, span.c.removed_at, span.c.closed_seq, pairing.c.name.label("pair"), pairing.c.id.label("pairing_id"),
        (vehicle.c.name + ", bay " + bay.c.letter).label("bay"), removal_outcome.c.outcome, removal_outcome.c.fault_in, removal_outcome.c.words.label("found"),
        removal_outcome.c.stated_at, removal_outcome.c.seq.label("stated_seq"),
    )
    .select_from(removal)
    .join(span, sa.and_(span.c.installation_id == removal.c.installation_id, known(span)))
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(removal_outcome, removal_outcome.c.id == newest(_outcomes, "stated_at", _outcomes.c.removal_id == removal.c.id))
    .where(removal.c.seq <= KNOWN, span.c.removed_at <= AT, sa.or_(span.c.sensor_id == bindparam("half"), span.c.electronics_id == bindparam("half")))
    .order_by(span.c.removed_at.desc())
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FaultDiary:
    """Faults and removals of a half, newest first."""

    faults: tuple[sa.RowMapping, ...]
    removals: tuple[sa.RowMapping, ...]

    @property
    def suspected(self) -> int:
        """How often it came out under suspicion, or not sound."""
        return sum(row["reason"] == "suspect" or row["condition"] != "sound" for row in self.removals)

    @property
    def no_fault_found(self) -> int:
        return sum(row["outcome"] == "no_fault_found" for row in self.removals)


def fault_diary(db: sa.Connection, half_id: str, at: str, known_size: int = EVER) -> FaultDiary:
    keys = {"half": half_id, "at": at, "known": known_size}
    return FaultDiary(tuple(db.execute(_faults, keys).mappings()), tuple(db.execute(_removals, keys).mappings()))
