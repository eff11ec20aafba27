"""What happened to a pair, a half, a bay or a vehicle, newest first, in words, each line with its entry."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.holds import CAUSES
from registry.domain.installs import REMOVAL_REASONS
from registry.domain.openings import VERDICTS as LEAK_VERDICTS
from registry.domain.times import say
from registry.domain.units import GRADES
from registry.models.fleet import bay, housing, vehicle, vehicle_place
from registry.models.holds import hold
from registry.models.installs import amendment, removal
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.openings import housing_closing, knock, leak_test, opening
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, KNOWN, ended_by, known
from registry.models.sightings import discrepancy, sighting
from registry.models.sites import site
from registry.models.units import fault, firmware, half, half_place, retirement


@dataclass(frozen=True, slots=True)
class Event:
    """One line of history. `seq` is the entry that wrote it, `by` who did it; `amended` what its instant was before."""

    at: str
    kind: str
    words: str
    seq: int
    by: str = ""
    amended: str = ""


@dataclass(frozen=True, slots=True)
class About:
    """What a history is about: ids of halves, pairings, bays, housings and vehicles, in any mixture."""

    halves: tuple[str, ...] = ()
    pairings: tuple[str, ...] = ()
    bays: tuple[str, ...] = ()
    housings: tuple[str, ...] = ()
    vehicles: tuple[str, ...] = ()

    def bound(self) -> dict[str, Any]:
        return {name: list(getattr(self, name)) for name in ("halves", "pairings", "bays", "housings", "vehicles")}


H, P, B, G, V = (bindparam(name, expanding=True) for name in ("halves", "pairings", "bays", "housings", "vehicles"))
_bay_name = (vehicle.c.name + ", bay " + bay.c.letter).label("bay")

#: The act that first told it, whoever amended its time since.
_first, _doer = log_entry.alias("first"), person_private.alias("doer")

_stays = (
    select(
        span.c.installed_at, ended_by(span, "removed_at").label("removed_at"), span.c.seq, span.c.closed_seq, span.c.opened_by, span.c.closed_by,
        _bay_name, pairing.c.name.label("pair"), removal.c.reason, removal.c.condition, _doer.c.name.label("by"), person_private.c.name.label("removed_by"),
    )
    .join(bay, bay.c.id == span.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(_first, _first.c.act_id == span.c.opened_by)
    .outerjoin(_doer, _doer.c.person_id == _first.c.done_by_id)
    .outerjoin(removal, sa.and_(removal.c.act_id == span.c.closed_by, removal.c.installation_id == span.c.installation_id))
    .outerjoin(person_private, person_private.c.person_id == removal.c.done_by_id)
    .where(known(span), span.c.installed_at <= AT, sa.or_(span.c.pairing_id.in_(P), span.c.sensor_id.in_(H), span.c.electronics_id.in_(H), span.c.bay_id.in_(B)))
)  # fmt: skip
_pairings = select(
    pairing.c.name,
    pairing.c.paired_at,
    ended_by(pairing, "ended_at").label("ended_at"),
    pairing.c.end_reason,
    pairing.c.grade,
    pairing.c.statement,
    pairing.c.seq,
    pairing.c.closed_seq,
).where(
    known(pairing),
    pairing.c.paired_at <= AT,
    sa.or_(pairing.c.id.in_(P), pairing.c.sensor_id.in_(H), pairing.c.electronics_id.in_(H)),
)
_holds = select(
    hold.c.cause,
    hold.c.reason,
    hold.c.placed_at,
    ended_by(hold, "released_at").label("released_at"),
    hold.c.release_reason,
    hold.c.seq,
    hold.c.closed_seq,
).where(
    known(hold),
    hold.c.placed_at <= AT,
    sa.or_(hold.c.half_id.in_(H), hold.c.pairing_id.in_(P), hold.c.bay_id.in_(B), hold.c.vehicle_id.in_(V)),
)
_sightings = (
    select(sighting.c.sighted_at, sighting.c.outcome, sighting.c.words, sighting.c.seq, _bay_name)
    .join(bay, bay.c.id == sighting.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(
        known(sighting),
        sighting.c.sighted_at <= AT,
        sa.or_(sighting.c.bay_id.in_(B), sighting.c.sensor_id.in_(H), sighting.c.electronics_id.in_(H)),
    )
)
_ends = select(
    discrepancy.c.noted_at,
    discrepancy.c.words,
    ended_by(discrepancy, "settled_at").label("settled_at"),
    discrepancy.c.answer,
    discrepancy.c.seq,
    discrepancy.c.closed_seq,
).where(
    known(discrepancy), discrepancy.c.noted_at <= AT, sa.or_(discrepancy.c.bay_id.in_(B), discrepancy.c.half_id.in_(H))
)
_half_places = (
    select(
        half_place.c.since_at,
        half_place.c.spot,
        half_place.c.seq,
        half_place.c.by_act,
        site.c.name,
        half.c.kind,
        _doer.c.name.label("by"),
    )
    .join(site, site.c.id == half_place.c.site_id)
    .join(half, half.c.id == half_place.c.half_id)
    .join(_first, _first.c.act_id == half_place.c.by_act)
    .outerjoin(_doer, _doer.c.person_id == _first.c.done_by_id)
    .where(
        known(half_place),
        half_place.c.since_at <= AT,
        half_place.c.half_id.in_(H),
        _first.c.act.in_(("move_halves", "receive_half")),
    )
)
_vehicle_places = (
    select(
        vehicle_place.c.since_at,
        vehicle_place.c.seq,
        vehicle_place.c.by_act,
        vehicle.c.name.label("vehicle"),
        site.c.name,
        _doer.c.name.label("by"),
    )
    .join(site, site.c.id == vehicle_place.c.site_id)
    .join(_first, _first.c.act_id == vehicle_place.c.by_act)
    .outerjoin(_doer, _doer.c.person_id == _first.c.done_by_id)
    .join(vehicle, vehicle.c.id == vehicle_place.c.vehicle_id)
    .where(known(vehicle_place), vehicle_place.c.since_at <= AT, vehicle_place.c.vehicle_id.in_(V))
)
#: The acts whose instants a history shows: few, whatever else was ever amended.
_shown_acts = sa.union(
    *(select(act).where(sa.or_(span.c.pairing_id.in_(P), span.c.sensor_id.in_(H), span.c.electronics_id.in_(H), span.c.bay_id.in_(B))) for act in (span.c.opened_by, span.c.closed_by)),
    select(half_place.c.by_act).where(half_place.c.half_id.in_(H)),
    select(vehicle_place.c.by_act).where(vehicle_place.c.vehicle_id.in_(V)),
)  # fmt: skip
_amendments = select(amendment).where(amendment.c.seq <= KNOWN, amendment.c.amended_act_id.in_(_shown_acts))


def _of_housing(table: Any, when: str, *more: Any) -> sa.Select[Any]:
    columns = [table.c[when].label("at"), table.c.seq, housing.c.name, *more]
    return (
        select(*columns)
        .join(housing, housing.c.id == table.c.housing_id)
        .where(known(table), table.c[when] <= AT, table.c.housing_id.in_(G))
    )


_openings = _of_housing(opening, "opened_at", opening.c.reason)
_closings = _of_housing(housing_closing, "closed_at", housing_closing.c.words)
_tests = _of_housing(leak_test, "tested_at", leak_test.c.verdict, leak_test.c.change_mbar)
_knocks = select(knock.c.knocked_at, knock.c.words, knock.c.seq).where(
    known(knock), knock.c.knocked_at <= AT, sa.or_(knock.c.vehicle_id.in_(V), knock.c.half_id.in_(H))
)
_firmware = (
    select(firmware.c.since_at, firmware.c.version, firmware.c.seq, half.c.kind)
    .join(half, half.c.id == firmware.c.half_id)
    .where(known(firmware), firmware.c.since_at <= AT, firmware.c.half_id.in_(H))
)
_faults = (
    select(fault.c.noted_at, fault.c.words, fault.c.seq, half.c.kind)
    .join(half, half.c.id == fault.c.half_id)
    .where(known(fault), fault.c.noted_at <= AT, fault.c.half_id.in_(H))
)
_retired = select(retirement.c.retired_at, retirement.c.why, retirement.c.seq).where(
    retirement.c.seq <= KNOWN,
    retirement.c.retired_at <= AT,
    sa.or_(retirement.c.half_id.in_(H), retirement.c.vehicle_id.in_(V)),
)
_names = (
    select(log_entry.c.seq, person_private.c.name)
    .join(person_private, person_private.c.person_id == log_entry.c.done_by_id)
    .where(log_entry.c.seq.in_(bindparam("seqs", expanding=True)))
)


def history(db: sa.Connection, about: About, at: str, known_size: int = EVER) -> list[Event]:
    """Every event up to `at` that the log of size `known_size` tells, newest first. A fixed number of statements."""
    keys = {**about.bound(), "at": at, "known": known_size}

    def rows(query: sa.Select[Any]) -> Iterable[sa.Row]:
        return db.execute(query, keys)

    amended = _amended(rows(_amendments))
    events = [event for source in _SOURCES for event in source(rows, amended)]
    names = dict(db.execute(_names, {"seqs": sorted({event.seq for event in events})}).all()) if events else {}
    told = [Event(e.at, e.kind, e.words, e.seq, e.by or names.get(e.seq, ""), e.amended) for e in events]
    return sorted(told, key=lambda e: (e.at, e.seq), reverse=True)


Rows = Callable[[sa.Select[Any]], Iterable[sa.Row]]
Amended = dict[tuple[str, str], str]


def _amended(rows: Iterable[sa.Row]) -> Amended:
    """(act, instant) -> what the instant was before it was first amended, and why it was amended last."""
    told: Amended = {}
    for row in sorted(rows, key=lambda row: row.seq):
        was = told.get((row.amended_act_id, row.instant), f"entered as {say(row.was_at)}").split("; ")[0]
        told[row.amended_act_id, row.instant] = f"{was}; amended by entry {row.seq:,}: {row.why}"
    return told


def _of_stays(rows: Rows, amended: Amended) -> Iterator[Event]:
    for row in rows(_stays):
        yield Event(
            row.installed_at,
            "installed",
            f"{row.pair} installed in {row.bay}.",
            row.seq,
            row.by or "",
            amended.get((row.opened_by, "installed"), ""),
        )
        if row.removed_at:
            state = "" if row.condition in (None, "sound") else f" It came out {row.condition}."
            why = f": {REMOVAL_REASONS[row.reason]}" if row.reason else ""
            yield Event(
                row.removed_at,
                "removed",
                f"{row.pair} taken out of {row.bay}{why}.{state}",
                row.closed_seq,
                row.removed_by or "",
                amended.get((row.closed_by, "removed"), ""),
            )


def _of_pairings(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(_pairings):
        yield Event(
            row.paired_at, "paired", f"A pair by statement: {row.name}, {GRADES[row.grade]} {row.statement}.", row.seq
        )
        if row.ended_at:
            yield Event(row.ended_at, "ended", f"Pair {row.name} ended: {row.end_reason}.", row.closed_seq)


def _of_holds(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(_holds):
        yield Event(row.placed_at, "held", f"Put on hold ({CAUSES[row.cause]}): {row.reason}", row.seq)
        if row.released_at:
            yield Event(row.released_at, "released", f"Hold released: {row.release_reason}", row.closed_seq)


def _of_sightings(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(_sightings):
        told = "as recorded" if row.outcome == "as_recorded" else "something else than recorded"
        yield Event(row.sighted_at, "sighted", f"Sighted in {row.bay}: {told}. {row.words}".strip(), row.seq)
    for row in rows(_ends):
        yield Event(row.noted_at, "differs", row.words, row.seq)
        if row.settled_at:
            yield Event(row.settled_at, "settled", f"Settled: {row.answer}", row.closed_seq)


def _of_places(rows: Rows, amended: Amended) -> Iterator[Event]:
    for row in rows(_half_places):
        spot = f", {row.spot}" if row.spot else ""
        yield _placed(row, f"{row.kind.capitalize()} half at {row.name}{spot}.", amended)
    for row in rows(_vehicle_places):
        yield _placed(row, f"{row.vehicle} at {row.name}.", amended)


def _placed(row: sa.Row, words: str, amended: Amended) -> Event:
    return Event(row.since_at, "placed", words, row.seq, row.by or "", amended.get((row.by_act, "moved"), ""))


def _of_housings(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(_openings):
        yield Event(row.at, "opened", f"{row.name.capitalize()} housing opened: {row.reason}.", row.seq)
    for row in rows(_closings):
        yield Event(row.at, "closed", f"{row.name.capitalize()} housing closed. {row.words}".strip(), row.seq)
    for row in rows(_tests):
        change = f", change {row.change_mbar} mbar" if row.change_mbar else ""
        yield Event(
            row.at,
            "tested",
            f"{row.name.capitalize()} housing: the leak test {LEAK_VERDICTS[row.verdict]}{change}.",
            row.seq,
        )


def _of_halves(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(_knocks):
        yield Event(row.knocked_at, "knocked", f"Knocked: {row.words}", row.seq)
    for row in rows(_firmware):
        yield Event(row.since_at, "firmware", f"{row.kind.capitalize()} half runs firmware {row.version}.", row.seq)
    for row in rows(_faults):
        yield Event(row.noted_at, "fault", f"Fault noted on the {row.kind} half: {row.words}", row.seq)
    for row in rows(_retired):
        yield Event(row.retired_at, "retired", f"Retired: {row.why}", row.seq)


_SOURCES = (_of_stays, _of_pairings, _of_holds, _of_sightings, _of_places, _of_housings, _of_halves)
