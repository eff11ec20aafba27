"""What an alignment is judged on, and the rows it leaves: shared by everything that aligns."""

from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.act import Case
from registry.acts.entry import Add, Effect, Entry
from registry.acts.mountings import mounting_at
from registry.acts.stays import sitting
from registry.domain.alignments import ROLL_TOLERANCE_DEG
from registry.domain.installs import Stay
from registry.domain.mountings import ANGLES
from registry.domain.times import say_day
from registry.errors import Offer, Reason
from registry.models.alignments import alignment, alignment_answer, alignment_left, alignment_part
from registry.models.fleet import bay_use
from registry.models.pairings import pairing
from registry.models.seeks import EVER, newest
from registry.models.units import class_limit

_uses, _alignments = bay_use.alias("uses"), alignment.alias("alignments")
_answers = alignment_answer.alias("answers")
_bay, _installation = (
    bindparam("bay", type_=bay_use.c.bay_id.type),
    bindparam("installation", type_=alignment.c.id.type),
)
_use = select(bay_use.c.use, bay_use.c.heading_tolerance_deg).where(
    bay_use.c.id == newest(_uses, "since_at", _uses.c.bay_id == _bay)
)
_class = (
    select(class_limit.c.value)
    .join(pairing, pairing.c.unit_type_id == class_limit.c.unit_type_id)
    .where(pairing.c.id == bindparam("pairing", type_=pairing.c.id.type), class_limit.c.quantity == "distance_with_dvl")
    .order_by(class_limit.c.id)
    .limit(1)
)
#: The newest alignment of a stay at an instant, with the newest answer to it.
_newest = (
    select(alignment, alignment_answer.c.answer, alignment_answer.c.answered_at, alignment_answer.c.seq.label("answer_seq"))
    .select_from(alignment)
    .outerjoin(alignment_answer, alignment_answer.c.id == newest(_answers, "answered_at", _answers.c.alignment_id == alignment.c.id))
    .where(alignment.c.id == newest(_alignments, "aligned_at", _alignments.c.installation_id == _installation))
)  # fmt: skip
_parts = select(alignment_part).where(
    alignment_part.c.alignment_id == bindparam("alignment", type_=alignment.c.id.type)
)
_left = (
    select(alignment_left)
    .where(alignment_left.c.alignment_id == bindparam("alignment", type_=alignment.c.id.type))
    .order_by(alignment_left.c.judged)
)
_LEFT = ("judged", "left_deg", "left_sigma_deg", "tolerance_deg", "verdict", "told", "next")
_NUMBERS = (*(f"{name}_deg" for name in ANGLES), *(f"{name}_sigma_deg" for name in ANGLES))
_PART = ("part", "found_by", *_NUMBERS, "scale", "scale_sigma", "method", "source")
NO_MOUNTING = "Nobody entered how the bay is mounted."


@dataclass(frozen=True, slots=True)
class AlignmentFacts:
    """The stay with everything an alignment in it rests on; `given` goes into the entry, for working it out again."""

    stay: Stay | None
    installation: str | None
    mounting: sa.RowMapping | None
    current: sa.RowMapping | None
    given: dict[str, Any]
    reasons: list[Reason] = field(default_factory=list)

    @property
    def touched(self) -> int:
        rows = (self.mounting, self.current)
        return max([self.stay.seq if self.stay else 0, *(row["seq"] for row in rows if row)])

    def decided(self) -> dict[str, Any]:
        return {
            "installation": self.installation,
            "pairing": self.stay.pairing_id if self.stay else None,
            "mounting": self.mounting["id"] if self.mounting else None,
            "given": self.given,
        }


def alignment_facts(case: Case, *, needs_mounting: bool = False) -> AlignmentFacts:
    """What holds at the case's instant for the bay the act names."""
    bay_id = case.ids["bay"]
    stay, installation, reasons = sitting(case, bay_id)
    mounting = mounting_at(case.db, bay_id, case.at)
    use = case.db.execute(_use, {"bay": bay_id, "at": case.at, "known": EVER}).one()
    current = alignment_of(case, installation)
    kept = parts_of(case, current["id"]) if current and current["answer"] != "withdrawn" else {}
    value = case.db.execute(_class, {"pairing": stay.pairing_id}).scalar() if stay else None
    given = {
        "orientation": mounting["orientation"] if mounting else None,
        "plate": _plate(mounting) if mounting else None,
        "kept": {name: part for name, part in kept.items() if name != "plate_vehicle"},
        "left": _still_left(case, current),
        "tolerance_deg": use.heading_tolerance_deg,
        "roll_tolerance_deg": ROLL_TOLERANCE_DEG.get(use.use),
        "class_percent": value,
    }
    if needs_mounting and mounting is None:
        offer = Offer("record_mounting", "Enter how the bay is mounted", {"bay": bay_id})
        do = "Enter the mounting first: a third of the alignment is the bay’s."
        reasons = [*reasons, Reason("mounting_missing", NO_MOUNTING, "bay", do, offer)]
    return AlignmentFacts(stay, installation, mounting, current, given, reasons)


def alignment_of(case: Case, installation: str | None) -> sa.RowMapping | None:
    """The newest alignment of a stay by the case's instant."""
    keys = {"installation": installation, "at": case.at, "known": EVER}
    return case.db.execute(_newest, keys).mappings().first() if installation else None


def parts_of(case: Case, alignment_id: str) -> dict[str, dict[str, Any]]:
    """Part -> what stands for it in an entry."""
    rows = case.db.execute(_parts, {"alignment": alignment_id}).mappings()
    return {row["part"]: {name: row[name] for name in _PART} for row in rows}


def left_of(case: Case, alignment_id: str) -> list[dict[str, Any]]:
    """What is left of each angle of an alignment, as an entry keeps it."""
    rows = case.db.execute(_left, {"alignment": alignment_id}).mappings()
    return [{name: row[name] for name in _LEFT} for row in rows]


def _still_left(case: Case, current: sa.RowMapping | None) -> list[dict[str, Any]]:
    """What the next alignment of the stay takes over where it finds nothing itself: nothing that an answer has settled."""
    return left_of(case, current["id"]) if current and current["answer"] is None else []


def _plate(mounting: sa.RowMapping) -> dict[str, Any]:
    source = f"{mounting['measured_how']}, {say_day(mounting['measured_on'])}"
    told = {name: mounting[name] for name in _NUMBERS}
    return part("plate_vehicle", "measured", told, "as entered", source)


def part(name: str, found_by: str, figures: dict[str, Any], method: str, source: str) -> dict[str, Any]:
    """One part of an alignment, figures that are not there empty."""
    told = {"part": name, "found_by": found_by, "method": method, "source": source}
    return dict.fromkeys(_PART) | {key: value for key, value in figures.items() if key in _PART} | told


def alignment_rows(entry: Entry, found_by: str, before: str | None = None) -> list[Effect]:
    """The alignment of an entry, its parts and residuals."""
    body, decided = entry.body, entry.decided
    whole = decided["whole"] or dict.fromkeys(_NUMBERS)
    row = {
        "id": entry.id,
        "installation_id": decided["installation"],
        "bay_mounting_id": decided["mounting"],
        "before_id": before,
        "found_by": found_by,
        **{name: whole[name] for name in _NUMBERS},
        **decided["judged"],
        **decided["cost"],
        **decided["north"],
        "words": body["words"] or "",
    }
    made: list[Effect] = [Add("alignment", {**row, **entry.moment("aligned")})]
    for told in decided["parts"]:
        made.append(
            Add("alignment_part", {"id": entry.derived(f"part:{told['part']}"), "alignment_id": entry.id, **told})
        )
    for told in decided["left"]:
        made.append(
            Add("alignment_left", {"id": entry.derived(f"left:{told['judged']}"), "alignment_id": entry.id, **told})
        )
    for number, told in enumerate(decided["residuals"], 1):
        key = {"id": entry.derived(f"residual:{number}"), "alignment_id": entry.id, "number": number}
        made.append(Add("alignment_residual", key | told))
    return made
