"""The second person’s check of a pair that was seated, or the look again of who seated it."""

from pydantic import Field

from registry.acts import seats
from registry.acts.act import Case, Decision, Deed
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.authority import trainings_of
from registry.acts.entry import Add, Effect, Entry
from registry.acts.housings import asked_of_eyes
from registry.acts.shapes import BayRef, Photos, Words, one_from
from registry.acts.stays import sitting
from registry.domain.people import May
from registry.domain.second_checks import (
    HOW,
    LOOKED_AT,
    REST,
    STATES,
    SeatCheck,
    how_checked,
    last_worked_on,
    reasons_not_to_count,
    untrained,
)
from registry.models.plans import plan_at
from registry.models.second_checks import looks_at


class CheckSeating(
    Deed, name="check_seating", may=May.INSTALL | frozenset({"verifier"}), pin=True, says="Enter a second person’s check"
):  # fmt: skip
    """Another person looks at how a pair sits: torque, dowels, orientation, seals, cables. Where nobody else is aboard, a person ashore looks at photos, or who seated it looks again after a rest."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    how: one_from(HOW, unset=True) = Field(title="Who looked")
    looked_at: list[one_from(LOOKED_AT)] = Field(
        [], title="Looked at", description="All of it, unless something is wrong."
    )
    found: Words | None = Field(
        None,
        title="What is wrong",
        description="Empty: nothing. What stands here stops the vehicle until it is looked at again.",
    )
    words: Words | None = Field(
        None, title="How it was seen", description="Where the housing was closed on record, or the vehicle away."
    )
    files: Photos = Field([], title="Photos", description="At least one, unless another person was there. They go with the pair.")  # fmt: skip

    def decide(self, case: Case) -> Decision:
        stay, installation, reasons = sitting(case, case.ids["bay"])
        reasons = reasons + reasons_of_files(case, self.files)
        if stay is None or installation is None:
            return Decision(reasons)
        seated, checks = looks_at(case.db, [installation], case.at)[installation]
        plan = plan_at(case.db, seats.bay_facts(case.db, stay.bay_id, case.at).site_id, case.at)
        kept = plan.record((REST,))
        check = self._look(case, kept[REST]["value"])
        reasons += reasons_not_to_count(check, seated, last_worked_on(seated, checks))
        decided = {"installation": installation, "pairing": stay.pairing_id, "plan": kept}
        remarks = [f"{stay.pair}: {STATES[how_checked(seated, [*checks, check]).state]}."] if not reasons else []
        if self.how == "present" and not self.words:
            remarks += asked_of_eyes(case.db, stay.bay_id, case.at)
        return Decision(reasons, decided, stay.seq, remarks, [("pairing_id", stay.pairing_id)])

    def _look(self, case: Case, rest_min: str) -> SeatCheck:
        """What this act would leave, as the rules look at it. It comes after whatever is in the log."""
        lacks = untrained("the second person", trainings_of(case, case.done_by), case.at)
        return SeatCheck(
            self.id, self.how, case.done_by, "", case.by, case.at, case.size + 1, tuple(self.looked_at), self.found or "",
            len(self.files), rest_min, lacks,
        )  # fmt: skip

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        row = {
            "id": entry.id, "installation_id": decided["installation"], "pairing_id": decided["pairing"], "done_by_id": entry.done_by,
            "how": body["how"], "looked_at": " ".join(name for name in LOOKED_AT if name in body["looked_at"]),
            "told": body["found"] or "", "photos": len(body["files"]), "rest_min": decided["plan"][REST]["value"],
        }  # fmt: skip
        files = file_rows(entry, "pairing_id", decided["pairing"], "attached")
        return [Add("second_check", {**row, **entry.moment("checked")}), *files]
