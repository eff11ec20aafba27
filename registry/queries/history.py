"""What happened to a pair, a half, a bay or a vehicle, newest first, in words, each line with its entry."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from registry.domain.alignments import VERDICTS as ALIGNED
from registry.domain.alignments import WAYS
from registry.domain.axis_checks import VERDICTS as AXIS_VERDICTS
from registry.domain.deliveries import OUTCOMES
from registry.domain.holds import CAUSES
from registry.domain.installs import REMOVAL_REASONS
from registry.domain.openings import VERDICTS as LEAK_VERDICTS
from registry.domain.outcomes import say_outcome
from registry.domain.times import say
from registry.domain.units import GRADES
from registry.domain.verifications import KINDS as VERIFIED
from registry.domain.verifications import REVIEWS
from registry.domain.verifications import VERDICTS as VERIFICATION_VERDICTS
from registry.models.seeks import EVER
from registry.queries import history_rows


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


def history(db: sa.Connection, about: About, at: str, known_size: int = EVER) -> list[Event]:
    """Every event up to `at` that the log of size `known_size` tells, newest first. A fixed number of statements."""
    keys = {**about.bound(), "at": at, "known": known_size}

    def rows(query: sa.Select[Any]) -> Iterable[sa.Row]:
        return db.execute(query, keys)

    amended = _amended(rows(history_rows.amendments))
    sources = [*_SOURCES, _of_receiving, _of_verifications] if about.halves or about.pairings else _SOURCES
    events = [event for source in sources for event in source(rows, amended)]
    names = (
        dict(db.execute(history_rows.names, {"seqs": sorted({event.seq for event in events})}).all()) if events else {}
    )
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
    for row in rows(history_rows.stays):
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
    for row in rows(history_rows.pairings):
        yield Event(
            row.paired_at, "paired", f"A pair by statement: {row.name}, {GRADES[row.grade]} {row.statement}.", row.seq
        )
        if row.ended_at:
            yield Event(row.ended_at, "ended", f"Pair {row.name} ended: {row.end_reason}.", row.closed_seq)


def _of_holds(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.holds):
        yield Event(row.placed_at, "held", f"Put on hold ({CAUSES[row.cause]}): {row.reason}", row.seq)
        if row.released_at:
            yield Event(row.released_at, "released", f"Hold released: {row.release_reason}", row.closed_seq)


def _of_files(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.files):
        shows = f" It shows: {row.words}." if row.words else ""
        yield Event(row.attached_at, "attached", f"File attached: {row.name}.{shows}", row.seq)


def _of_sightings(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.sightings):
        told = "as recorded" if row.outcome == "as_recorded" else "something else than recorded"
        yield Event(row.sighted_at, "sighted", f"Sighted in {row.bay}: {told}. {row.words}".strip(), row.seq)
    for row in rows(history_rows.ends):
        yield Event(row.noted_at, "differs", row.words, row.seq)
        if row.settled_at:
            yield Event(row.settled_at, "settled", f"Settled: {row.answer}", row.closed_seq)


def _of_places(rows: Rows, amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.half_places):
        spot = f", {row.spot}" if row.spot else ""
        yield _placed(row, f"{row.kind.capitalize()} half at {row.name}{spot}.", amended)
    for row in rows(history_rows.vehicle_places):
        yield _placed(row, f"{row.vehicle} at {row.name}.", amended)


def _placed(row: sa.Row, words: str, amended: Amended) -> Event:
    return Event(row.since_at, "placed", words, row.seq, row.by or "", amended.get((row.by_act, "moved"), ""))


def _of_housings(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.openings):
        yield Event(row.at, "opened", f"{row.name.capitalize()} housing opened: {row.reason}.", row.seq)
    for row in rows(history_rows.closings):
        yield Event(row.at, "closed", f"{row.name.capitalize()} housing closed. {row.words}".strip(), row.seq)
    for row in rows(history_rows.tests):
        change = f", change {row.change_mbar} mbar" if row.change_mbar else ""
        yield Event(
            row.at,
            "tested",
            f"{row.name.capitalize()} housing: the leak test {LEAK_VERDICTS[row.verdict]}{change}.",
            row.seq,
        )


def _of_alignments(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.aligned):
        whose = f"{row.pair} in {row.bay}"
        words = {
            "checked": f"Axis and sign check of {whose}: {AXIS_VERDICTS.get(row.verdict, '')}.",
            "aligned": f"Alignment of {whose}, {WAYS.get(row.found_by, '')}: {ALIGNED.get(row.verdict, '')}.",
            "answered": f"Alignment of {whose} {row.verdict}.",
        }
        yield Event(row.at, row.kind, f"{words[row.kind]} {row.told}", row.seq)


def _of_halves(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.knocks):
        yield Event(row.knocked_at, "knocked", f"Knocked: {row.words}", row.seq)
    for row in rows(history_rows.firmwares):
        yield Event(row.since_at, "firmware", f"{row.kind.capitalize()} half runs firmware {row.version}.", row.seq)
    for row in rows(history_rows.faults):
        yield Event(row.noted_at, "fault", f"Fault noted on the {row.kind} half: {row.words}", row.seq)
    for row in rows(history_rows.outcomes):
        told = f"What became of {row.pair}, out of {row.bay}: {say_outcome(row.outcome, row.fault_in)}. {row.words}"
        yield Event(row.stated_at, "outcome", told, row.seq)
    for row in rows(history_rows.retirements):
        yield Event(row.retired_at, "retired", f"Retired: {row.why}", row.seq)


def _of_receiving(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.came_in):
        told = f"Came in sealed: carton {row.number} of {row.reference}, from {row.sender}."
        yield Event(row.taken_in_at, "came_in", told, row.seq)
    for row in rows(history_rows.inspections):
        told = f"Receiving inspection: {OUTCOMES[row.outcome]}. {row.words}".strip()
        yield Event(row.inspected_at, "inspected", told, row.seq)
    for row in rows(history_rows.power_ups):
        told = f"Bench power-up: {row.verdict}. {row.on_load_v} V on load, {row.current_a} A."
        yield Event(row.powered_at, "powered", told, row.seq)


def _of_verifications(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.verifications):
        jumped = " These two halves have never looked like this." if row.jumped else ""
        told = f"{VERIFIED[row.kind].capitalize()}: {VERIFICATION_VERDICTS[row.verdict]}.{jumped}"
        yield Event(row.verified_at, "verified", told, row.seq)
        if row.reviewed_at:
            yield Event(row.reviewed_at, "reviewed", f"Verification reviewed: {REVIEWS[row.review]}.", row.closed_seq)
    for row in rows(history_rows.calibrations):
        yield Event(row.entered_at, "calibrated", f"Factory calibration entered: {row.certificate}.", row.seq)


_SOURCES = (
    _of_stays,
    _of_pairings,
    _of_holds,
    _of_files,
    _of_sightings,
    _of_places,
    _of_housings,
    _of_alignments,
    _of_halves,
)
