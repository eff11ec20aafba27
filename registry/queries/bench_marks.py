"""Bench marks: those in force, and the surveys before them."""

import sqlalchemy as sa
from sqlalchemy import select

from registry.models.bench_marks import bench_mark
from registry.models.seeks import AT, EVER, ended_by, known
from registry.models.sites import site

_marks = (
    select(bench_mark, site.c.name.label("site"), ended_by(bench_mark, "ended_at").label("until_at"))
    .join(site, site.c.id == bench_mark.c.site_id)
    .where(known(bench_mark), bench_mark.c.since_at <= AT)
    .order_by(site.c.name, bench_mark.c.name, bench_mark.c.since_at.desc())
)


def marks_listed(db: sa.Connection, at: str, known_size: int = EVER) -> list[sa.RowMapping]:
    """Every survey that was entered by the instant, by site and name, the newest of each first; `until_at` is None for
    the one in force."""
    return list(db.execute(_marks, {"at": at, "known": known_size}).mappings())
