"""What was put right besides instants: the bay of a stay, who did an act, and acts taken back. The first version stays."""

from typing import Any

import sqlalchemy as sa

from registry.domain.amendments import PARTS, THINGS
from registry.models.base import column, folded, maybe, once, one_of, says, to
from registry.models.columns import Id
from registry.models.seeks import KNOWN

amended_bay = folded(
    "amended_bay",
    column("amended_act_id", Id),
    to("bay", "was_bay_id"),
    to("bay", "now_bay_id"),
    column("why", sa.Text),
    says("amended_bay_is_another", "was_bay_id <> now_bay_id", "An amended bay is another bay."),
    sa.Index("ix_amended_bay_amended_act_id", "amended_act_id"),
)

amended_person = folded(
    "amended_person",
    column("amended_act_id", Id),
    column("part", sa.Text),
    to("person", "was_person_id"),
    to("person", "now_person_id"),
    column("why", sa.Text),
    one_of("part", *PARTS),
    says("amended_person_is_another", "was_person_id <> now_person_id", "An amended person is another person."),
    sa.Index("ix_amended_person_amended_act_id", "amended_act_id", "seq"),
)

#: `instead_act_id` is the act that holds instead: the first of two, or the one that was entered anew.
withdrawal = folded(
    "withdrawal",
    column("withdrawn_act_id", Id),
    maybe("instead_act_id", Id),
    column("why", sa.Text),
    once("withdrawn_once", "withdrawn_act_id", sentence="That act was taken back before.", code="already_so"),
)

#: The things a withdrawn act told of, so that their histories can tell that it was taken back.
withdrawn_of = folded(
    "withdrawn_of",
    to("withdrawal"),
    to("half", nullable=True),
    to("pairing", nullable=True),
    to("bay", nullable=True),
    to("housing", nullable=True),
    to("vehicle", nullable=True),
    says(
        "withdrawn_of_one_thing",
        " + ".join(f"(CASE WHEN {name} IS NULL THEN 0 ELSE 1 END)" for name in THINGS) + " = 1",
        "A withdrawn act told of one thing a row.",
    ),
    *(sa.Index(f"ix_withdrawn_of_{name}", name) for name in THINGS),
)


def doer(act_id: Any, first: Any, part: str = "done") -> Any:
    """Who did an act, as far as the log of that size tells it: the person it was amended to, else `first`, the one it
    names."""
    own = amended_person.alias()
    newest = (
        sa.select(own.c.now_person_id)
        .where(own.c.amended_act_id == act_id, own.c.part == part, own.c.seq <= KNOWN)
        .order_by(own.c.seq.desc())
        .limit(1)
        .scalar_subquery()
    )
    return sa.func.coalesce(newest, first)


def withdrawn(act_id: Any) -> Any:
    """Whether an act was taken back, as far as the log of that size tells it."""
    return sa.exists().where(withdrawal.c.withdrawn_act_id == act_id, withdrawal.c.seq <= KNOWN)
