"""Amending when something happened: an act that names the first, says why, and leaves both versions in the record."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Any

import sqlalchemy as sa
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts import anew, seats
from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry, Void
from registry.acts.naming_acts import unknown_act
from registry.acts.shapes import ActId, When, Words, one_from
from registry.domain.amendments import INSTANTS, reasons_not_to_restate
from registry.domain.installs import Stay, reasons_of_moves
from registry.domain.people import May
from registry.domain.times import CLOCK_LEAD, as_datetime, offset_min, say, stamp, write_rfc3339
from registry.errors import Reason
from registry.models.fleet import vehicle_place
from registry.models.installs import installation_span as span
from registry.models.units import half_place

_opened = select(span).where(span.c.opened_by == bindparam("act"), span.c.voided_seq.is_(None))
_closed = select(span).where(span.c.closed_by == bindparam("act"), span.c.voided_seq.is_(None))
_PLACES = {
    table.name: (table, select(table).where(table.c.by_act == bindparam("act"), table.c.voided_seq.is_(None)))
    for table in (half_place, vehicle_place)
}
KEPT = ("installation_id", "bay_id", "pairing_id", "sensor_id", "electronics_id", "opened_by", "closed_by")
TIMES = ("installed_at", "installed_offset_min", "removed_at", "removed_offset_min")


class TimeChange(BaseModel):
    """One instant of one earlier act, as it really was."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    act: ActId = Field(
        title="Act", description="The id of the act whose instant was wrong; an amended act is found by its first id."
    )
    instant: one_from(INSTANTS) = Field(title="Which instant")
    at: When = Field(title="As it really was")


class AmendTimes(Act, name="amend_times", may=May.AMEND, pin=True, says="Amend when it happened"):
    """Put right when pairs went in, came out or were moved. Several acts at once move a boundary they share."""

    changes: Annotated[list[TimeChange], Field(min_length=1, max_length=20)] = Field(title="Changes")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        found = _Restated()
        reasons: list[Reason] = []
        for number, change in enumerate(self.changes):
            reasons += _ahead(change, case, number) + found.take(case.db, change, number)
        reasons += found.reasons_of_places(case.db)
        decided = found.decided()
        if not reasons:
            stays = [
                seats.stay_with(case.db, row["id"], row["installed_at"], row["removed_at"])
                for row in found.spans.values()
            ]
            reasons = reasons_not_to_restate(stays, others_of(case.db, stays), pairings_of(case.db, stays))
            reasons += found.reasons_of_moves(case.db)
        if not reasons:
            reasons, disorder = anew.judged(case, found.spans.values(), found.changes)
            decided |= disorder
        return Decision(reasons, decided, found.touched)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        decided = entry.decided
        made: list[Effect] = [Void(table, id_) for table, ids in sorted(decided["void"].items()) for id_ in ids]
        for table, rows in sorted(decided["again"].items()):
            made += [Add(table, {**row, "id": entry.derived(f"{table}:{number}")}) for number, row in enumerate(rows)]
        for number, change in enumerate(decided["changes"]):
            made.append(
                Add("amendment", {"id": entry.derived(f"amendment:{number}"), **change, "why": entry.body["why"]})
            )
        return made


class _Restated:
    """The rows the changes touch, with their new instants, gathered change by change."""

    def __init__(self) -> None:
        self.spans: dict[str, dict[str, Any]] = {}
        self.places: dict[str, dict[str, dict[str, Any]]] = {name: {} for name in _PLACES}
        self.changes: list[dict[str, Any]] = []
        self.touched = 0

    def take(self, db: sa.Connection, change: TimeChange, number: int) -> list[Reason]:
        """Apply one change to every row the act's instant stands in."""
        if any(one["amended_act_id"] == change.act and one["instant"] == change.instant for one in self.changes):
            told = "One instant of one act is told twice here."
            return [Reason("wrong_form", told, f"changes.{number}.instant", "Keep the row that is right.")]
        if reason := unknown_act(db, change.act, f"changes.{number}.act"):
            return [reason]
        was = []
        if change.instant in ("installed", "removed"):
            was += self._stays(db, change)
        else:
            was += self._places(db, change)
        if not was:
            return [
                Reason(
                    "nothing_to_amend",
                    f"That act did not say when anything was {INSTANTS[change.instant]}.",
                    f"changes.{number}.instant",
                    "Choose the instant the act stated.",
                )
            ]
        now = {"now_at": stamp(change.at), "now_offset_min": offset_min(write_rfc3339(change.at))}
        self.changes.append(
            {
                "amended_act_id": change.act,
                "instant": change.instant,
                "was_at": was[0][0],
                "was_offset_min": was[0][1],
                **now,
            }
        )
        return []

    def _stays(self, db: sa.Connection, change: TimeChange) -> list[tuple[str, int]]:
        was = []
        for row in (opened_by if change.instant == "installed" else closed_by)(db, change.act):
            kept = self.spans.setdefault(row["id"], dict(row))
            was.append((row[f"{change.instant}_at"], row[f"{change.instant}_offset_min"]))
            kept |= _moment(change.instant, change)
            self.touched = max(self.touched, row["seq"], row["closed_seq"] or 0)
        return was

    def _places(self, db: sa.Connection, change: TimeChange) -> list[tuple[str, int]]:
        was = []
        for name, (_table, query) in _PLACES.items():
            for row in db.execute(query, {"act": change.act}).mappings():
                kept = self.places[name].setdefault(row["id"], dict(row))
                was.append((row["since_at"], row["since_offset_min"]))
                kept |= _moment("since", change)
                self.touched = max(self.touched, row["seq"])
        return was

    def reasons_of_places(self, db: sa.Connection) -> list[Reason]:
        """A half cannot have been carried to a shelf while it sat in a bay."""
        moved = [
            row
            for row in self.places["half_place"].values()
            if not any(row["half_id"] in (s["sensor_id"], s["electronics_id"]) for s in self.spans.values())
        ]
        reasons = []
        for row in moved:
            stay = seats.stay_of_half(db, row["half_id"], row["since_at"])
            if stay:
                reasons.append(
                    Reason(
                        "overlaps_history",
                        f"At {say(row['since_at'])} it sat in a bay: {stay.say()}.",
                        "changes",
                        "Amend that stay in the same act, or look at the time.",
                    )
                )
        return reasons

    def reasons_of_moves(self, db: sa.Connection) -> list[Reason]:
        """Nor was it put down anywhere while it sat in a bay."""
        here = list(self.places["half_place"])
        reasons = []
        for stay in self.spans.values():
            known = seats.halves(db, [stay["sensor_id"], stay["electronics_id"]])
            within = seats.moves_within(db, known, stay["installed_at"], stay["removed_at"], but=here)
            reasons += [replace(reason, field="changes") for reason in reasons_of_moves(within)]
        return reasons

    def decided(self) -> dict[str, Any]:
        again = {
            "installation_span": [
                {name: row[name] for name in (*KEPT, *TIMES)} for _id, row in sorted(self.spans.items())
            ]
        }
        void = {"installation_span": sorted(self.spans)}
        for name, (table, _query) in _PLACES.items():
            void[name] = sorted(self.places[name])
            kept = [c.name for c in table.c if c.name not in ("id", "seq", "voided_seq")]
            again[name] = [{column: row[column] for column in kept} for _id, row in sorted(self.places[name].items())]
        return {"void": void, "again": again, "changes": self.changes}


def _moment(name: str, change: TimeChange) -> dict[str, Any]:
    return {f"{name}_at": stamp(change.at), f"{name}_offset_min": offset_min(write_rfc3339(change.at))}


def _ahead(change: TimeChange, case: Case, number: int) -> list[Reason]:
    if change.at <= as_datetime(case.now) + CLOCK_LEAD:
        return []
    return [
        Reason(
            "in_the_future",
            f"{say(stamp(change.at))} has not come yet.",
            f"changes.{number}.at",
            "Look at the day and time.",
        )
    ]


def opened_by(db: sa.Connection, act_id: str) -> Sequence[Any]:
    """The live span that an act began, whoever amended it since."""
    return db.execute(_opened, {"act": act_id}).mappings().all()


def closed_by(db: sa.Connection, act_id: str) -> Sequence[Any]:
    """The live spans that an act ended."""
    return db.execute(_closed, {"act": act_id}).mappings().all()


def others_of(db: sa.Connection, stays: list[Stay]) -> list[Stay]:
    """Live stays of the same bays and halves that this amendment leaves alone."""
    gone = {stay.id for stay in stays}
    return [stay for stay in seats.stays_sharing(db, stays) if stay.id not in gone]


def pairings_of(db: sa.Connection, stays: list[Stay]) -> dict[str, Any]:
    return {
        p.id: p for p in seats.pairings(db, [half for stay in stays for half in (stay.sensor_id, stay.electronics_id)])
    }
