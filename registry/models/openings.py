"""Openings and closings of a housing, its leak tests, and knocks with what each asks to be looked at again."""

import sqlalchemy as sa

from registry.domain.openings import RECHECKS, VERDICTS
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Figure, Flag, Id

opening = folded(
    "opening",
    to("housing"),
    *instant("opened"),
    column("reason", sa.Text),
    sa.Index("ix_opening_housing_id", "housing_id", "opened_at"),
    changes="voids",
)

housing_closing = folded(
    "housing_closing",
    to("housing"),
    *instant("closed"),
    column("words", sa.Text),
    sa.Index("ix_housing_closing_housing_id", "housing_id", "closed_at"),
    changes="voids",
)

leak_test = folded(
    "leak_test",
    to("housing"),
    *instant("tested"),
    column("start_mbar", Figure),
    column("start_c", Figure),
    column("end_mbar", Figure),
    column("end_c", Figure),
    column("hold_min", Figure),
    column("limit_mbar", Figure),
    maybe("change_mbar", Figure),
    column("verdict", sa.Text),
    column("electronics_on", Flag),
    one_of("verdict", *VERDICTS),
    sa.Index("ix_leak_test_housing_id", "housing_id", "tested_at"),
    changes="voids",
)

knock = folded(
    "knock",
    to("vehicle", nullable=True),
    to("half", nullable=True),
    *instant("knocked"),
    column("words", sa.Text),
    says("knock_of_one_thing", "(vehicle_id IS NULL) <> (half_id IS NULL)", "A knock is of a vehicle or of a half."),
    sa.Index("ix_knock_vehicle_id", "vehicle_id"),
    sa.Index("ix_knock_half_id", "half_id"),
)

recheck = folded(
    "recheck",
    to("knock"),
    to("pairing", nullable=True),
    to("housing", nullable=True),
    to("half", nullable=True),
    column("what", sa.Text),
    *instant("asked"),
    *instant("answered", nullable=True, closing=True),
    closing(maybe("answered_by_id", Id, sa.ForeignKey("person.id"))),
    closing(maybe("answer", sa.Text)),
    one_of("what", *RECHECKS),
    says(
        "recheck_of_something",
        "pairing_id IS NOT NULL OR housing_id IS NOT NULL OR half_id IS NOT NULL",
        "A recheck is of a pair, a half or a housing.",
    ),
    sa.Index("ix_recheck_pairing_id", "pairing_id", "asked_at"),
    sa.Index("ix_recheck_housing_id", "housing_id", "asked_at"),
    sa.Index("ix_recheck_half_id", "half_id", "asked_at"),
    changes="closes",
    stay=Stay("asked_at", "answered_at"),
)
