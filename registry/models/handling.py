"""ESD sign-offs and the periodic checks of stations: readings of one person at one station, judged when they were taken."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.handling import VERDICTS, LastCheck
from registry.domain.readings import READING_VERDICTS
from registry.models.base import Stay, closing, column, folded, instant, maybe, one_of, to
from registry.models.columns import Day, Figure, Flag, Stamp
from registry.models.seeks import EVER, newest


def _readings(owner: str) -> tuple[Any, ...]:
    """One reading with the limits that were in force, so that it can be judged by its own day for ever."""
    return (
        to(owner),
        column("quantity", sa.Text),
        maybe("value", Figure),
        column("open_circuit", Flag),
        column("unit", sa.Text),
        maybe("least", Figure),
        maybe("below", Figure),
        column("limit_source", sa.Text),
        column("verdict", sa.Text),
        to("meter", nullable=True),
        maybe("meter_due_on", Day),
        one_of("verdict", *READING_VERDICTS),
    )


station_check = folded(
    "station_check",
    to("station"),
    *instant("checked"),
    column("verdict", sa.Text),
    maybe("good_to_on", Day),
    column("words", sa.Text),
    one_of("verdict", *VERDICTS),
    sa.Index("ix_station_check_station_id", "station_id", "checked_at"),
)

station_reading = folded(
    "station_reading",
    *_readings("station_check"),
    sa.Index("ix_station_reading_station_check_id", "station_check_id"),
    sa.Index("ix_station_reading_meter_id", "meter_id"),
)

esd_signoff = folded(
    "esd_signoff",
    to("station"),
    to("person"),
    to("station_check", nullable=True),
    *instant("signed"),
    column("verdict", sa.Text),
    column("good_to_at", Stamp),
    maybe("air_c", Figure),
    maybe("humidity_pct", Figure),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    one_of("verdict", *VERDICTS),
    sa.Index("ix_esd_signoff_person_id", "person_id", "signed_at"),
    changes="closes",
    stay=Stay("signed_at", "ended_at"),
)

esd_reading = folded(
    "esd_reading",
    *_readings("esd_signoff"),
    sa.Index("ix_esd_reading_esd_signoff_id", "esd_signoff_id"),
    sa.Index("ix_esd_reading_meter_id", "meter_id"),
)

#: An insulator the work needs, with its potential and how far from the unit it was kept.
esd_insulator = folded(
    "esd_insulator",
    to("esd_signoff"),
    column("number", sa.Integer),
    column("what", sa.Text),
    column("potential_v", Figure),
    column("distance_cm", Figure),
    column("far_enough", Flag),
    sa.Index("ix_esd_insulator_esd_signoff_id", "esd_signoff_id"),
)

_last_check = select(station_check.c.id, station_check.c.verdict, station_check.c.checked_at, station_check.c.good_to_on).where(
    station_check.c.id == newest(station_check, "checked_at", station_check.c.station_id == bindparam("station"))
)  # fmt: skip


def last_check(db: sa.Connection, station_id: str, at: str) -> tuple[str | None, LastCheck | None]:
    """Id and facts of the newest check of a station by then; nothing when there is none."""
    row = db.execute(_last_check, {"station": station_id, "at": at, "known": EVER}).first()
    return (row.id, LastCheck(row.verdict, row.checked_at[:10], row.good_to_on)) if row else (None, None)
