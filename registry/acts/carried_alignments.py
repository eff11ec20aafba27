"""After a swap: an alignment carried over on dowels, and the residual that confirms or withdraws one."""

from typing import Annotated, Any

import sqlalchemy as sa
from pydantic import Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.alignment_facts import (
    AlignmentFacts,
    alignment_facts,
    alignment_of,
    alignment_rows,
    left_of,
    part,
    parts_of,
)
from registry.acts.alignment_figures import concluded, fine, kept_parts, told_of
from registry.acts.alignments import ALIGN, decided, in_unit_of
from registry.acts.entry import Add, Effect, Entry
from registry.acts.mountings import AngleSigma, FineAngle
from registry.acts.shapes import BayRef, FigureText, Words, within, wrong
from registry.domain.alignments import (
    UNIT_SIGMA_DEG,
    Carrying,
    Judged,
    judge_residual,
    reasons_not_to_carry,
    reasons_of_roll,
)
from registry.domain.mountings import ANGLES
from registry.domain.times import say
from registry.errors import Offer, Reason
from registry.models.installs import installation_span as span
from registry.models.pairings import pairing

#: The stay before one in the same bay, with the type of its pair; and the type of a pair.
_before = (
    select(span.c.installation_id, span.c.removed_at, pairing.c.name, pairing.c.unit_type_id)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .where(
        span.c.bay_id == bindparam("bay", type_=span.c.bay_id.type),
        span.c.installed_at < bindparam("since", type_=span.c.installed_at.type), span.c.voided_seq.is_(None),
    )
    .order_by(span.c.installed_at.desc(), span.c.seq.desc())
    .limit(1)
)  # fmt: skip
_type = select(pairing.c.unit_type_id).where(pairing.c.id == bindparam("pairing", type_=pairing.c.id.type))
_ON_SHEET = f"deg, from its factory sheet; {UNIT_SIGMA_DEG} is common for one type (common practice, no source)."


class CarryAlignment(Act, name="carry_alignment", may=ALIGN, pin=True, happened=True, says="Carry an alignment over"):
    """A unit of the same type sits on the same dowels, faces clean: the last alignment of the bay holds, less sharply, until the first mission’s residual."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    faces_clean: bool = Field(False, title="Faces and dowels were clean, the unit sits flush")
    unit_out_sigma_deg: AngleSigma = Field(
        UNIT_SIGMA_DEG, title="Sigma of the unit that came out", description=_ON_SHEET
    )
    unit_in_sigma_deg: AngleSigma = Field(UNIT_SIGMA_DEG, title="Sigma of the unit that is in", description=_ON_SHEET)
    in_unit_yaw_deg: FineAngle | None = Field(None, title="Yaw in the unit now", description="deg, read off the unit")
    in_unit_roll_deg: FineAngle | None = Field(None, title="Roll in the unit now", description="deg, read off the unit")
    in_unit_dvl_deg: FineAngle | None = Field(None, title="Yaw of the DVL as entered now", description="deg")
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        facts = alignment_facts(case, needs_mounting=True)
        if facts.reasons or facts.stay is None:
            return Decision(facts.reasons, touched=facts.touched)
        before = case.db.execute(_before, {"bay": facts.stay.bay_id, "since": facts.stay.installed_at}).first()
        old = alignment_of(case, before.installation_id) if before else None
        reasons = reasons_not_to_carry(self._carrying(case, facts, before, old))
        if reasons or old is None:
            return Decision(reasons, touched=facts.touched)
        facts.given["old"] = {"whole": _whole(old), "parts": list(parts_of(case, old["id"]).values())}
        facts.given["pins"] = [facts.mounting["dowel_play_mm"], facts.mounting["dowel_spacing_mm"]]
        decision = decided(facts, _carried(self.model_dump(), facts.given))
        decision.decided["before"] = old["id"]
        decision.decided["north"] = {"north": old["north"], "north_told": old["north_told"]}
        return decision

    def _carrying(self, case: Case, facts: AlignmentFacts, before: Any, old: Any) -> Carrying:
        mounting = facts.mounting
        own = case.db.execute(_type, {"pairing": facts.stay.pairing_id}).scalar_one()
        return Carrying(
            dowels=mounting["dowels"] == "two",
            faces_clean=self.faces_clean,
            before=before.name if before else None,
            same_type=bool(before) and before.unit_type_id == own,
            aligned=old is not None,
            withdrawn=old is not None and old["answer"] == "withdrawn",
            same_mounting=old is not None and old["bay_mounting_id"] == mounting["id"],
            measured_since=facts.current is not None,
            bay_id=facts.stay.bay_id,
        )

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return alignment_rows(entry, "carried", entry.decided["before"])

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _carried(entry.body, entry.decided["given"])


def _whole(old: sa.RowMapping) -> dict[str, str] | None:
    names = [f"{name}{end}" for name in ANGLES for end in ("_deg", "_sigma_deg")]
    return {name: old[name] for name in names} if old["yaw_deg"] is not None else None


def _carried(body: dict[str, Any], given: dict[str, Any]) -> dict[str, Any]:
    """The old figures with the sigma of both units and the pins added, root-sum-square."""
    from registry.inertial import carried, carried_sigma_deg, dowel_play_deg

    pins = dowel_play_deg(*(float(each) for each in given["pins"]))
    more = (float(body["unit_out_sigma_deg"]), float(body["unit_in_sigma_deg"]), pins)
    new = []
    for one in given["old"]["parts"]:
        if one["part"] == "unit_plate":
            new.append(one | told_of(carried(fine(one), *more)) | {"found_by": "carried"})
        elif one["part"] == "dvl_unit":
            sigma = carried_sigma_deg(float(one["yaw_sigma_deg"]), *more)
            new.append(one | {"yaw_sigma_deg": f"{sigma:.4f}", "found_by": "carried"})
    new = [part(one["part"], "carried", one, one["method"], one["source"]) for one in new]
    old = given["old"]["whole"]
    whole = told_of(carried(fine(old), *more)) if old else None
    judged = ("yaw", "roll") if whole else ("dvl",)
    return concluded(given, kept_parts(given, new), whole, in_unit_of(body), judged)


class _Answers:
    """What both answers to an alignment do: they find the one in force and keep the residual with it."""

    @staticmethod
    def found(case: Case) -> tuple[AlignmentFacts, list[Reason]]:
        facts = alignment_facts(case)
        reasons = list(facts.reasons)
        if facts.stay and facts.current is None:
            offer = Offer("record_alignment", "Enter an alignment", {"bay": facts.stay.bay_id})
            told = "There is no alignment of this stay to answer."
            reasons.append(Reason("not_measured", told, "bay", "Enter or carry over one first.", offer))
        elif facts.current and facts.current["answer"] == "withdrawn":
            told = f"It was withdrawn on {say(facts.current['answered_at'])}."
            reasons.append(Reason("already_so", told, "bay", "Enter a new alignment."))
        return facts, reasons

    @staticmethod
    def row(entry: Entry, answer: str) -> list[Effect]:
        body, decided = entry.body, entry.decided
        told = {name: body[name] for name in ("residual_deg", "sigma_deg")}
        row = {"id": entry.id, "alignment_id": decided["alignment"], "answer": answer, **told, "told": decided["told"]}
        return [Add("alignment_answer", {**row, "words": body["words"] or "", **entry.moment("answered")})]


Residual = Annotated[FigureText, within("-15", "15")]
_RESIDUAL = "deg, to starboard +: what the mission or check run left over."


class ConfirmAlignment(
    Act, name="confirm_alignment", may=ALIGN, pin=True, happened=True, says="Enter the residual of a check run"
):
    """A check run or the first mission shows what is left of the heading: within the tolerance it confirms the alignment in force, in your name."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    residual_deg: Residual = Field(title="Residual", description=_RESIDUAL)
    sigma_deg: AngleSigma = Field(title="Sigma of the residual", description="deg")
    roll_residual_deg: Residual | None = Field(
        None,
        title="Residual of the roll",
        description="deg, starboard down +; from a patch test, where roll is judged.",
    )
    roll_sigma_deg: AngleSigma | None = Field(None, title="Sigma of that residual", description="deg")
    words: Words | None = Field(None, title="In your words", description="Which mission or run; where its data lie.")

    @model_validator(mode="after")
    def _roll_as_a_whole(self) -> "ConfirmAlignment":
        if (self.roll_residual_deg is None) != (self.roll_sigma_deg is None):
            raise wrong("The residual of the roll and its sigma are given both or not at all.")
        return self

    def decide(self, case: Case) -> Decision:
        facts, reasons = _Answers.found(case)
        if reasons or facts.current is None or facts.stay is None:
            return Decision(reasons, touched=facts.touched)
        given = {name: facts.given[name] for name in ("tolerance_deg", "roll_tolerance_deg")}
        judged = _residuals(self.model_dump(), given)
        rolls = [row["verdict"] for row in left_of(case, facts.current["id"]) if row["judged"] == "roll"]
        if self.roll_residual_deg is None:
            reasons += reasons_of_roll(rolls)
        offer = Offer("withdraw_alignment", "Withdraw the alignment", {"bay": facts.stay.bay_id})
        reasons += [
            Reason("outside_tolerance", one.told, field, one.next, offer)
            for field, one in judged.items()
            if one.verdict != "within"
        ]
        told = " ".join(one.told for one in judged.values())
        decided = {"alignment": facts.current["id"], "pairing": facts.stay.pairing_id, "given": given, "told": told}
        return Decision(reasons, decided, facts.touched, [told])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return _Answers.row(entry, "confirmed")

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        judged = _residuals(entry.body, entry.decided["given"])
        return {"told": " ".join(one.told for one in judged.values())}


def _residuals(body: dict[str, Any], given: dict[str, Any]) -> dict[str, Judged]:
    """Field -> what its residual says."""
    found = {"residual_deg": judge_residual("yaw", body["residual_deg"], body["sigma_deg"], given["tolerance_deg"])}
    if body["roll_residual_deg"] is not None:
        roll = judge_residual("roll", body["roll_residual_deg"], body["roll_sigma_deg"], given["roll_tolerance_deg"])
        found["roll_residual_deg"] = roll
    return found


class WithdrawAlignment(
    Act, name="withdraw_alignment", may=ALIGN, pin=True, happened=True, says="Withdraw an alignment"
):
    """The alignment in force is not to be relied on any more, in your name: what is left is too large, or the unit was moved. It is to be measured."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    residual_deg: Residual | None = Field(None, title="Residual", description=_RESIDUAL)
    sigma_deg: AngleSigma | None = Field(None, title="Sigma of the residual", description="deg")
    words: Words = Field(title="Why")

    @model_validator(mode="after")
    def _whole(self) -> "WithdrawAlignment":
        if (self.residual_deg is None) != (self.sigma_deg is None):
            raise wrong("The residual and its sigma are given both or not at all.")
        return self

    def decide(self, case: Case) -> Decision:
        facts, reasons = _Answers.found(case)
        if reasons or facts.current is None:
            return Decision(reasons, touched=facts.touched)
        told = {"alignment": facts.current["id"], "pairing": facts.stay.pairing_id if facts.stay else None}
        return Decision([], told | {"told": self.words}, facts.touched, ["The alignment is to be measured."])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return _Answers.row(entry, "withdrawn")
