"""Swap kits: what a swap in a housing takes, and where kits lie."""

from typing import Annotated

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.deliveries import ScopeLine
from registry.acts.entry import Add, Effect, Entry
from registry.acts.lists import list_rows, list_told_anew
from registry.acts.shapes import BlankRows, HousingRef, SiteRef
from registry.domain.people import May
from registry.models.swap_kits import swap_kit_line

_in_force = select(swap_kit_line.c.id, swap_kit_line.c.since_at, swap_kit_line.c.seq).where(
    swap_kit_line.c.housing_id == bindparam("housing"), swap_kit_line.c.ended_at.is_(None), swap_kit_line.c.voided_seq.is_(None)
)  # fmt: skip


class KitLine(ScopeLine):
    """One line of a swap kit: a seal, pins, a tool, desiccant."""


class SetSwapKit(Act, name="set_swap_kit", may=May.EQUIP | May.FLEET, says="Set the swap kit"):
    """What a swap in a housing takes, line by line: seals, pins, tools. It takes the place of the list before it."""

    housing: HousingRef = Field(title="Housing")
    lines: Annotated[list[KitLine], Field(min_length=1, max_length=60), BlankRows(8)] = Field(title="Lines")

    def decide(self, case: Case) -> Decision:
        return list_told_anew(case, _in_force, "housing")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return list_rows(entry, "swap_kit_line", "housing")


class CountSwapKits(Act, name="count_swap_kits", may=May.MOVE, happened=True, says="Count swap kits"):
    """How many whole swap kits of a housing lie at a site, as you count them. The newest count holds."""

    housing: HousingRef = Field(title="Housing")
    site: SiteRef = Field(title="Site")
    kits: Annotated[int, Field(ge=0, le=500)] = Field(title="Whole kits", description="0 when there is none.")

    def decide(self, case: Case) -> Decision:
        return Decision()

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {
            "id": entry.id,
            "housing_id": entry.ids["housing"],
            "site_id": entry.ids["site"],
            "kits": entry.body["kits"],
        }
        return [Add("swap_kit_count", {**row, **entry.moment("counted")})]
