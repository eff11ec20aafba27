"""ESD sign-offs: the readings of one person at one station, judged when they were taken."""

import sqlalchemy as sa

from registry.domain.handling import READING_VERDICTS, VERDICTS
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, to
from registry.models.columns import Day, Figure, Flag, Stamp

esd_signoff = folded(
    "esd_signoff",
    to("station"),
    to("person"),
    *instant("signed"),
    column("verdict", sa.Text),
    column("good_to_at", Stamp),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    one_of("verdict", *VERDICTS),
    sa.Index("ix_esd_signoff_person_id", "person_id", "signed_at"),
    changes="closes",
    stay=Stay("signed_at", "ended_at"),
)

#: One reading with the limits that were in force, so that the sign-off can be judged by its own day for ever.
esd_reading = folded(
    "esd_reading",
    to("esd_signoff"),
    column("quantity", sa.Text),
    maybe("value", Figure),
    column("open_circuit", Flag),
    column("unit", sa.Text),
    maybe("least", Figure),
    maybe("below", Figure),
    column("limit_source", sa.Text),
    column("verdict", sa.Text),
    maybe("meter", sa.Text),
    maybe("meter_due_on", Day),
    one_of("verdict", *READING_VERDICTS),
    sa.Index("ix_esd_reading_esd_signoff_id", "esd_signoff_id"),
)
