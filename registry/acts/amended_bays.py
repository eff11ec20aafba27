"""Amending the bay of a stay: the pair went into another bay than was entered."""

from dataclasses import replace
from typing import Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts import anew, log, seats
from registry.acts.act import Act, Case, Decision
from registry.acts.amendments import KEPT, TIMES, opened_by, others_of, pairings_of
from registry.acts.doers import who_did
from registry.acts.entry import Add, Effect, Entry, Void
from registry.acts.naming_acts import nothing_done
from registry.acts.shapes import ActId, BayRef, Words
from registry.domain.amendments import reasons_not_to_restate
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.installs import removal

_KEYS = ("bay_id", "pairing_id", "sensor_id", "electronics_id")
_OUT = ("act_id", "done_by_id", "reason", "condition", "seat_follows", "as_recorded", "words")
_removal = select(*(removal.c[name] for name in _OUT)).where(
    removal.c.installation_id == bindparam("installation"), removal.c.act_id == bindparam("act")
)


class AmendBay(Act, name="amend_bay", may=May.AMEND, pin=True, says="Amend the bay"):
    """The pair went into another bay than was entered. Name the install or the swap; the first version stays in the record."""

    amends: ActId = Field(
        title="Act it amends", description="The id of the install or swap, as its entry’s page gives it."
    )
    bay: BayRef = Field(title="Bay it really went into")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        rows = opened_by(case.db, self.amends)
        if not rows:
            return Decision([nothing_done(case.db, self.amends, "amends", "put a pair into a bay")])
        row = dict(rows[0])
        there = seats.bay_facts(case.db, case.ids["bay"], row["installed_at"])
        named = f"{there.vehicle}, bay {there.letter}"
        if row["bay_id"] == case.ids["bay"]:
            told = f"It is {named} that was entered, since {say(row['installed_at'])}."
            return Decision([Reason("already_so", told, "bay", "There is nothing to amend.")])
        stay = replace(
            seats.stay_with(case.db, row["id"], row["installed_at"], row["removed_at"]),
            bay_id=case.ids["bay"],
            bay=named,
        )
        reasons = reasons_not_to_restate([stay], others_of(case.db, [stay]), pairings_of(case.db, [stay]))
        again = row | {"bay_id": case.ids["bay"]}
        ends = [("removed", row["closed_by"])] if row["closed_by"] else []
        decided: dict[str, Any] = {
            "void": row["id"],
            "did": self._did(case),
            "was": {name: row[name] for name in _KEYS},
            "again": {name: again[name] for name in (*KEPT, *TIMES)},
            "removal": _removal_of(case, row),
        }
        if not reasons:
            stated = [("installed", row["opened_by"]), *ends]
            changes = [{"amended_act_id": act, "instant": instant} for instant, act in stated]
            reasons, disorder = anew.judged(case, [again], changes)
            decided |= disorder
        told = f"Signs, alignment and settings entered for that stay stay behind: they do not count in {named}."
        reasons = [replace(reason, field="bay") for reason in reasons]
        return Decision(reasons, decided, max(row["seq"], row["closed_seq"] or 0), [told])

    def _did(self, case: Case) -> str:
        entry = log.stored(case.db, self.amends)
        return who_did(case.db, entry)["done"] if entry else case.by

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        decided, again = entry.decided, entry.decided["again"]
        installation = entry.derived("installation")
        keys = {name: again[name] for name in _KEYS}
        made: list[Effect] = [
            Void("installation_span", decided["void"]),
            Add("installation", {"id": installation, **keys}),
            Add("installation_span", {**again, "id": entry.derived("span"), "installation_id": installation}),
        ]
        if out := decided["removal"]:
            made.append(Add("removal", {**out, "id": entry.derived("removal"), "installation_id": installation}))
        bays = {"was_bay_id": decided["was"]["bay_id"], "now_bay_id": again["bay_id"]}
        told = {"amended_act_id": again["opened_by"], **bays, "why": entry.body["why"]}
        return [*made, Add("amended_bay", {"id": entry.id, **told})]


def _removal_of(case: Case, row: dict[str, Any]) -> dict[str, Any] | None:
    """How the stay ended, told again of the stay in its true bay."""
    key = {"installation": row["installation_id"], "act": row["closed_by"]}
    found = case.db.execute(_removal, key).mappings().first() if row["closed_by"] else None
    return dict(found) if found else None
