"""What happened to a pair, a half, a bay or a vehicle, newest first, in words, each line with its entry."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from registry.domain.alignments import VERDICTS as ALIGNED
from registry.domain.alignments import WAYS
from registry.domain.amendments import WITHDRAWABLE
from registry.domain.audits import VERDICTS as AUDITED
from registry.domain.axis_checks import VERDICTS as AXIS_VERDICTS
from registry.domain.carrying import VIA
from registry.domain.crossings import OUTCOMES as CROSSED
from registry.domain.crossings import REMINDER
from registry.domain.deliveries import OUTCOMES
from registry.domain.holds import CAUSES
from registry.domain.installs import REMOVAL_REASONS
from registry.domain.loans import OUTCOMES as REPAIRED
from registry.domain.openings import VERDICTS as LEAK_VERDICTS
from registry.domain.outcomes import say_outcome
from registry.domain.second_checks import HOW
from registry.domain.times import say
from registry.domain.units import GRADES
from registry.domain.verifications import KINDS as VERIFIED
from registry.domain.verifications import REVIEWS
from registry.domain.verifications import VERDICTS as VERIFICATION_VERDICTS
from registry.models.seeks import EVER
from registry.queries import amended_rows, history_rows, settings_history


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

    amended = _amended(rows)
    sources = [*_SOURCES, _of_receiving, _of_verifications] if about.halves or about.pairings else _SOURCES
    sources = [*sources, _of_missions] if about.vehicles else sources
    events = [event for source in sources for event in source(rows, amended)]
    seqs = sorted({event.seq for event in events})
    names = (
        {row.seq: row for row in db.execute(history_rows.names, {"seqs": seqs, "known": known_size})} if events else {}
    )
    told = [Event(e.at, e.kind, e.words, e.seq, _by(e, names.get(e.seq)), e.amended) for e in events]
    return sorted(told, key=lambda e: (e.at, e.seq), reverse=True)


def _by(event: Event, entry: sa.Row | None) -> str:
    """Who did it; of what was carried over that is not on record."""
    if entry is not None and entry.via == VIA:
        return f"Carried over by {entry.name}"
    return event.by or (entry.name if entry is not None else "")


Rows = Callable[[sa.Select[Any]], Iterable[sa.Row]]
Amended = dict[tuple[str, str], str]


def _amended(rows: Rows) -> Amended:
    """(act, what) -> what was entered before it was first amended, and why it was amended last."""
    told: Amended = {}

    def tell(key: tuple[str, str], row: sa.Row, was: str) -> None:
        first = told.get(key, f"entered as {was}").split("; ")[0]
        told[key] = f"{first}; amended by entry {row.seq:,}: {row.why}"

    for row in sorted(rows(history_rows.amendments), key=lambda row: row.seq):
        tell((row.amended_act_id, row.instant), row, say(row.was_at))
    for row in sorted(rows(amended_rows.amended_bays), key=lambda row: row.seq):
        tell((row.amended_act_id, "bay"), row, row.was)
    for row in sorted(rows(amended_rows.amended_people), key=lambda row: row.seq):
        tell((row.amended_act_id, row.part), row, f"done by {row.name or 'somebody who has left'}")
    return told


def _told(amended: Amended, act: str, *what: str) -> str:
    """Everything about an act that was amended, in one line."""
    return ". ".join(amended[act, one] for one in what if (act, one) in amended)


def _of_stays(rows: Rows, amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.stays):
        yield Event(
            row.installed_at,
            "installed",
            f"{row.pair} installed in {row.bay}.",
            row.seq,
            row.by or "",
            _told(amended, row.opened_by, "installed", "bay", "done"),
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
                _told(amended, row.closed_by, "removed", "lifted"),
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
    return Event(row.since_at, "placed", words, row.seq, row.by or "", _told(amended, row.by_act, "moved", "done"))


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
            "looked_at": f"Second person’s check of {whose}, {HOW.get(row.found_by, '')}: {'wrong' if row.told else 'nothing wrong'}.",
        }
        yield Event(row.at, row.kind, f"{words[row.kind]} {row.told}".strip(), row.seq)


def _of_settings(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for line in settings_history.said(rows(settings_history.everything)):
        yield Event(*line)


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


def _of_amendments(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(amended_rows.withdrawals):
        words = WITHDRAWABLE[row.act]
        told = f"{words[0].upper()}{words[1:]}, entry {row.first_seq:,}, was taken back: {row.why}"
        yield Event(row.happened_at, "taken_back", told, row.seq)
    for row in rows(amended_rows.wrong_bays):
        told = f"{row.pair} was entered in {row.was} by mistake; it went into {row.bay}: {row.why}"
        yield Event(row.happened_at, "amended", told, row.seq)


def _of_missions(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(amended_rows.amended_missions):
        was, now = (row.was_vehicle, row.now_vehicle) if row.part == "vehicle" else (say(row.was_at), say(row.now_at))
        told = f"Mission {row.reference}, {row.part.replace('_', ' ')}: entered as {was}; it was {now}: {row.why}"
        yield Event(row.happened_at, "amended", told, row.seq)


def _of_movement(rows: Rows, _amended: Amended) -> Iterator[Event]:
    begun = {
        "out": "Lent to {}.", "in": "Borrowed from {}.", "repair": "Sent to repair: {}.",
        "crossing": f"A border crossing was planned: {{}}. {REMINDER}",
    }  # fmt: skip
    over = {
        "out": "Back from the loan to {}.",
        "in": "Given back to {}.",
        "repair": "Repair at {}: ",
        "crossing": "Border crossing {}: ",
    }
    for row in rows(history_rows.moved):
        yield Event(row.at, "moved", begun[row.kind].format(row.told), row.seq)
        if row.ended_at:
            outcome, _, said = row.said.rpartition("|")
            became = {**REPAIRED, **CROSSED}.get(outcome, "")
            told = f"{over[row.kind].format(row.told)}{became}{'.' if became else ''} {said}".strip()
            yield Event(row.ended_at, "moved", told, row.closed_seq)


def _of_audits(rows: Rows, _amended: Amended) -> Iterator[Event]:
    for row in rows(history_rows.audited):
        # What was sighted as recorded says so once.
        told = "" if row.verdict == "sighted" else f" {row.told}"
        yield Event(row.answered_at, "audited", f"Audit {row.reference}: {AUDITED[row.verdict]}.{told}", row.seq)


_SOURCES = (
    _of_stays,
    _of_pairings,
    _of_holds,
    _of_files,
    _of_sightings,
    _of_places,
    _of_housings,
    _of_alignments,
    _of_settings,
    _of_halves,
    _of_amendments,
    _of_movement,
    _of_audits,
)
