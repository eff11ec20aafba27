"""The fleet and a vehicle at an instant: what sits where, and what stands against deploying."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import sqlalchemy as sa

from registry.domain.fit import BayFacts, Finding, HeldThing, HousingFacts, OpenEnd, VehicleFacts, findings, verdict
from registry.domain.openings import VERDICTS as LEAK_VERDICTS
from registry.domain.plans import Plan
from registry.domain.verifications import Due
from registry.models.due import dues
from registry.models.plans import plans_at
from registry.models.seeks import EVER
from registry.queries import fleet_rows as rows
from registry.queries.alignments import Standing, standings


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
    """Vehicles as they stood at `at`, worst first, then by name. Ten statements, whatever the size of the fleet."""
    keys: dict[str, Any] = {"at": at, "known": known, "all_vehicles": int(only is None), "vehicles": list(only or [])}
    read: Callable[[Any], Any] = lambda query: db.execute(query, keys).mappings().all()  # noqa: E731
    listed = read(rows.bays)
    bays = _grouped(listed, "vehicle_id")
    seated = [row for row in listed if row["span_id"] and row["removed_at"] is None]
    stands = standings(db, [row["installation_id"] for row in seated], at, known)
    plans = plans_at(db, at, known)
    due = dues(db, at, known, [row["pairing_id"] for row in seated], plans(None))
    housings = _grouped(read(rows.housings), "vehicle_id")
    about = _About(bays, housings, read(rows.holds), read(rows.differences), read(rows.rechecks))
    states = [
        _state(row, bays[row["id"]], housings[row["id"]], about, stands, due, plans) for row in read(rows.vehicles)
    ]
    return sorted(states, key=lambda state: (("stops", "care", "note").index(state.severity), state.name))


def _grouped(listed: Iterable[Mapping[str, Any]], key: str) -> dict[str, list[Mapping[str, Any]]]:
    grouped: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for row in listed:
        grouped[row[key]].append(row)
    return grouped


class _About:
    """Which vehicle and bay each open hold, discrepancy and recheck is about."""

    def __init__(self, bays: Any, housings: Any, holds: Any, differences: Any, rechecks: Any):
        self._place: dict[str, tuple[str, str | None]] = {}
        self._named: dict[str, str] = {}
        for vehicle_id, listed in bays.items():
            for row in listed:
                self._know(row, vehicle_id)
        for vehicle_id, listed in housings.items():
            for row in listed:
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
            self._named |= {
                row["pairing_id"]: f"pair {row['pair']}",
                row["sensor_id"]: f"sensor half of {row['pair']}",
                row["electronics_id"]: f"electronics half of {row['pair']}",
            }

    def _sort_out(self, holds: Any, differences: Any, rechecks: Any) -> None:
        for row in holds:
            subject = self._seated(row, "half_id", "pairing_id", "sensor_id", "electronics_id", "bay_id")
            vehicle_id, letter = (
                (row["vehicle_id"], None) if row["vehicle_id"] else self._place.get(subject, (None, None))
            )
            if vehicle_id:
                on = self._named.get(subject, "the vehicle")
                self.holds[vehicle_id].append(
                    HeldThing(row["id"], on, row["cause"], row["reason"], row["placed_at"], row["seq"], letter)
                )
        for row in differences:
            for vehicle_id, letter in dict.fromkeys(
                self._place[id_] for id_ in (row["bay_id"], row["half_id"]) if id_ in self._place
            ):
                self.differences[vehicle_id].append(
                    OpenEnd(row["id"], row["words"], row["noted_at"], row["seq"], letter, row["half_id"] is not None)
                )
        for row in rechecks:
            subject = self._seated(row, "pairing_id", "sensor_id", "electronics_id", "housing_id", "half_id")
            if subject:
                vehicle_id, letter = self._place[subject]
                self.rechecks[vehicle_id].append(OpenEnd(row["id"], row["what"], row["asked_at"], row["seq"], letter))

    def _seated(self, row: Mapping[str, Any], *names: str) -> str | None:
        """Which of the things a row names is in a vehicle; the first, in this order."""
        return next((row[name] for name in names if row[name] in self._place), None)


def _state(
    row: Mapping[str, Any],
    bays: list[Mapping[str, Any]],
    housings: list[Mapping[str, Any]],
    about: _About,
    stands: Mapping[str, Standing],
    due: Mapping[str, Due],
    plans: Callable[[str | None], Plan],
) -> VehicleState:
    id_ = row["id"]
    shown_housings = tuple(_housing(one, bays) for one in housings)
    stops = plans(row["site_id"]).allows("overdue_stops")
    facts = VehicleFacts(
        id_, row["name"], tuple(_bay_facts(one, stands, due, stops) for one in bays), shown_housings, tuple(about.holds[id_]),
        tuple(about.differences[id_]), tuple(about.rechecks[id_]), row["retired_at"], row["site"],
    )  # fmt: skip
    found = findings(facts)
    held = {hold.bay for hold in facts.holds} | (
        {one["letter"] for one in bays} if any(h.bay is None for h in facts.holds) else set()
    )
    differing = {end.bay for end in facts.discrepancies}
    states = tuple(_bay_state(one, held, differing) for one in bays)
    named = {name: row[name] for name in ("id", "code", "name", "hull_number", "hull", "length_m", "site", "site_id")}
    return VehicleState(**named, bays=states, housings=shown_housings, findings=tuple(found), severity=verdict(found))


def _bay_facts(
    row: Mapping[str, Any], stands: Mapping[str, Standing], due: Mapping[str, Due], overdue_stops: bool
) -> BayFacts:
    if row["span_id"] is None:
        return BayFacts(row["id"], row["letter"], None)
    if row["removed_at"] is not None:
        return BayFacts(
            row["id"],
            row["letter"],
            None,
            lifted_at=row["removed_at"],
            seat_follows=bool(row["seat_follows"]),
            seq=row["seq"],
        )
    standing = stands[row["installation_id"]]
    return BayFacts(
        row["id"],
        row["letter"],
        row["pair"],
        row["installed_at"],
        type_accepted=bool(row["accepted"]),
        type_name=row["type_name"],
        seq=row["seq"],
        due=due.get(row["pairing_id"]),
        overdue_stops=overdue_stops,
        axis_check=standing.check,
        mounting_check=standing.mounting,
        alignment=standing.alignment,
        dowels=standing.dowels,
    )


def _bay_state(row: Mapping[str, Any], held: set[str | None], differing: set[str | None]) -> BayState:
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
    confirmed = max(row["installed_at"], row["sighted_at"] or "")
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
    return replace(base, disc=disc, confirmed_at=confirmed, **told)


def _housing(row: Mapping[str, Any], bays: list[Mapping[str, Any]]) -> HousingFacts:
    """Putting a pair in or taking one out opens the housing, whether or not an opening was entered."""
    opened = max(
        (
            (row["opened_at"], row["opened_seq"]),
            *((one["installed_at"], one["seq"]) for one in bays if one["housing_id"] == row["id"]),
            *((one["removed_at"], one["closed_seq"]) for one in bays if one["housing_id"] == row["id"]),
        ),
        key=lambda when: (when[0] or "", when[1] or 0),
    )
    told = ""
    if row["tested_at"]:
        change = (
            f"Change {row['change_mbar']} mbar in {row['hold_min']} min, corrected for temperature; limit {row['limit_mbar']}."
            if row["change_mbar"]
            else ""
        )
        told = f"{change} The test {LEAK_VERDICTS[row['verdict']]}.".strip()
    return HousingFacts(
        row["id"], row["name"], row["closing_method"], opened[0], row["closed_at"], row["tested_at"], opened[1] or 0,
        row["closed_seq"] or 0, row["tested_seq"] or 0, row["verdict"], told,
    )  # fmt: skip
