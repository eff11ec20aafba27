"""What a site works by, figure by figure: what is in force, what the default is, and whose rule it is."""

from dataclasses import dataclass

import sqlalchemy as sa

from registry.domain.plans import GROUPS, PlanFigure, is_looser, say_value
from registry.models.plans import plan_at
from registry.models.seeks import EVER


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One figure: its value in force and the default as people read them; `own` is None while it is at its default."""

    figure: str
    label: str
    value: str
    default: str
    source: str
    why: str
    looser: bool
    own: PlanFigure | None


def plan_page(db: sa.Connection, site_id: str | None, at: str, known_size: int = EVER) -> dict[str, list[PlanLine]]:
    """Group -> its figures at a site, or at all sites, at an instant."""
    plan = plan_at(db, site_id, at, known_size)
    return {
        group: [
            PlanLine(
                name,
                item.label,
                say_value(name, plan.value(name)),
                say_value(name, item.default),
                plan.source(name),
                item.why,
                is_looser(name, plan.value(name)),
                plan.figures.get(name),
            )
            for name, item in items.items()
        ]
        for group, items in GROUPS.items()
    }
