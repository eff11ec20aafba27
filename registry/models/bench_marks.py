"""Bench marks: surveyed headings of a site, each in force from when to when."""

import sqlalchemy as sa

from registry.domain.norths import NORTHS
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, to
from registry.models.columns import Day, Figure

bench_mark = folded(
    "bench_mark",
    to("site"),
    column("name", sa.Text),
    column("heading_deg", Figure),
    column("north", sa.Text),
    maybe("to_true_deg", Figure),
    column("north_source", sa.Text),
    column("true_deg", Figure),
    column("sigma_deg", Figure),
    column("how", sa.Text),
    column("surveyed_on", Day),
    *instant("since"),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    one_of("north", *NORTHS),
    sa.Index("ix_bench_mark_site_id", "site_id", "name", "since_at"),
    changes="closes",
    stay=Stay("since_at", "ended_at"),
)
