"""The plan of a site: limits and periods that a site sets for itself, from a day on, with the reason and the source."""

from typing import Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.shapes import Line, SiteRef, Words, one_from
from registry.acts.spells import Spell, ended, holding, until_next
from registry.domain.people import May
from registry.domain.plans import ITEMS, fault_of_value, is_looser, say_value
from registry.errors import Reason
from registry.models.plans import plan_figure

Item = one_from({name: item.label for name, item in ITEMS.items()})
_spells = select(
    plan_figure.c.id, plan_figure.c.since_at, plan_figure.c.since_offset_min, plan_figure.c.ended_at, plan_figure.c.seq,
    plan_figure.c.value,
).where(
    plan_figure.c.figure == bindparam("figure"), plan_figure.c.voided_seq.is_(None),
    plan_figure.c.site_id.is_not_distinct_from(bindparam("site", type_=plan_figure.c.site_id.type)),
)  # fmt: skip


class SetPlanFigure(Act, name="set_plan_figure", may=May.EQUIP, pin=True, says="Set a figure of the plan"):
    """What a site works by from now on. Every record keeps the figure of its own day, and a late entry meets that one."""

    figure: Item = Field(title="Figure")
    site: SiteRef | None = Field(None, title="Site", description="Empty: all sites that set nothing of their own.")
    value: Line = Field(title="Value", description="In the unit of the figure; yes or no where it has none.")
    reason: Words = Field(title="Why", description="What makes this site different.")
    source: Line = Field(title="Source", description="The site’s plan, a maker’s sheet, a standard and its edition.")

    def decide(self, case: Case) -> Decision:
        spells, values = _known(case, self.figure)
        fault = fault_of_value(self.figure, self.value)
        if fault:
            return Decision([Reason("wrong_form", fault, "value", "Look at the unit, and enter it again.")])
        before = holding(spells, case.at)
        if before and values[before.id] == self.value:
            told = f"It is {say_value(self.figure, self.value)} already."
            return Decision([Reason("already_so", told, "value", "There is nothing to do.")])
        reasons = []
        if before and before.since_at == case.at:
            told = "Another value was set for that very instant."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Enter it a minute later."))
        remarks = [_looser(self.figure)] if is_looser(self.figure, self.value) else []
        decided = {"ends": before.id if before else None, "until": until_next(spells, case.at)}
        return Decision(reasons, decided, before.seq if before else 0, remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        until = decided["until"]
        row = {
            "id": entry.id,
            "site_id": entry.ids.get("site"),
            "end_reason": "another value was set" if until else None,
        }
        row |= {name: body[name] for name in ("figure", "value", "reason", "source")}
        made: list[Effect] = [Add("plan_figure", {**row, **entry.moment("since"), **ended(entry, until)})]
        return [*_ends(entry, decided["ends"], "another value was set"), *made]


class DropPlanFigure(Act, name="drop_plan_figure", may=May.EQUIP, pin=True, says="Go back to the default"):
    """From now on the figure is again what all sites work by, or the default."""

    figure: Item = Field(title="Figure")
    site: SiteRef | None = Field(None, title="Site", description="Empty: what was set for all sites.")
    reason: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        spells, _values = _known(case, self.figure)
        before = holding(spells, case.at)
        if before is None:
            told = f"{ITEMS[self.figure].label} was not set there: it is at its default."
            return Decision([Reason("already_so", told, "figure", "There is nothing to do.")])
        if before.until_at or before.since_at >= case.at:
            told = "Another value was set after that."
            return Decision([Reason("overlaps_history", told, "happened_at", "Look at the day and time.")])
        return Decision([], {"ends": before.id}, before.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return _ends(entry, entry.decided["ends"], entry.body["reason"])


def _known(case: Case, figure: str) -> tuple[list[Spell], dict[str, Any]]:
    """Every value this figure ever had at the site, with each value by its id."""
    rows = case.db.execute(_spells, {"figure": figure, "site": case.ids.get("site")}).all()
    return [Spell(*row[:5]) for row in rows], {row.id: row.value for row in rows}


def _ends(entry: Entry, id_: str | None, why: str) -> list[Effect]:
    return [Close("plan_figure", id_, {**entry.moment("ended"), "end_reason": why})] if id_ else []


def _looser(figure: str) -> str:
    item = ITEMS[figure]
    return f"That is less careful than the default, {say_value(figure, item.default)} ({item.source}). It is kept, and shown as such."
