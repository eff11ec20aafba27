"""Movement out of the house: loans, stays at repair, and border crossings, which are a reminder only."""

import sqlalchemy as sa

from registry.domain.crossings import OUTCOMES as CROSSED
from registry.domain.loans import CAUSES, DIRECTIONS, OUTCOMES
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Day

loan = folded(
    "loan",
    to("vehicle", nullable=True),
    to("pairing", nullable=True),
    column("direction", sa.Text),
    column("partner", sa.Text),
    to("person", "answers_id"),
    column("words", sa.Text),
    *instant("lent"),
    *instant("returned", nullable=True, closing=True),
    closing(maybe("said", sa.Text)),
    one_of("direction", *DIRECTIONS),
    says(
        "loan_of_one_thing",
        "(vehicle_id IS NULL) <> (pairing_id IS NULL)",
        "A loan is of a vehicle or of a pair.",
    ),
    sa.Index("ix_loan_vehicle_id", "vehicle_id", "lent_at"),
    sa.Index("ix_loan_pairing_id", "pairing_id", "lent_at"),
    changes="closes",
    stay=Stay("lent_at", "returned_at", apart=("vehicle_id", "pairing_id")),
)

#: The day of return as it was agreed; the newest counts.
loan_due = folded(
    "loan_due",
    to("loan"),
    column("due_on", Day),
    column("words", sa.Text),
    *instant("agreed"),
    sa.Index("ix_loan_due_loan_id", "loan_id", "agreed_at"),
)

#: While a half is away it lies at no site of ours.
half_away = folded(
    "half_away",
    to("half"),
    to("loan", nullable=True),
    column("cause", sa.Text),
    column("keeper", sa.Text),
    column("reference", sa.Text),
    maybe("due_on", Day),
    column("words", sa.Text),
    *instant("since"),
    *instant("returned", nullable=True, closing=True),
    closing(maybe("outcome", sa.Text)),
    closing(maybe("said", sa.Text)),
    one_of("cause", *CAUSES),
    says("half_away_outcome_known", f"outcome IS NULL OR outcome IN ({', '.join(repr(one) for one in OUTCOMES)})", "That is no outcome the registry knows."),
    says("half_away_on_a_loan", "(cause = 'loan') = (loan_id IS NOT NULL)", "A half on loan names its loan."),
    sa.Index("ix_half_away_half_id", "half_id", "since_at", "seq"),
    sa.Index("ix_half_away_loan_id", "loan_id"),
    changes="closes",
    stay=Stay("since_at", "returned_at", apart=("half_id",)),
)  # fmt: skip

crossing = folded(
    "crossing",
    to("vehicle", nullable=True),
    to("pairing", nullable=True),
    to("half", nullable=True),
    column("from_country", sa.Text),
    column("to_country", sa.Text),
    column("crosses_on", Day),
    maybe("returns_on", Day),
    column("classification", sa.Text),
    column("stated_by", sa.Text),
    maybe("stated_on", Day),
    maybe("licence", sa.Text),
    maybe("licence_expires_on", Day),
    maybe("carnet", sa.Text),
    maybe("carnet_expires_on", Day),
    column("words", sa.Text),
    *instant("planned"),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("outcome", sa.Text)),
    closing(maybe("said", sa.Text)),
    says("crossing_outcome_known", f"outcome IS NULL OR outcome IN ({', '.join(repr(one) for one in CROSSED)})", "That is no outcome the registry knows."),
    says(
        "crossing_of_one_thing",
        "(CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN pairing_id IS NULL THEN 0 ELSE 1 END)"
        " + (CASE WHEN half_id IS NULL THEN 0 ELSE 1 END) = 1",
        "A crossing is of one thing: a vehicle, a pair or a half.",
    ),
    sa.Index("ix_crossing_vehicle_id", "vehicle_id", "planned_at"),
    sa.Index("ix_crossing_pairing_id", "pairing_id", "planned_at"),
    sa.Index("ix_crossing_half_id", "half_id", "planned_at"),
    changes="closes",
    stay=Stay("planned_at", "ended_at"),
)  # fmt: skip
