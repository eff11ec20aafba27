"""What stands against deploying, read: the facts of every vehicle at an instant, for the acts that are decided on them
and for the pages that show them."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, NamedTuple

import sqlalchemy as sa

from registry.domain.alignments import LeftAngle
from registry.domain.findings import Acceptance
from registry.domain.fit_facts import BayFacts, HeldThing, HousingFacts, OpenEnd, VehicleFacts
from registry.domain.openings import VERDICTS as LEAK_VERDICTS
from registry.domain.verifications import Due
from registry.domain.voyages import Voyage
from registry.models import fit_rows as rows
from registry.models.due import dues
from registry.models.endings import endings
from registry.models.plans import plans_at
from registry.models.second_checks import seats_checked
from registry.models.seeks import EVER
from registry.models.settings_fit import closing_of, settings_of
from registry.models.sheet_values import sheet_values
from registry.models.standings import Standing, standings
from registry.models.unconfirmed import proved_at, unconfirmed

Row = Mapping[str, Any]


class VehicleRead(NamedTuple):
    """A vehicle at an instant: its row, the rows of its bays from the bow, and the facts made of them."""

    row: Row
    bays: list[Row]
    facts: VehicleFacts


def facts_at(
    db: sa.Connection, at: str, known: int = EVER, only: Iterable[str] | None = None, *, voyage: Voyage | None = None, use: str | None = None
) -> list[VehicleRead]:  # fmt: skip
    """The facts of vehicles as they stood at `at`, asked about for a voyage and a use. Twenty statements, whatever the
    size of the fleet."""
    keys: dict[str, Any] = {"at": at, "known": known, "all_vehicles": int(only is None), "vehicles": list(only or [])}
    read: Callable[[Any], Any] = lambda query: db.execute(query, keys).mappings().all()  # noqa: E731
    listed = read(rows.bays)
    bays = _grouped(listed, "vehicle_id")
    seated = [row for row in listed if row["span_id"] and row["removed_at"] is None]
    stands = standings(db, [row["installation_id"] for row in seated], at, known)
    sheets, checked = settings_of(db, list(stands), at, known), seats_checked(db, list(stands), at, known)
    values = sheet_values(db, at, known, sheets, stands)
    plans = plans_at(db, at, known)
    due = dues(db, at, known, [row["pairing_id"] for row in seated], plans(None))
    left = _left(db, stands.values())
    housings = _grouped(read(rows.housings), "vehicle_id")
    about = _About(bays, housings, read(rows.holds), read(rows.differences), read(rows.rechecks))
    accepted = _accepted(read(rows.acceptances))
    ending = endings(db, at, known, seated) if voyage else {}
    doubts, loans = unconfirmed(db, at, known, seated)

    def facts(row: Row) -> VehicleFacts:
        id_, stops = row["id"], plans(row["site_id"]).allows("overdue_stops")
        return VehicleFacts(
            id_, row["name"], tuple(replace(_bay_facts(one, stands, due, left, stops), doubts=doubts.get(one["id"], ()), settings=sheets.get(one["installation_id"]), values=values.get(one["installation_id"]), checked=checked.get(one["installation_id"])) for one in bays[id_]),
            tuple(_housing(one, bays[id_]) for one in housings[id_]), tuple(about.holds[id_]), tuple(about.differences[id_]),
            tuple(about.rechecks[id_]), row["retired_at"], row["site"], at, voyage, use, tuple(accepted[id_]), row["seq"], row["retired_seq"],
            loans.get(id_, ()), tuple(ending.get(id_, ())),
        )  # fmt: skip

    return [VehicleRead(row, bays[row["id"]], facts(row)) for row in read(rows.vehicles)]


def _left(db: sa.Connection, stands: Iterable[Standing]) -> dict[str, tuple[LeftAngle, ...]]:
    """Alignment id -> what it left of each angle it judged."""
    left: dict[str, tuple[LeftAngle, ...]] = defaultdict(tuple)
    for row in db.execute(rows.left, {"alignments": [one.alignment.id for one in stands if one.alignment]}):
        left[row.alignment_id] += (LeftAngle(row.judged, row.left_deg, row.left_sigma_deg),)
    return left


def _accepted(listed: Iterable[Row]) -> dict[str, list[Acceptance]]:
    """Vehicle id -> what was accepted of it by name."""
    accepted: dict[str, list[Acceptance]] = defaultdict(list)
    for row in listed:
        told = {
            name: row[name] for name in ("bay", "finding", "use", "fact", "reason", "accepted_at", "from_on", "to_on")
        }
        one = Acceptance(
            row["id"], evidence=row["evidence_seq"], who=row["who"] or "nobody known", seq=row["seq"], **told
        )
        accepted[row["vehicle_id"]].append(one)
    return accepted


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


def _bay_facts(
    row: Row, stands: Mapping[str, Standing], due: Mapping[str, Due], left: Mapping[str, tuple[LeftAngle, ...]],
    overdue_stops: bool,
) -> BayFacts:  # fmt: skip
    if row["span_id"] is None:
        return BayFacts(row["id"], row["letter"], None, entered_seq=row["entered_seq"])
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
        use=row["use"] or "other",
        tolerance_deg=row["heading_tolerance_deg"],
        left=left[standing.alignment.id] if standing.alignment else (),
        proved_at=proved_at(row),
    )


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
        row["closed_seq"] or 0, row["tested_seq"] or 0, row["verdict"], told, closing_of(row),
    )  # fmt: skip
