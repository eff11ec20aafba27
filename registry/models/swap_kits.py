"""Swap kits: what a swap in a housing takes, from when to when, and how many kits lie at a site."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.swap_kits import Counted, SwapKit
from registry.models.base import Stay, column, folded, instant, says, to
from registry.models.seeks import AT, EVER, in_force, known
from registry.models.sites import site

swap_kit_line = folded(
    "swap_kit_line",
    to("housing"),
    column("number", sa.Integer),
    column("item", sa.Text),
    column("quantity", sa.Integer),
    *instant("since"),
    *instant("ended", nullable=True, closing=True),
    says("swap_kit_line_counts", "quantity >= 1", "A line counts one thing or more."),
    sa.Index("ix_swap_kit_line_housing_id", "housing_id", "since_at"),
    changes="closes",
    stay=Stay("since_at", "ended_at"),
)

#: How many kits somebody counted; the newest count of a housing at a site holds.
swap_kit_count = folded(
    "swap_kit_count",
    to("housing"),
    to("site"),
    column("kits", sa.Integer),
    *instant("counted"),
    says("swap_kit_count_none_or_more", "kits >= 0", "There are no kits, or some."),
    sa.Index("ix_swap_kit_count_housing_id", "housing_id", "site_id", "counted_at"),
)

_housings = bindparam("housings", expanding=True)
_lines = (
    select(swap_kit_line.c.housing_id, swap_kit_line.c.item, swap_kit_line.c.quantity)
    .where(swap_kit_line.c.housing_id.in_(_housings), in_force(swap_kit_line, "since_at", "ended_at"))
    .order_by(swap_kit_line.c.housing_id, swap_kit_line.c.number)
)
_counts = (
    select(swap_kit_count.c.housing_id, swap_kit_count.c.site_id, site.c.name, swap_kit_count.c.kits, swap_kit_count.c.counted_at)
    .join(site, site.c.id == swap_kit_count.c.site_id)
    .where(swap_kit_count.c.housing_id.in_(_housings), known(swap_kit_count), swap_kit_count.c.counted_at <= AT)
    .order_by(swap_kit_count.c.counted_at, swap_kit_count.c.seq)
)  # fmt: skip


def swap_kits(db: sa.Connection, housings: Iterable[str], at: str, known_size: int = EVER) -> dict[str, SwapKit]:
    """Housing id -> its kit at the instant. Two statements for any number of housings."""
    keys = {"housings": sorted(set(housings)), "at": at, "known": known_size}
    lines: dict[str, list[tuple[str, int]]] = {id_: [] for id_ in keys["housings"]}
    counted: dict[str, dict[str, Counted]] = {id_: {} for id_ in keys["housings"]}
    for row in db.execute(_lines, keys):
        lines[row.housing_id].append((row.item, row.quantity))
    for row in db.execute(_counts, keys):
        counted[row.housing_id][row.site_id] = Counted(row.site_id, row.name, row.kits, row.counted_at)
    by_name = {id_: tuple(sorted(found.values(), key=lambda one: one.site)) for id_, found in counted.items()}
    return {id_: SwapKit(tuple(lines[id_]), by_name[id_]) for id_ in lines}
