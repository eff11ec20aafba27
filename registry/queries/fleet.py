"""The fleet and a vehicle at an instant: what sits where, and what stands against deploying."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import sqlalchemy as sa

from registry.domain.acceptances import HOLDS, how_it_stands
from registry.domain.findings import Acceptance, Finding
from registry.domain.fit import VERDICTS, findings, verdict
from registry.domain.fit_facts import HousingFacts, VehicleFacts
from registry.domain.second_checks import SeatChecked
from registry.domain.voyages import Voyage
from registry.models.fit import Row, facts_at
from registry.models.resting import mission_days, seat_of
from registry.models.seeks import EVER
from registry.models.unconfirmed import proved_at


@dataclass(frozen=True, slots=True)
class BayState:
    """A bay at an instant. `disc` is the sign that stands for it; `confirmed_at` the last scan that proved it,
    `mission_days` how many mission days rest on that."""

    id: str
    code: str
    letter: str
    from_bow_m: str
    housing_id: str
    use: str
    heading_tolerance_deg: str | None
    disc: str
    pairing_id: str | None = None
    pair: str | None = None
    type_name: str = ""
    sensor_id: str | None = None
    sensor_code: str | None = None
    electronics_id: str | None = None
    electronics_code: str | None = None
    installed_at: str | None = None
    done_by: str | None = None
    confirmed_at: str | None = None
    mission_days: int = 0
    seat_follows: bool = False
    lifted_at: str | None = None
    checked: SeatChecked | None = None


@dataclass(frozen=True, slots=True)
class AcceptanceShown:
    """What was accepted by name, and how that stands at the instant."""

    acceptance: Acceptance
    stands: str

    @property
    def holds(self) -> bool:
        return self.stands == HOLDS


@dataclass(frozen=True, slots=True)
class VehicleState:
    """A vehicle at an instant, with its bays from the bow and its findings, worst first. `severity` is one of VERDICTS."""

    id: str
    code: str
    name: str
    hull_number: str
    hull: str
    length_m: str
    site: str | None
    site_id: str | None
    bays: tuple[BayState, ...]
    housings: tuple[HousingFacts, ...]
    findings: tuple[Finding, ...]
    severity: str
    acceptances: tuple[AcceptanceShown, ...] = ()

    def bay(self, letter: str) -> BayState:
        return next(one for one in self.bays if one.letter == letter)


def vehicles_at(
    db: sa.Connection, at: str, known: int = EVER, only: Iterable[str] | None = None, *, voyage: Voyage | None = None, use: str | None = None
) -> list[VehicleState]:  # fmt: skip
    """Vehicles as they stood at `at`, asked about for a voyage and a use, worst first, then by name. Twenty-one statements,
    and three more for a voyage, whatever the size of the fleet."""
    read = facts_at(db, at, known, only, voyage=voyage, use=use)
    days = mission_days(db, at, known, [seat_of(bay, bay["id"]) for one in read for bay in one.bays])
    states = [_state(*one, days) for one in read]
    return sorted(states, key=lambda state: (list(VERDICTS).index(state.severity), state.name))


def _state(row: Row, bays: list[Row], facts: VehicleFacts, days: Mapping[str, int]) -> VehicleState:
    found = findings(facts)
    held = {hold.bay for hold in facts.holds} | (
        {one["letter"] for one in bays} if any(h.bay is None for h in facts.holds) else set()
    )
    differing = {end.bay for end in facts.discrepancies}
    checked = {one.bay_id: one.checked for one in facts.bays}
    states = tuple(
        replace(_bay_state(one, held, differing, days.get(one["id"], 0)), checked=checked[one["id"]]) for one in bays
    )
    named = {name: row[name] for name in ("id", "code", "name", "hull_number", "hull", "length_m", "site", "site_id")}
    return VehicleState(
        **named, bays=states, housings=facts.housings, findings=tuple(found), severity=verdict(found),
        acceptances=tuple(_shown(one, found, facts) for one in facts.acceptances),
    )  # fmt: skip


def _shown(one: Acceptance, found: list[Finding], facts: VehicleFacts) -> AcceptanceShown:
    return AcceptanceShown(one, how_it_stands(one, found, facts.at, facts.voyage))


def _bay_state(row: Row, held: set[str | None], differing: set[str | None], days: int) -> BayState:
    named = {name: row[name] for name in ("id", "code", "letter", "from_bow_m", "housing_id", "heading_tolerance_deg")}
    base = BayState(**named, use=row["use"] or "other", disc="empty")
    seated = row["span_id"] is not None and row["removed_at"] is None
    # Hold beats every other state, then mixed: the sign takes the weight of the worst that is known.
    disc = (
        "hold"
        if seated and row["letter"] in held
        else "mixed"
        if row["letter"] in differing
        else "whole"
        if seated
        else "await"
        if row["seat_follows"]
        else "empty"
    )
    if not seated:
        return replace(base, disc=disc, seat_follows=bool(row["seat_follows"]), lifted_at=row["removed_at"])
    told = {
        name: row[name]
        for name in (
            "pairing_id",
            "pair",
            "type_name",
            "sensor_id",
            "sensor_code",
            "electronics_id",
            "electronics_code",
            "installed_at",
            "done_by",
        )
    }
    return replace(base, disc=disc, confirmed_at=proved_at(row), mission_days=days, **told)
