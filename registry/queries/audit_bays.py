"""The bays of an audit: where the last scan of each stands, which hull to open first, and where to walk next."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.audits import HullToOpen, Unconfirmed, hulls_to_open
from registry.domain.carrying import VIA
from registry.domain.freshness import days_since, say_scan
from registry.models.audit_lines import newest_answer
from registry.models.audits import audit_answer, audit_line
from registry.models.fleet import bay, housing, vehicle, vehicle_place
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.resting import mission_days, seat_of
from registry.models.seeks import ended_by, newest
from registry.models.sightings import sighting
from registry.models.sites import site
from registry.models.unconfirmed import proved_at

_stays, _sightings, _places = span.alias("stays"), sighting.alias("sightings"), vehicle_place.alias("places")
#: Every line that is a bay, with what the record has in it and what answered the line.
_bays = (
    select(
        audit_line.c.id, audit_line.c.number, audit_answer.c.verdict, bay.c.id.label("bay_id"), bay.c.code, bay.c.letter, vehicle.c.id.label("vehicle_id"), vehicle.c.name.label("vehicle"),
        site.c.name.label("site"), housing.c.id.label("housing_id"), housing.c.name.label("housing"), span.c.installed_at, ended_by(span, "removed_at").label("removed_at"),
        sighting.c.sighted_at, log_entry.c.done_by_id.label("fitter_id"), (log_entry.c.via == VIA).label("carried_over"),
    )
    .join(bay, bay.c.id == audit_line.c.bay_id)
    .join(housing, housing.c.id == bay.c.housing_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(vehicle_place, vehicle_place.c.id == newest(_places, "since_at", _places.c.vehicle_id == vehicle.c.id))
    .outerjoin(site, site.c.id == vehicle_place.c.site_id)
    .outerjoin(span, span.c.id == newest(_stays, "installed_at", _stays.c.bay_id == bay.c.id))
    .outerjoin(log_entry, log_entry.c.act_id == span.c.opened_by)
    .outerjoin(sighting, sighting.c.id == newest(
        _sightings, "sighted_at", _sightings.c.bay_id == bay.c.id, _sightings.c.outcome == "as_recorded",
        sa.and_(_sightings.c.sensor_id == span.c.sensor_id, _sightings.c.electronics_id == span.c.electronics_id),
    ))
    .outerjoin(audit_answer, audit_answer.c.id == newest_answer)
    .where(audit_line.c.audit_id == bindparam("audit"))
    .order_by(audit_line.c.number)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlaceLeft:
    """A bay that is not read yet. `own` says that whoever asks fitted what is in it."""

    line_id: str
    number: int
    place: str
    code: str
    housing: str
    site: str
    own: bool


@dataclass(frozen=True, slots=True)
class ScanTold:
    """How old the proof is of what the record has in a bay, and how many mission days rest on it, in numbers and words."""

    scanned_at: str | None
    mission_days: int
    told: str


@dataclass(frozen=True, slots=True)
class AuditBays:
    """The bays of an audit: those that are not read yet, the hulls to open for them, and by line the scan of the others."""

    rows: tuple[sa.RowMapping, ...]
    left: tuple[PlaceLeft, ...]
    hulls: tuple[HullToOpen, ...]
    scans: dict[str, ScanTold]

    def next(self, last: str | None) -> PlaceLeft | None:
        """Where to walk next: what is left of the vehicle one stands at (`last`), then the hull that confirms most mission
        days, then the list's own order; never a bay that whoever asks fitted, while there is another."""
        order = {hull.housing_id: number for number, hull in enumerate(self.hulls)}
        near = [
            (one.own, row["vehicle_id"] != last, order.get(row["housing_id"], len(order)), one.number, one)
            for row, one in zip(self.rows, self.left, strict=True)
        ]
        return min(near, key=lambda told: told[:4])[4] if near else None


def audit_bays(
    db: sa.Connection, audit_id: str, at: str, known: int, viewer: str | None, *, closed: bool = False
) -> AuditBays:
    """The bays of an audit at an instant. Of one that is closed nothing is left. Two statements."""
    rows = db.execute(_bays, {"audit": audit_id, "at": at, "known": known}).mappings().all()
    days = mission_days(db, at, known, [seat_of(row, row["bay_id"]) for row in rows])
    unread = tuple(row for row in rows if row["verdict"] is None)
    before = "before the audit was closed" if closed else ""
    scans = {row["id"]: _scan(row, days, at, before) for row in rows if _rests(row, days)}
    hulls = tuple(hulls_to_open(_unconfirmed(unread, days, at)))
    return AuditBays(unread, tuple(_place_left(row, viewer) for row in unread), hulls, scans)


def _rests(row: Mapping[str, Any], days: Mapping[str, int]) -> bool:
    """Whether a line claims that a pair is there by a scan that its own answer does not tell already."""
    return row["bay_id"] in days and (
        row["verdict"] == "not_opened" or (row["verdict"] == "sighted" and days[row["bay_id"]] > 0)
    )


def _scan(row: Mapping[str, Any], days: Mapping[str, int], at: str, before: str) -> ScanTold:
    proved, resting = proved_at(row), days[row["bay_id"]]
    return ScanTold(proved, resting, say_scan(proved, resting, at, before))


def _place_left(row: sa.RowMapping, viewer: str | None) -> PlaceLeft:
    seated = row["installed_at"] and row["removed_at"] is None
    place = f"{row['vehicle']}, bay {row['letter']}"
    own = bool(seated and viewer and row["fitter_id"] == viewer)
    return PlaceLeft(row["id"], row["number"], place, row["code"], row["housing"], row["site"] or "", own)


def _unconfirmed(rows: Iterable[sa.RowMapping], days: Mapping[str, int], at: str) -> Iterable[Unconfirmed]:
    for row in rows:
        if row["bay_id"] in days:
            waited = days_since(proved_at(row) or row["installed_at"], at)
            place = (row["housing_id"], row["vehicle"], row["housing"], row["site"] or "", row["letter"])
            yield Unconfirmed(*place, days[row["bay_id"]], waited)
