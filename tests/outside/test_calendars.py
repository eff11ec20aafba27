"""The feed of due days, read by a parser that shares no code with what writes it (vobject), and held to RFC 5545 line by
line: folding (3.1), escaping (3.3.11), all-day entries (3.6.1), UID (3.8.4.7)."""

from datetime import date, datetime

import pytest
import vobject

from registry.domain.calendars import DueDay
from registry.domain.times import UTC
from registry.output.calendars import as_feed

LOG, CHANGED = "labels.example/K", "2026-05-20T11:00:00.000000Z"
AWKWARD = 'Commas, semicolons; backslashes \\ and\nlines, "quotes": déjà vu – ' + "длинное слово " * 12


def day(**told: str) -> DueDay:
    given = {"kind": "meter", "key": "019e", "on": "2026-12-31", "what": "RM-1, North shed", "told": "Good to."}
    return DueDay(**{**given, **told}, page=("meter", "019e"))


def feed(*days: DueDay) -> bytes:
    return as_feed(days, LOG, "Test Shed", CHANGED, lambda kind, key: f"https://shed.example/{kind}s/{key}")


def test_an_entry_is_the_whole_day_and_ends_where_the_next_begins():
    entry = vobject.readOne(feed(day()).decode()).vevent
    assert (entry.dtstart.value, entry.dtend.value) == (date(2026, 12, 31), date(2027, 1, 1))
    assert entry.summary.value == "Meter due: RM-1, North shed"
    assert entry.description.value == "Good to. The day ends at 24:00 UTC."
    assert entry.uid.value == "meter-019e-K@labels.example"
    assert entry.url.value == "https://shed.example/meters/019e"
    assert entry.dtstamp.value == datetime(2026, 5, 20, 11, tzinfo=UTC)
    assert entry.transp.value == "TRANSPARENT"


def test_words_come_through_escaping_and_folding():
    entry = vobject.readOne(feed(day(what=AWKWARD, told=AWKWARD)).decode()).vevent
    assert entry.summary.value == f"Meter due: {AWKWARD}"
    assert entry.description.value == f"{AWKWARD} The day ends at 24:00 UTC."


def test_every_line_ends_in_crlf_and_none_is_longer_than_75_octets():
    """RFC 5545, 3.1: "Lines of text SHOULD NOT be longer than 75 octets, excluding the line break."."""
    raw = feed(day(what=AWKWARD), day(key="019f"))
    assert raw.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    lines = raw.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode()  # no character is cut in half by folding


def test_the_same_record_gives_the_same_bytes_and_a_moved_day_keeps_its_name():
    assert feed(day()) == feed(day())
    one, other = (vobject.readOne(feed(day(on=on)).decode()).vevent for on in ("2026-12-31", "2027-02-01"))
    assert one.uid.value == other.uid.value
    assert one.dtstart.value != other.dtstart.value


def test_there_is_no_alarm_and_an_empty_feed_is_a_calendar():
    assert b"VALARM" not in feed(day())
    empty = vobject.readOne(feed().decode())
    assert (empty.version.value, list(empty.components())) == ("2.0", [])


@pytest.mark.parametrize(("on", "until"), [("2028-02-28", "2028-02-29"), ("2026-12-31", "2027-01-01")])
def test_the_day_after_is_by_the_calendar(on: str, until: str):
    assert day(on=on).until == until
