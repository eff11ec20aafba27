"""Figures of the plan as sites set them, from when to when; and what held at one site at one instant."""

from collections.abc import Callable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.plans import Plan, PlanFigure, in_order
from registry.models.base import Stay, closing, column, folded, instant, maybe, to
from registry.models.seeks import EVER, in_force

#: A figure of one site, or of all sites when no site stands in it. Which figures there are is for the acts to say: the
#: list grows with every feature.
plan_figure = folded(
    "plan_figure",
    to("site", nullable=True),
    column("figure", sa.Text),
    column("value", sa.Text),
    column("reason", sa.Text),
    column("source", sa.Text),
    *instant("since"),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    sa.Index("ix_plan_figure_figure", "figure", "since_at"),
    changes="closes",
    stay=Stay("since_at", "ended_at"),
)

_set = select(
    plan_figure.c.figure, plan_figure.c.value, plan_figure.c.site_id, plan_figure.c.since_at, plan_figure.c.reason, plan_figure.c.source, plan_figure.c.seq,
).where(
    in_force(plan_figure, "since_at", "ended_at"),
    sa.or_(plan_figure.c.site_id.is_(None), plan_figure.c.site_id == bindparam("site", type_=plan_figure.c.site_id.type)),
)  # fmt: skip


_all = select(*_set.selected_columns).where(in_force(plan_figure, "since_at", "ended_at"))


def plans_at(db: sa.Connection, at: str, known_size: int = EVER) -> Callable[[str | None], Plan]:
    """The plan of any site at an instant, from one statement; of None, that of all sites."""
    figures = [PlanFigure(*row) for row in db.execute(_all, {"at": at, "known": known_size})]
    return lambda site_id: in_order([one for one in figures if one.site_id in (None, site_id)])


def plan_at(db: sa.Connection, site_id: str | None, at: str, known_size: int = EVER) -> Plan:
    """What a site works by at an instant; without a site, what all sites do."""
    rows = db.execute(_set, {"site": site_id, "at": at, "known": known_size})
    return in_order([PlanFigure(*row) for row in rows])
