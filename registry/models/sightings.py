"""Sightings: what a person found in a bay. They move nothing; where they differ from the record both ends are told."""

import sqlalchemy as sa

from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Id

sighting = folded(
    "sighting",
    to("bay"),
    to("half", "sensor_id", nullable=True),
    to("half", "electronics_id", nullable=True),
    *instant("sighted"),
    column("outcome", sa.Text),
    column("words", sa.Text),
    column("act_id", Id),
    one_of("outcome", "as_recorded", "differs"),
    sa.Index("ix_sighting_bay_id", "bay_id", "sighted_at"),
    sa.Index("ix_sighting_sensor_id", "sensor_id", "sighted_at"),
    sa.Index("ix_sighting_electronics_id", "electronics_id", "sighted_at"),
    sa.Index("ix_sighting_outcome", "outcome", "sighted_at"),
    changes="voids",
)

#: One end of a difference: the bay that holds something else, or the bay a half was taken to be in.
discrepancy = folded(
    "discrepancy",
    to("bay", nullable=True),
    to("half", nullable=True),
    *instant("noted"),
    column("words", sa.Text),
    *instant("settled", nullable=True, closing=True),
    closing(maybe("settled_by_id", Id, sa.ForeignKey("person.id"))),
    closing(maybe("answer", sa.Text)),
    says(
        "discrepancy_about_something",
        "bay_id IS NOT NULL OR half_id IS NOT NULL",
        "A discrepancy is about a bay or a half.",
    ),
    sa.Index("ix_discrepancy_bay_id", "bay_id", "noted_at"),
    sa.Index("ix_discrepancy_half_id", "half_id", "noted_at"),
    changes="closes",
    stay=Stay("noted_at", "settled_at"),
)
