"""The fleet, a vehicle, a bay at an instant: what sits where, and what stands against deploying."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.fit import BayFacts, Finding, HeldThing, HousingFacts, OpenEnd, VehicleFacts, findings, verdict
from registry.domain.openings import VERDICTS as LEAK_VERDICTS
from registry.models.fleet import bay, bay_type, bay_use, housing, vehicle, vehicle_place
from registry.models.holds import hold
from registry.models.installs import installation_span as span
from registry.models.installs import removal
from registry.models.log import log_entry
from registry.models.openings import housing_closing, leak_test, opening, recheck
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, KNOWN, ended_by, in_force, newest
from registry.models.sightings import discrepancy, sighting
from registry.models.sites import site
from registry.models.units import half, retirement, unit_type

ALL = bindparam("all_vehicles", type_=sa.Integer)
WANTED = bindparam("vehicles", expanding=True)


def _of(column: sa.ColumnElement[Any]) -> sa.ColumnElement[bool]:
    """All vehicles, or those asked for."""
    return sa.or_(ALL == 1, column.in_(WANTED))


_places = vehicle_place.alias("places")
_vehicles = (
    select(vehicle.c.id, vehicle.c.code, vehicle.c.name, vehicle.c.hull_number, vehicle.c.hull, vehicle.c.length_m, site.c.name.label("site"), site.c.id.label("site_id"), retirement.c.retired_at)
    .select_from(vehicle)
    .join(vehicle_place, vehicle_place.c.id == newest(_places, "since_at", _places.c.vehicle_id == vehicle.c.id))
    .join(site, site.c.id == vehicle_place.c.site_id)
    .outerjoin(retirement, sa.and_(retirement.c.vehicle_id == vehicle.c.id, retirement.c.retired_at <= AT))
    .where(_of(vehicle.c.id))
    .order_by(vehicle.c.name)
)  # fmt: skip
_stays, _uses, _sightings = span.alias("stays"), bay_use.alias("uses"), sighting.alias("sightings")
_sensor, _electronics = half.alias("sensor"), half.alias("electronics")
_accepted = sa.exists().where(bay_type.c.bay_id == bay.c.id, bay_type.c.unit_type_id == pairing.c.unit_type_id, in_force(bay_type, "accepted_at", "ended_at"))
_bays = (
    select(
        bay.c.id, bay.c.code, bay.c.vehicle_id, bay.c.housing_id, bay.c.letter, bay.c.from_bow_m, bay_use.c.use, bay_use.c.heading_tolerance_deg,
        span.c.id.label("span_id"), span.c.installation_id, span.c.installed_at, ended_by(span, "removed_at").label("removed_at"), span.c.seq,
        pairing.c.id.label("pairing_id"), pairing.c.name.label("pair"), _sensor.c.id.label("sensor_id"), _sensor.c.code.label("sensor_code"),
        _electronics.c.id.label("electronics_id"), _electronics.c.code.label("electronics_code"),
        (unit_type.c.maker + " " + unit_type.c.name).label("type_name"), _accepted.label("accepted"),
        removal.c.seat_follows, person_private.c.name.label("done_by"), sighting.c.sighted_at, sighting.c.outcome,
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
    .outerjoin(person_private, person_private.c.person_id == log_entry.c.done_by_id)
    .outerjoin(sighting, sighting.c.id == newest(_sightings, "sighted_at", _sightings.c.bay_id == bay.c.id))
    .where(_of(bay.c.vehicle_id), bay.c.seq <= KNOWN)
    .order_by(bay.c.from_bow_m, bay.c.letter)
)  # fmt: skip
_openings, _closings, _tests = opening.alias("openings"), housing_closing.alias("closings"), leak_test.alias("tests")
_housings = (
    select(
        housing.c.id, housing.c.vehicle_id, housing.c.name, housing.c.closing_method, opening.c.opened_at, housing_closing.c.closed_at,
        leak_test.c.tested_at, leak_test.c.verdict, leak_test.c.change_mbar, leak_test.c.hold_min, leak_test.c.limit_mbar,
    )
    .select_from(housing)
    .outerjoin(opening, opening.c.id == newest(_openings, "opened_at", _openings.c.housing_id == housing.c.id))
    .outerjoin(housing_closing, housing_closing.c.id == newest(_closings, "closed_at", _closings.c.housing_id == housing.c.id))
    .outerjoin(leak_test, leak_test.c.id == newest(_tests, "tested_at", _tests.c.housing_id == housing.c.id))
    .where(_of(housing.c.vehicle_id), housing.c.seq <= KNOWN)
    .order_by(housing.c.name)
)  # fmt: skip
_holds = select(hold).where(in_force(hold, "placed_at", "released_at")).order_by(hold.c.placed_at)
_differences = select(discrepancy).where(in_force(discrepancy, "noted_at", "settled_at")).order_by(discrepancy.c.noted_at, discrepancy.c.id)
_rechecks = select(recheck).where(in_force(recheck, "asked_at", "answered_at")).order_by(recheck.c.asked_at, recheck.c.id)


@dataclass(frozen=True, slots=True)
class BayState:
    """A bay at an instant. `disc` is the sign that stands for it; `confirmed_at` the last scan that proved it."""

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
    seat_follows: bool = False
    lifted_at: str | None = None


@dataclass(frozen=True, slots=True)
class VehicleState:
    """A vehicle at an instant, with its bays from the bow and its findings, worst first."""

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

    def bay(self, letter: str) -> BayState:
        return next(one for one in self.bays if one.letter == letter)


def vehicles_at(db: sa.Connection, at: str, known: int = EVER, only: Iterable[str] | None = None) -> list[VehicleState]:
    """Vehicles as they stood at `at`, worst first, then by name. Six statements, whatever the size of the fleet."""
    keys: dict[str, Any] = {"at": at, "known": known, "all_vehicles": int(only is None), "vehicles": list(only or [])}
    read: Callable[[Any], Any] = lambda query: db.execute(query, keys).mappings().all()  # noqa: E731
    bays = _grouped(read(_bays), "vehicle_id")
    housings = _grouped(read(_housings), "vehicle_id")
    about = _About(bays, housings, read(_holds), read(_differences), read(_rechecks))
    states = [_state(row, bays[row["id"]], housings[row["id"]], about, at) for row in read(_vehicles)]
    return sorted(states, key=lambda state: (("stops", "care", "note").index(state.severity), state.name))


def _grouped(rows: Iterable[Mapping[str, Any]], key: str) -> dict[str, list[Mapping[str, Any]]]:
    grouped: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for row in rows:
        grouped[row[key]].append(row)
    return grouped


class _About:
    """Which vehicle and bay each open hold, discrepancy and recheck is about."""

    def __init__(self, bays: Any, housings: Any, holds: Any, differences: Any, rechecks: Any):
        self._place: dict[str, tuple[str, str | None]] = {}
        self._named: dict[str, str] = {}
        for vehicle_id, rows in bays.items():
            for row in rows:
                self._know(row, vehicle_id)
        for vehicle_id, rows in housings.items():
            for row in rows:
                self._place[row["id"]] = (vehicle_id, None)
        self.holds: dict[str, list[HeldThing]] = defaultdict(list)
        self.differences: dict[str, list[OpenEnd]] = defaultdict(list)
        self.rechecks: dict[str, list[OpenEnd]] = defaultdict(list)
        self._sort_out(holds, differences, rechecks)

    def _know(self, row: Mapping[str, Any], vehicle_id: str) -> None:
        here = (vehicle_id, row["letter"])
        self._place[row["id"]] = here
        self._named[row["id"]] = f"bay {row['letter']}"
        if row["span_id"] and row["removed_at"] is None:
            self._place |= {row["pairing_id"]: here, row["sensor_id"]: here, row["electronics_id"]: here}
            self._named |= {row["pairing_id"]: f"pair {row['pair']}", row["sensor_id"]: f"sensor half of {row['pair']}", row["electronics_id"]: f"electronics half of {row['pair']}"}

    def _sort_out(self, holds: Any, differences: Any, rechecks: Any) -> None:
        for row in holds:
            subject = row["half_id"] or row["pairing_id"] or row["bay_id"] or row["vehicle_id"]
            vehicle_id, letter = (row["vehicle_id"], None) if row["vehicle_id"] else self._place.get(subject, (None, None))
            if vehicle_id:
                on = self._named.get(subject, "the vehicle")
                self.holds[vehicle_id].append(HeldThing(row["id"], on, row["cause"], row["reason"], row["placed_at"], row["seq"], letter))
        for row in differences:
            for vehicle_id, letter in dict.fromkeys(self._place[id_] for id_ in (row["bay_id"], row["half_id"]) if id_ in self._place):
                self.differences[vehicle_id].append(OpenEnd(row["id"], row["words"], row["noted_at"], row["seq"], letter, row["half_id"] is not None))
        for row in rechecks:
            place = next((self._place[row[name]] for name in ("pairing_id", "housing_id", "half_id") if row[name] in self._place), None)
            if place:
                self.rechecks[place[0]].append(OpenEnd(row["id"], row["what"], row["asked_at"], row["seq"], place[1]))


def _state(row: Mapping[str, Any], bays: list[Mapping[str, Any]], housings: list[Mapping[str, Any]], about: _About, at: str) -> VehicleState:
    id_ = row["id"]
    shown_housings = tuple(_housing(one, bays) for one in housings)
    facts = VehicleFacts(
        id_, row["name"], tuple(_bay_facts(one) for one in bays), shown_housings, tuple(about.holds[id_]),
        tuple(about.differences[id_]), tuple(about.rechecks[id_]), row["retired_at"], row["site"],
    )  # fmt: skip
    found = findings(facts)
    held = {hold.bay for hold in facts.holds} | ({one["letter"] for one in bays} if any(h.bay is None for h in facts.holds) else set())
    differing = {end.bay for end in facts.discrepancies}
    states = tuple(_bay_state(one, held, differing) for one in bays)
    named = {name: row[name] for name in ("id", "code", "name", "hull_number", "hull", "length_m", "site", "site_id")}
    return VehicleState(**named, bays=states, housings=shown_housings, findings=tuple(found), severity=verdict(found))


def _bay_facts(row: Mapping[str, Any]) -> BayFacts:
    if row["span_id"] is None:
        return BayFacts(row["id"], row["letter"], None)
    if row["removed_at"] is not None:
        return BayFacts(row["id"], row["letter"], None, lifted_at=row["removed_at"], seat_follows=bool(row["seat_follows"]), seq=row["seq"])
    return BayFacts(row["id"], row["letter"], row["pair"], row["installed_at"], type_accepted=bool(row["accepted"]), type_name=row["type_name"], seq=row["seq"])


def _bay_state(row: Mapping[str, Any], held: set[str | None], differing: set[str | None]) -> BayState:
    named = {name: row[name] for name in ("id", "code", "letter", "from_bow_m", "housing_id", "heading_tolerance_deg")}
    base = BayState(**named, use=row["use"] or "other", disc="empty")
    seated = row["span_id"] is not None and row["removed_at"] is None
    # Hold beats every other state, then mixed: the sign takes the weight of the worst that is known.
    disc = "hold" if seated and row["letter"] in held else "mixed" if row["letter"] in differing else "whole" if seated else "await" if row["seat_follows"] else "empty"
    if not seated:
        return replace(base, disc=disc, seat_follows=bool(row["seat_follows"]), lifted_at=row["removed_at"])
    confirmed = row["sighted_at"] if row["outcome"] == "as_recorded" and row["sighted_at"] > row["installed_at"] else row["installed_at"]
    told = {name: row[name] for name in ("pairing_id", "pair", "type_name", "sensor_id", "sensor_code", "electronics_id", "electronics_code", "installed_at", "done_by")}
    return replace(base, disc=disc, confirmed_at=confirmed, **told)


def _housing(row: Mapping[str, Any], bays: list[Mapping[str, Any]]) -> HousingFacts:
    """Putting a pair in or taking one out opens the housing, whether or not an opening was entered."""
    stays = [when for one in bays if one["housing_id"] == row["id"] for when in (one["installed_at"], one["removed_at"]) if when]
    opened = max([*stays, *([row["opened_at"]] if row["opened_at"] else [])], default=None)
    told = ""
    if row["tested_at"]:
        change = f"Change {row['change_mbar']} mbar in {row['hold_min']} min, corrected for temperature; limit {row['limit_mbar']}." if row["change_mbar"] else ""
        told = f"{change} The test {LEAK_VERDICTS[row['verdict']]}.".strip()
    return HousingFacts(row["id"], row["name"], row["closing_method"], opened, row["closed_at"], row["tested_at"], row["verdict"], told)
