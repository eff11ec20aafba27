"""Amending who did an act of the hands: another person than was entered."""

from dataclasses import replace
from typing import Any

from pydantic import Field

from registry.acts import anew, log
from registry.acts.act import ACTS, Act, Case, Decision, Deed
from registry.acts.amendments import closed_by, opened_by
from registry.acts.authority import roles_of
from registry.acts.doers import who_did
from registry.acts.entry import Add, Effect, Entry
from registry.acts.naming_acts import nothing_done, taken_back
from registry.acts.shapes import ActId, PersonRef, Words, one_from
from registry.domain.amendments import PARTS
from registry.domain.people import May, reasons_not_allowed, roles_at
from registry.errors import Reason


class AmendPerson(Act, name="amend_person", may=May.AMEND, pin=True, says="Amend who did it"):
    """Somebody else did it than was entered. Their roles and training of that day are judged; who signed it stays as it is."""

    amends: ActId = Field(title="Act it amends", description="The id of the act, as its entry’s page gives it.")
    part: one_from(PARTS) = Field("done", title="Who", description="A swap may have been lifted by somebody else.")
    person: PersonRef = Field(title="Who it really was")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        entry = log.stored(case.db, self.amends)
        if entry is None or not self._tells_of(entry):
            return Decision([nothing_done(case.db, self.amends, "amends", "say who did anything with their hands")])
        if reason := taken_back(case.db, self.amends, "amends"):
            return Decision([reason])
        was = who_did(case.db, entry)
        if was[self.part] == case.ids["person"]:
            return Decision([Reason("already_so", "That person stands there.", "person", "There is nothing to amend.")])
        # Who lifted is who did it, for as long as nobody else was named.
        parts = [part for part in PARTS if part == self.part or (self.part == "done" and was[part] == was["done"])]
        decided: dict[str, Any] = {"parts": {part: was[part] for part in parts}, "did": case.ids["person"]}
        reasons, disorder = self._judged(case, entry)
        return Decision(reasons, decided | disorder, entry.seq)

    def _tells_of(self, entry: Entry) -> bool:
        return issubclass(ACTS[entry.act], Deed) and (self.part == "done" or entry.act == "swap_pairs")

    def _judged(self, case: Case, entry: Entry) -> tuple[list[Reason], dict[str, Any]]:
        """What stands against that person having done it; out of order, where the pair is in or was."""
        person = case.ids["person"]
        roles = roles_at(roles_of(case, person), entry.at)
        deed = ACTS[entry.act].says[0].lower() + ACTS[entry.act].says[1:]
        marks = reasons_not_allowed("that person", ACTS[entry.act].may, roles, entry.at, deed)
        began = opened_by(case.db, entry.id) if self.part == "done" else []
        ended = closed_by(case.db, entry.id) if self.part == "lifted" or entry.act == "remove_pair" else []
        stated = [("installed", began), ("removed", ended)]
        changes = [{"amended_act_id": entry.id, "instant": instant} for instant, spans in stated if spans]
        hard, disorder = anew.judged(case, [*began, *ended], changes, done_by=person)
        hard = [replace(reason, field="person") for reason in hard]
        if not marks:
            return hard, disorder
        if not (began or ended):
            return [*hard, *(replace(reason, field="person") for reason in marks)], {}
        told = [{"code": reason.code, "message": reason.message} for reason in marks]
        on = sorted({("pairing_id", span["pairing_id"]) for span in [*began, *ended]})
        return hard, {"out_of_order": told + disorder.get("out_of_order", []), "hold_on": on}

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        made: list[Effect] = []
        for part, was in sorted(entry.decided["parts"].items()):
            people = {"was_person_id": was, "now_person_id": entry.ids["person"]}
            told = {"amended_act_id": entry.body["amends"], "part": part, **people, "why": entry.body["why"]}
            made.append(Add("amended_person", {"id": entry.derived(f"person:{part}"), **told}))
        return made
