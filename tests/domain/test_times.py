"""Instants: read with their offset, kept as text that sorts as time does, said in plain words."""

from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.times import (
    NEVER,
    UTC,
    as_datetime,
    end_of_day,
    later,
    offset_min,
    parse_rfc3339,
    read_day,
    read_instant,
    say,
    say_day,
    stamp,
    write_rfc3339,
)

INSTANTS = st.datetimes(
    datetime(2000, 1, 2),
    datetime(2200, 12, 30),
    timezones=st.integers(-1439, 1439).map(lambda minutes: timezone(timedelta(minutes=minutes))),
)


@given(INSTANTS)
def test_an_instant_is_read_back_as_it_was_written(when: datetime):
    read = parse_rfc3339(write_rfc3339(when))
    assert read == when
    assert read.utcoffset() == when.utcoffset()


@given(INSTANTS, INSTANTS)
def test_stamps_sort_as_time_does(one: datetime, other: datetime):
    assert (stamp(one) < stamp(other)) == (one < other)
    assert len(stamp(one)) == 27
    assert stamp(one) < NEVER


@given(INSTANTS)
def test_a_stamp_and_an_offset_give_the_instant_as_entered(when: datetime):
    shown = as_datetime(stamp(when), offset_min(when))
    assert (shown, shown.utcoffset()) == (when, when.utcoffset())


@pytest.mark.parametrize(("text", "kept"), [
    ("2026-05-04T09:12:00+02:00", "2026-05-04T07:12:00.000000Z"),
    ("2026-05-04T09:12:00.123456789Z", "2026-05-04T09:12:00.123456Z"),
    ("2026-05-04T00:00:00+14:00", "2026-05-03T10:00:00.000000Z"),
    ("0001-01-01T00:00:00Z", "0001-01-01T00:00:00.000000Z"),
])  # fmt: skip
def test_a_stamp_is_utc_to_the_microsecond_and_never_rounded_up(text: str, kept: str):
    assert stamp(text) == kept


@pytest.mark.parametrize("text", ["1999-12-31T23:59:59Z", "2201-01-01T00:00:00Z", "2000-01-01T00:00:00+00:01"])
def test_an_instant_no_record_can_hold_is_refused(text: str):
    with pytest.raises(ValueError, match="Look at the year"):
        read_instant(text)


@pytest.mark.parametrize(
    "text",
    [
        "2026-02-29",
        "2026-13-01",
        "1999-12-31",
        "2201-01-01",
        "4 May 2026",
        "2026-5-4",
        "2026-05-04T00:00:00Z",
        "２026-05-04",
    ],
)
def test_a_day_that_is_none_is_refused(text: str):
    with pytest.raises(ValueError, match=r"[.]$"):
        read_day(text)


def test_a_day_is_read_and_said():
    assert read_day("2024-02-29") == "2024-02-29"
    assert say_day("2026-05-04") == say_day("2026-05-04T23:59:59.999999Z") == "4 May 2026"
    assert say("2026-05-04T18:05:59.000000Z") == "4 May 2026, 18:05 UTC"


def test_a_day_ends_with_the_first_instant_of_the_next():
    assert end_of_day("2026-12-31") == "2027-01-01T00:00:00.000000Z"
    assert end_of_day("2024-02-28") == "2024-02-29T00:00:00.000000Z"


def test_hours_later_is_hours_later():
    assert later("2026-05-10T20:00:00.000001Z", hours=12) == "2026-05-11T08:00:00.000001Z"
    assert as_datetime("2026-05-10T20:00:00.000000Z").tzinfo is UTC
