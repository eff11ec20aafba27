"""Sightings of a bay's contents, and the answers to what differed."""

from collections.abc import Sequence
from typing import Any

from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import BayRef, DiscrepancyRef, Photos, SeatedHalfRef, Words, wrong
from registry.acts.spells import reasons_not_to_end
from registry.domain.people import May
from registry.domain.sightings import differences, say_two_of_a_kind
from registry.domain.texts import shown
from registry.domain.times import NEVER
from registry.domain.units import KINDS
from registry.errors import Reason
from registry.models.sightings import discrepancy
from registry.models.whereabouts import whereabouts

_one = select(
    discrepancy.c.noted_at, discrepancy.c.settled_at, discrepancy.c.seq, discrepancy.c.bay_id, discrepancy.c.half_id
).where(discrepancy.c.id == bindparam("id"))


def not_two_of_a_kind(told: Any) -> Any:
    """Two halves for one field come as a list, by JSON and at the command line: neither is dropped; which it was is asked."""
    for kind in KINDS:
        if isinstance(told, dict) and isinstance(listed := told.get(kind), list):
            both = say_two_of_a_kind(kind, [shown(str(one)) for one in listed])
            raise wrong(f"{both} Give the one that was in the bay, and tell of the other in your words.")
    return told


class RecordSighting(Act, name="record_sighting", may=May.SIGHT, says="Record what is in the hull"):
    """What you found in a bay, whatever the record says. It moves nothing; where it differs, both ends are told."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    sensor: SeatedHalfRef | None = Field(
        None, title="Sensor half found", description="Scan it. Leave it empty if there is none."
    )
    electronics: SeatedHalfRef | None = Field(
        None, title="Electronics half found", description="Scan it. Leave it empty if there is none."
    )
    empty: bool = Field(False, title="The bay is empty")
    words: Words | None = Field(None, title="In your words")
    files: Photos = Field([], title="Photos of what you found", description="They go with the bay.")

    _one_of_each_kind = model_validator(mode="before")(not_two_of_a_kind)

    @model_validator(mode="after")
    def _something_or_empty(self) -> "RecordSighting":
        if self.empty == bool(self.sensor or self.electronics):
            raise wrong("Say what you found: scan a half, or say that the bay is empty.")
        return self

    def decide(self, case: Case) -> Decision:
        found = [id_ for id_ in (case.ids["sensor"], case.ids["electronics"]) if id_]
        known = seats.halves(case.db, found)
        reasons = [
            Reason("same_kind", f"{known[case.ids[name]]} is no {name} half.", name, "Scan it into the other field.")
            for name in ("sensor", "electronics")
            if case.ids[name] and known[case.ids[name]].kind != name
        ]
        reasons += reasons_of_files(case, self.files)
        near = seats.neighbours(case.db, "bay_id", case.ids["bay"], case.at).before
        stay = near if near and (near.removed_at or NEVER) > case.at else None
        ends = differing(case, case.ids["bay"], [stay.sensor_id, stay.electronics_id] if stay else [], found, case.at)
        return Decision(
            reasons,
            {"ends": ends, "outcome": "differs" if ends else "as_recorded"},
            remarks=[end["words"] for end in ends],
        )

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        halves = {"sensor": entry.ids.get("sensor"), "electronics": entry.ids.get("electronics")}
        bay = entry.ids["bay"]
        made = sighted(entry, entry.id, bay, halves, entry.decided["ends"], entry.happened_at)
        return [*made, *file_rows(entry, "bay_id", bay, "sighting")]


class SettleDiscrepancy(Act, name="settle_discrepancy", may=May.SETTLE, pin=True, says="Settle a discrepancy"):
    """Say what was true, and what was done about it. The acts that put the record right are entered on their own."""

    discrepancy: DiscrepancyRef = Field(title="Discrepancy")
    answer: Words = Field(title="What is true")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"id": case.ids["discrepancy"]}).one()
        reasons = reasons_not_to_end(
            row.noted_at, row.settled_at, case.at, "discrepancy", over="It was settled on {}.",
            begun="It was noted at {}; it cannot be settled before.", nothing="There is nothing to settle.",
        )  # fmt: skip
        return Decision(reasons, {"vehicle": self._vehicle(case, row)}, touched=row.seq)

    @staticmethod
    def _vehicle(case: Case, row: Any) -> str | None:
        """The vehicle it stopped: that of its bay, or that in which the record has its half."""
        if row.bay_id:
            return str(seats.bay_facts(case.db, row.bay_id, case.at).vehicle_id)
        return whereabouts(case.db, [row.half_id], case.at)[row.half_id].vehicle_id

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {**entry.moment("settled"), "settled_by_id": entry.by, "answer": entry.body["answer"]}
        return [Close("discrepancy", entry.ids["discrepancy"], row)]


def differing(case: Case, bay_id: str, expected: list[str], found: list[str], at: str) -> list[dict[str, Any]]:
    """The ends to tell when `found` lies in a bay where the record has `expected`, as an entry keeps them."""
    known = seats.halves(case.db, [*expected, *found])
    row = seats.bay_facts(case.db, bay_id, at)
    places = whereabouts(case.db, found, at)
    ends = differences(
        bay_id, f"{row.vehicle}, bay {row.letter}",
        {id_: known[id_] for id_ in expected}, {id_: known[id_] for id_ in found},
        {id_: place.bay_id for id_, place in places.items() if place.bay_id}, {id_: place.say() for id_, place in places.items()},
    )  # fmt: skip
    return [{"bay": end.bay, "half": end.half, "words": end.words} for end in ends]


def sighted(
    entry: Entry,
    id_: str,
    bay: str,
    halves: dict[str, str | None],
    ends: list[dict[str, Any]],
    at: str,
    stands: Sequence[str] = (),
) -> list[Effect]:
    """The sighting, and one open discrepancy for every end. `stands` are those that an earlier look opened already."""
    told = {
        "outcome": "differs" if ends or stands else "as_recorded",
        "words": entry.body.get("words") or "",
        "act_id": entry.id,
    }
    row = {
        "id": id_,
        "bay_id": bay,
        "sensor_id": halves["sensor"],
        "electronics_id": halves["electronics"],
        **entry.moment("sighted", at),
        **told,
    }
    made: list[Effect] = [Add("sighting", row)]
    for number, end in enumerate(ends):
        open_ = {**entry.moment("noted", at), **no_moment("settled")}
        made.append(
            Add(
                "discrepancy",
                {
                    "id": entry.derived(f"end:{number}"),
                    "bay_id": end["bay"],
                    "half_id": end["half"],
                    "words": end["words"],
                    **open_,
                },
            )
        )
    return made
