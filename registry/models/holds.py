"""Holds: on a half, a pair, a vehicle or a bay, until a named authority releases it with evidence."""

import sqlalchemy as sa

from registry.domain.holds import CAUSES, SUBJECTS
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Id

hold = folded(
    "hold",
    to("half", nullable=True),
    to("pairing", nullable=True),
    to("vehicle", nullable=True),
    to("bay", nullable=True),
    column("cause", sa.Text),
    column("reason", sa.Text),
    to("person", "placed_by_id"),
    to("person", "done_by_id"),
    *instant("placed"),
    *instant("released", nullable=True, closing=True),
    closing(maybe("released_by_id", Id, sa.ForeignKey("person.id"))),
    closing(maybe("release_reason", sa.Text)),
    closing(maybe("evidence", sa.Text)),
    one_of("cause", *CAUSES),
    says(
        "hold_on_one_thing",
        " + ".join(f"(CASE WHEN {name} IS NULL THEN 0 ELSE 1 END)" for name in SUBJECTS) + " = 1",
        "A hold lies on one thing.",
    ),
    says(
        "hold_released_by_another", "released_by_id IS NULL OR (released_by_id <> placed_by_id AND released_by_id <> done_by_id)",
        "A hold is not released by the person who placed it or did the work.", "own_work",
    ),
    *(sa.Index(f"ix_hold_{name}", name, "placed_at") for name in SUBJECTS),
    changes="closes",
    stay=Stay("placed_at", "released_at"),
)  # fmt: skip
