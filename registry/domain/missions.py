"""Missions: how a vehicle was aided, the distance over which a heading that is off counts, and what each bay rode on."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from registry.domain.times import NEVER, as_datetime, say
from registry.errors import Offer, Reason

AIDED = {
    "dvl": "DVL, with no position fix on the way",
    "dvl_and_fixes": "DVL, with position fixes on the way",
    "gnss": "satellite positions all the way",
    "inertial": "nothing: inertial alone",
}
#: The acts that tell of a mission and can be taken back; what amended it goes with what it amended.
TOLD_BY = ("plan_mission", "record_mission", "start_mission", "end_mission", "record_distance")
#: What of a mission can be amended; of an instant, the words after “when it”.
PARTS = {
    "vehicle": "vehicle",
    "planned_from": "was to start",
    "planned_to": "was to end",
    "started": "started",
    "ended": "ended",
}
INSTANTS = tuple(part for part in PARTS if part != "vehicle")
#: Aided so that a heading that is off adds up no longer than from one position fix to the next.
FIXED = ("dvl_and_fixes", "gnss")


@dataclass(frozen=True, slots=True)
class Run:
    """One mission as far as it was run. `vehicle` and `reference` are for sentences."""

    mission_id: str
    reference: str
    vehicle: str
    started_at: str
    ended_at: str | None
    seq: int


def counted_km(distance_km: str, aided_by: str, stretch_km: str | None) -> str:
    """The distance over which a heading that is off adds up: all of it, or the longest stretch from fix to fix."""
    if aided_by not in FIXED:
        return distance_km
    return stretch_km or "0"


def reasons_of_distance(distance_km: str, aided_by: str, stretch_km: str | None) -> list[Reason]:
    """Why a distance cannot be as it is told."""
    if aided_by == "dvl_and_fixes" and stretch_km is None:
        told = "Between two fixes a heading that is off costs more with the distance: how long was the longest stretch without one?"
        return [Reason("needs_reason", told, "stretch_km", "Enter the longest stretch without a fix, in kilometres.")]
    if stretch_km is not None and float(stretch_km) > float(distance_km):
        told = f"The longest stretch without a fix, {stretch_km} km, is longer than the {distance_km} km that were run."
        return [Reason("wrong_form", told, "stretch_km", "Look at both distances.")]
    return []


def reasons_not_to_run(own: Run | None, of_vehicle: Iterable[Run], since: str, until: str | None) -> list[Reason]:
    """Why a mission cannot have run then: it ran already, or its vehicle was on another."""
    if own:
        told = f"{own.reference} started at {say(own.started_at)} (entry {own.seq:,})."
        return [Reason("already_so", told, "mission", "There is nothing to start.")]
    found = []
    for one in of_vehicle:
        if one.started_at < (until or NEVER) and since < (one.ended_at or NEVER):
            end = f"until {say(one.ended_at)}" if one.ended_at else "and has not ended"
            told = f"{one.vehicle} is on {one.reference} from {say(one.started_at)} {end} (entry {one.seq:,})."
            offer = None if one.ended_at else Offer("end_mission", "End that mission", {"mission": one.mission_id})
            found.append(
                Reason("overlaps_history", told, "happened_at", "Look at the times, or end that mission first.", offer)
            )
    return found


def reasons_not_to_resail(reference: str, now: Mapping[str, Any], others: Iterable[Run]) -> list[Reason]:
    """Why a mission, as it would be amended, cannot stand: by itself, and beside the other missions of its vehicle."""
    reasons = []
    if now["planned_from_at"] and now["planned_to_at"] <= now["planned_from_at"]:
        told = f"The plan of {reference} would end before it begins."
        reasons.append(Reason("wrong_form", told, "planned_to", "Look at both instants."))
    if now["started_at"] is None:
        return reasons
    if now["ended_at"] and now["ended_at"] <= now["started_at"]:
        told = f"{reference} would have ended before it started at {say(now['started_at'])}."
        return [*reasons, Reason("overlaps_history", told, "ended", "Amend both instants together.")]
    found = reasons_not_to_run(None, others, now["started_at"], now["ended_at"])
    return reasons + [
        replace(one, field="mission", next="Amend or take back that mission first.", offer=None) for one in found
    ]


def reasons_not_to_end(reference: str, run: Run | None, at: str) -> list[Reason]:
    """Why a mission cannot end then."""
    if run is None:
        told = f"{reference} has not started."
        return [Reason("not_open", told, "mission", "Start it first, or enter it whole.")]
    if run.ended_at:
        told = f"{reference} ended at {say(run.ended_at)}."
        return [Reason("already_so", told, "mission", "There is nothing to end.")]
    if at <= run.started_at:
        told = f"{reference} started at {say(run.started_at)}; it cannot have ended before."
        return [Reason("overlaps_history", told, "happened_at", "Look at the day and time.")]
    return []


def reasons_of_data(ended_at: str, data_until: str | None, words: str | None) -> list[Reason]:
    """Data after the end are asked about: a clock may be wrong, or the mission ended later than it is told."""
    if data_until is None or data_until <= ended_at or words:
        return []
    told = f"The data run on to {say(data_until)}, after the mission ended at {say(ended_at)}."
    return [
        Reason("data_after_end", told, "data_words", "Look at both times; if both are right, say what those data are.")
    ]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time."""

    since: str
    until: str

    @property
    def hours(self) -> float:
        return _hours(self.since, self.until)


def _hours(since: str, until: str) -> float:
    return max(0.0, (as_datetime(until, 0) - as_datetime(since, 0)).total_seconds() / 3600)


def shared(span: Span, since: str, until: str | None) -> Span | None:
    """The part of `span` that lies between two instants; None when there is none."""
    first, last = max(span.since, since), min(span.until, until or NEVER)
    return Span(first, last) if first < last else None


def hours_without(span: Span, parts: Iterable[Span]) -> float:
    """Hours of `span` that none of the parts, which do not overlap, covers."""
    covered = sum(found.hours for part in parts if (found := shared(span, part.since, part.until)))
    return max(0.0, span.hours - covered)


def unaligned_hours(span: Span, turns: Sequence[tuple[str, bool]]) -> float:
    """Hours of `span` for which no alignment held. `turns` are (instant, whether one holds from then on), in order."""
    held, since, missing = False, span.since, 0.0
    for at, holds in turns:
        moment = min(max(at, span.since), span.until)
        if not held:
            missing += _hours(since, moment)
        held, since = holds, moment
    return missing if held else missing + _hours(since, span.until)


def unconfirmed_since(span: Span, scans: Iterable[str], noted: Iterable[str]) -> str | None:
    """From when on nobody can say that this pair was there: the last scan that proved it before a difference was noted
    that still stands; until the next scan that proved it again. None when nothing throws doubt on `span`."""
    proved = sorted(scans)
    for at in sorted(noted):
        since = max((one for one in proved if one <= at), default="")
        until = min((one for one in proved if one > at), default=NEVER)
        if shared(span, since, until):
            return since or at
    return None


def age_days(scan_at: str, at: str) -> int:
    """Whole days from the scan that proved a pair to an instant."""
    return int(_hours(scan_at, at) // 24)
