"""Taking an entry back: it was entered twice, or never happened so. The first version stays in the log."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Annotated, Any

import sqlalchemy as sa
from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts import log, seats
from registry.acts.act import Act, Case, Decision
from registry.acts.amendments import KEPT, TIMES, closed_by, opened_by, others_of, pairings_of
from registry.acts.effects import effects_of
from registry.acts.entry import Add, Effect, Entry, Void, no_moment
from registry.acts.naming_acts import taken_back, unknown_act
from registry.acts.shapes import ActId, Words
from registry.acts.withdrawn_missions import voyages_gone
from registry.domain.amendments import ANSWERED_BY, THINGS, WITHDRAWABLE, reasons_not_to_restate
from registry.domain.installs import reasons_of_moves
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Offer, Reason
from registry.models.fleet import vehicle_place
from registry.models.holds import hold
from registry.models.openings import housing_closing, leak_test, opening, recheck
from registry.models.second_checks import second_check
from registry.models.sightings import discrepancy, sighting
from registry.models.units import firmware, half_place

_VOIDED = {
    table.name: table for table in (opening, housing_closing, leak_test, sighting, firmware, recheck, second_check)
}
_live = {
    name: select(table.c.id, table.c.seq).where(table.c.id == bindparam("id"), table.c.voided_seq.is_(None))
    for name, table in _VOIDED.items()
}
_live["recheck"] = _live["recheck"].where(recheck.c.closed_seq.is_(None))
_moved = {
    table.name: select(table.c.id, table.c.seq).where(table.c.by_act == bindparam("act"), table.c.voided_seq.is_(None))
    for table in (half_place, vehicle_place)
}
_open_end = select(discrepancy.c.id).where(discrepancy.c.id == bindparam("id"), discrepancy.c.closed_seq.is_(None))
_open_hold = select(hold.c.id).where(hold.c.id == bindparam("id"), hold.c.closed_seq.is_(None))
_HALVES = ("sensor_id", "electronics_id")


class WithdrawActs(Act, name="withdraw_acts", may=May.AMEND, pin=True, says="Take entries back"):
    """What was entered twice, or never happened so, no longer counts. Its entry stays in the log, and histories say so."""

    acts: Annotated[list[ActId], Field(min_length=1, max_length=20)] = Field(
        title="Acts", description="Their ids, as the entries’ pages give them. A stay is taken back with its end."
    )
    instead: ActId | None = Field(
        None, title="Act that holds instead", description="The first of two, or the one entered anew."
    )
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        reasons, entries = self._named(case.db)
        if reasons:
            return Decision(reasons)
        gone = _Gone(case, entries)
        return Decision(gone.reasons(), gone.decided(), gone.touched, gone.remarks())

    def _named(self, db: sa.Connection) -> tuple[list[Reason], list[Entry]]:
        reasons: list[Reason | None] = []
        entries = []
        for number, act_id in enumerate(self.acts):
            field = f"acts.{number}"
            entry = log.stored(db, act_id)
            if entry is None:
                reasons.append(unknown_act(db, act_id, field))
            elif entry.act not in WITHDRAWABLE:
                reasons.append(_not_so(entry, field))
            else:
                reasons.append(taken_back(db, act_id, field))
                entries.append(entry)
        if len(set(self.acts)) < len(self.acts):
            reasons.append(Reason("wrong_form", "One act is named twice here.", "acts", "Name each once."))
        if self.instead:
            reasons += [unknown_act(db, self.instead, "instead"), taken_back(db, self.instead, "instead")]
            if self.instead in self.acts:
                told = "An act cannot hold instead of itself."
                reasons.append(Reason("wrong_form", told, "instead", "Name the act that is to stay, or none."))
        return [reason for reason in reasons if reason], entries

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        decided, body = entry.decided, entry.body
        made: list[Effect] = [Void(table, id_) for table, ids in sorted(decided["void"].items()) for id_ in ids]
        for number, row in enumerate(decided["again"]):
            made.append(Add("installation_span", {**row, "id": entry.derived(f"span:{number}")}))
        for number, row in enumerate(decided.get("sailed", [])):
            made.append(Add("mission_run", {**row, "id": entry.derived(f"run:{number}")}))
        for number, act_id in enumerate(body["acts"]):
            own = entry.derived(f"withdrawal:{number}")
            told = {"withdrawn_act_id": act_id, "instead_act_id": body["instead"], "why": body["why"]}
            made.append(Add("withdrawal", {"id": own, **told}))
            for name, ids in sorted(decided["of"][number].items()):
                made += [
                    Add("withdrawn_of", {"id": entry.derived(f"of:{number}:{id_}"), "withdrawal_id": own}
                        | {other: id_ if other == name else None for other in THINGS})
                    for id_ in ids
                ]  # fmt: skip
        return made


def _not_so(entry: Entry, field: str) -> Reason:
    told = ANSWERED_BY.get(entry.act, "What it says is answered by a later act, not taken back.")
    kinds = ", ".join(sorted(words.split(" ", 1)[1] for words in WITHDRAWABLE.values()))
    return Reason("nothing_to_amend", f"{told} What can be taken back: {kinds}.", field, "Look at its entry.")


class _Gone:
    """The rows that go with these acts, and the stays that go on because their end is taken back."""

    def __init__(self, case: Case, entries: list[Entry]) -> None:
        self.case, self.entries = case, entries
        self.acts = {entry.id for entry in entries}
        self.void: dict[str, set[str]] = {}
        self.go_on: list[dict[str, Any]] = []
        self.found: list[Reason] = []
        self.touched = 0
        for number, entry in enumerate(entries):
            if entry.act == "check_seating" and entry.body["found"]:
                told = "It says that something is wrong with how a pair sits; a later look answers that."
                do = "See to it, then have it looked at again."
                self.found.append(Reason("nothing_to_amend", told, f"acts.{number}", do))
            self._take_stays(number, entry)
            self._take_rows(number, entry)
        self._voyages = voyages_gone(case.db, entries)
        self.found += self._voyages.reasons
        for table, rows in self._voyages.void.items():
            for row in rows:
                self._goes(table, row)

    def _take_stays(self, number: int, entry: Entry) -> None:
        for row in opened_by(self.case.db, entry.id):
            if row["closed_by"] and row["closed_by"] not in self.acts:
                told = f"What it put in came out again on {say(row['removed_at'])} (entry {row['closed_seq']:,})."
                do = "Take the removal back in the same act."
                self.found.append(Reason("overlaps_history", told, f"acts.{number}", do))
            self._goes("installation_span", row)
        for row in closed_by(self.case.db, entry.id):
            self._goes("installation_span", row)
            if row["opened_by"] not in self.acts:
                self.go_on.append(dict(row))

    def _take_rows(self, number: int, entry: Entry) -> None:
        for name, query in _moved.items():
            for row in self.case.db.execute(query, {"act": entry.id}).mappings():
                self._goes(name, row)
        for made in _added(entry):
            if made.table in _live:
                for row in self.case.db.execute(_live[made.table], {"id": made.row["id"]}).mappings():
                    self._goes(made.table, row)
            elif made.table == "discrepancy" and self.case.db.execute(_open_end, {"id": made.row["id"]}).scalar():
                told = "It opened a discrepancy that nobody has settled."
                offer = Offer("settle_discrepancy", "Settle it", {"discrepancy": made.row["id"]})
                do = "Settle that first, and say there what really lay there."
                self.found.append(Reason("discrepancy_open", told, f"acts.{number}", do, offer))

    def _goes(self, table: str, row: Any) -> None:
        self.void.setdefault(table, set()).add(row["id"])
        self.touched = max(self.touched, row["seq"], row.get("closed_seq") or 0)

    def reasons(self) -> list[Reason]:
        """Why it cannot go, and why what would go on without its end cannot."""
        db, gone = self.case.db, self.void.get("installation_span", set())
        reasons = list(self.found)
        stays = [seats.stay_with(db, row["id"], row["installed_at"], None) for row in self.go_on]
        others = [stay for stay in others_of(db, stays) if stay.id not in gone]
        reasons += reasons_not_to_restate(stays, others, pairings_of(db, stays))
        for stay in stays:
            halves = seats.halves(db, [stay.sensor_id, stay.electronics_id])
            moved = seats.moves_within(db, halves, stay.installed_at, None, but=sorted(self.void.get("half_place", ())))
            reasons += reasons_of_moves(moved)
            there = seats.bay_facts(db, stay.bay_id, stay.installed_at)
            words = seats.retired_words(db, None, halves, there.vehicle_id, there.vehicle)
            told = "Take back what came after, or enter the removal anew."
            reasons += [Reason("retired", f"{one[0].upper()}{one[1:]}.", "acts", told) for one in words]
        return [
            replace(one, field=one.field if one.field and one.field.startswith("acts") else "acts") for one in reasons
        ]

    def remarks(self) -> list[str]:
        left = [made for entry in self.entries for made in _added(entry) if made.table == "hold"]
        if any(self.case.db.execute(_open_hold, {"id": made.row["id"]}).scalar() for made in left):
            return ["The hold it placed stays until an authority releases it."]
        return []

    def decided(self) -> dict[str, Any]:
        void = {table: sorted(ids) for table, ids in self.void.items()}
        open_end = {**no_moment("removed"), "closed_by": None}
        again = [{name: row[name] for name in (*KEPT, *TIMES)} | open_end for row in self.go_on]
        sailed = self._voyages.go_on
        return {"void": void, "again": again, "sailed": sailed, "of": [self._things(entry) for entry in self.entries]}

    def _things(self, entry: Entry) -> dict[str, list[str]]:
        """Every thing this act told of, by the column that names it."""
        rows = [made.row for made in _added(entry)]
        rows += [{"vehicle_id": id_} for act, id_ in self._voyages.vehicles.items() if act == entry.id]
        rows += [dict(row) for row in (*opened_by(self.case.db, entry.id), *closed_by(self.case.db, entry.id))]
        return {name: ids for name in THINGS if (ids := sorted(set(_named(rows, name))))}


def _added(entry: Entry) -> Iterator[Add]:
    return (made for made in effects_of(entry) if isinstance(made, Add))


def _named(rows: Iterable[dict[str, Any]], name: str) -> Iterator[str]:
    columns = (name, *_HALVES) if name == "half_id" else (name,)
    return (row[column] for row in rows for column in columns if row.get(column))
