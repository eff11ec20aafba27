"""Holds: anybody places one, a named authority who had no part in it releases it."""

from typing import Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import log
from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.doers import who_did
from registry.acts.effects import hold_row
from registry.acts.entry import Close, Effect, Entry
from registry.acts.shapes import (
    BayRef,
    FileList,
    HalfRef,
    HoldRef,
    PairRef,
    Photos,
    VehicleRef,
    Words,
    one_from,
    wrong,
)
from registry.domain.holds import CAUSES, Hold, reasons_not_to_release
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.holds import hold
from registry.models.impact_lists import reasons_of_impacts

BY_HAND = {cause: CAUSES[cause] for cause in ("placed", "dropped", "knocked", "wet", "suspect")}
_ON = {"half": "half_id", "pair": "pairing_id", "vehicle": "vehicle_id", "bay": "bay_id"}
_one = select(hold).where(hold.c.id == bindparam("id"))


class PlaceHold(Act, name="place_hold", may=May.ANYONE, says="Place a hold"):
    """Nothing on hold goes into a bay, and a vehicle that carries it does not sail. Say what you saw."""

    half: HalfRef | None = Field(None, title="Half")
    pair: PairRef | None = Field(None, title="Pair", description="Scan one of its halves.")
    vehicle: VehicleRef | None = Field(None, title="Vehicle")
    bay: BayRef | None = Field(None, title="Bay")
    cause: one_from(BY_HAND) = Field("placed", title="Cause")
    reason: Words = Field(title="What you saw")
    files: Photos = Field([], title="Photos of it")

    @model_validator(mode="after")
    def _on_one_thing(self) -> "PlaceHold":
        if sum(getattr(self, name) is not None for name in _ON) != 1:
            raise wrong("A hold lies on one thing: a half, a pair, a vehicle or a bay.")
        return self

    def decide(self, case: Case) -> Decision:
        return Decision(reasons_of_files(case, self.files))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        name = next(name for name in _ON if entry.ids.get(name))
        placed = hold_row(entry, entry.id, _ON[name], entry.ids[name], entry.body["cause"], entry.body["reason"])
        return [placed, *file_rows(entry, "hold_id", entry.id, "seen")]


class ReleaseHold(Act, name="release_hold", may=May.RELEASE, pin=True, says="Release a hold"):
    """An authority who neither placed the hold nor did the work has seen the evidence."""

    hold: HoldRef = Field(title="Hold")
    reason: Words = Field(title="Why it may be released")
    evidence: Words = Field(
        title="Evidence", description="What was looked at: a verification, a report, a photo and where it is kept."
    )
    files: FileList = Field([], title="Files of the evidence")

    def decide(self, case: Case) -> Decision:
        row: Any = case.db.execute(_one, {"id": case.ids["hold"]}).one()
        if row.released_at:
            return Decision(
                [
                    Reason(
                        "already_so",
                        f"It was released on {say(row.released_at)}.",
                        "hold",
                        "There is nothing to release.",
                    )
                ],
                touched=row.closed_seq,
            )
        placed = log.entry_at(case.db, row.seq)
        amended = placed is not None and placed.done_by == row.done_by_id
        did = who_did(case.db, placed)["done"] if amended else row.done_by_id
        known = Hold(row.id, "it", row.cause, row.reason, row.placed_at, row.placed_by_id, did, row.seq)
        reasons = reasons_not_to_release(known, case.by, case.at) + reasons_of_files(case, self.files)
        reasons += reasons_of_impacts(case.db, row.id, case.now)
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {"released_by_id": entry.by, "release_reason": entry.body["reason"], "evidence": entry.body["evidence"]}
        released = Close("hold", entry.ids["hold"], {**entry.moment("released"), **told})
        return [released, *file_rows(entry, "hold_id", entry.ids["hold"], "evidence")]
