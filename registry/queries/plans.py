"""What a site works by, figure by figure: what is in force, what the default is, and whose rule it is."""

from dataclasses import dataclass

import sqlalchemy as sa

from registry.domain.plans import GROUPS, PlanFigure, is_looser, say_value
from registry.models.plans import plan_at
from registry.models.seeks import EVER


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One figure: its value in force and the default, None where there is none; `own` is None while it is at its default."""

    figure: str
    label: str
    unit: str
    value: str | None
    default: str | None
    source: str
    why: str
    looser: bool
    own: PlanFigure | None

    def said(self) -> str:
        return say_value(self.figure, self.value)

    def said_default(self) -> str:
        return say_value(self.figure, self.default)


def plan_page(db: sa.Connection, site_id: str | None, at: str, known_size: int = EVER) -> dict[str, list[PlanLine]]:
    """Group -> its figures at a site, or at all sites, at an instant."""
    plan = plan_at(db, site_id, at, known_size)
    return {
        group: [
            PlanLine(
                name,
                item.label,
                item.unit,
                plan.value(name),
                item.default,
                plan.source(name),
                item.why,
                is_looser(name, plan.value(name)),
                plan.figures.get(name),
            )
            for name, item in items.items()
        ]
        for group, items in GROUPS.items()
    }
