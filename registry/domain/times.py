"""Instants: RFC 3339 text with the offset as entered, and the fixed-width UTC text ("stamp") the record orders by."""

import re
from datetime import UTC, date, datetime, timedelta, timezone

UTC = UTC
STAMP = "%Y-%m-%dT%H:%M:%S.%fZ"
EARLIEST = datetime(2000, 1, 1, tzinfo=UTC)
LATEST_YEAR = 2200
#: A device clock may run ahead by this much and still be believed (common practice, no source).
CLOCK_LEAD = timedelta(minutes=5)
#: Sorts after every stamp; stands for "has not ended" in comparisons.
NEVER = "9999-12-31T23:59:59.999999Z"

_RFC3339 = re.compile(
    r"(\d{4})-(\d{2})-(\d{2})[Tt ](\d{2}):(\d{2}):(\d{2})(?:\.(\d+))?([Zz]|[+-]\d{2}:\d{2})", re.ASCII
)
_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def parse_rfc3339(text: str) -> datetime:
    """Read RFC 3339 section 5.6 text into an aware datetime that keeps the offset as entered.

    Digits beyond the microsecond are cut, never rounded up, so that order is kept. Raises ValueError with a
    sentence for text of another form, for dates that do not exist, for a leap second (which no datetime holds)
    and for `-00:00`, which says that the place's own clock is not known.
    """
    match = _RFC3339.fullmatch(text)
    if match is None:
        raise ValueError("Give the instant with its offset, like 2026-05-04T09:12:00+02:00.")
    year, month, day, hour, minute, second = map(int, match.groups()[:6])
    if second == 60:
        raise ValueError("This is a leap second, which cannot be kept. Enter the second before it.")
    offset = match[8]
    if offset == "-00:00":
        raise ValueError("The offset -00:00 means that the local time is not known. Enter Z for UTC.")
    try:
        zone = UTC if offset in "Zz" else _zone(offset)
        micro = int((match[7] or "0").ljust(6, "0")[:6])
        return datetime(year, month, day, hour, minute, second, micro, tzinfo=zone)
    except ValueError:
        raise ValueError(f"{text} is not a day and time that exists.") from None


def _zone(offset: str) -> timezone:
    hours, minutes = int(offset[1:3]), int(offset[4:6])
    if hours > 23 or minutes > 59:
        raise ValueError("no such offset")
    sign = -1 if offset[0] == "-" else 1
    return timezone(sign * timedelta(hours=hours, minutes=minutes))


def read_instant(text: str) -> datetime:
    """Read an instant a person or program gave, within what a record of this kind can hold. ValueError says why not."""
    when = parse_rfc3339(text)
    if when.year < EARLIEST.year - 1 or when < EARLIEST:
        raise ValueError(f"{text} is before {EARLIEST.year}, when no record of this kind can begin. Look at the year.")
    if when.year > LATEST_YEAR:
        raise ValueError(f"{text} lies in the far future. Look at the year.")
    return when


def read_day(text: str) -> str:
    """Read a calendar day, like 2026-05-04. ValueError says why not."""
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
        raise ValueError("This is a day: give it like 2026-05-04.")
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"{text} is not a day that exists.") from None
    if not EARLIEST.year <= day.year <= LATEST_YEAR:
        raise ValueError(f"{text} is not a day this registry can hold. Look at the year.")
    return text


def write_rfc3339(when: datetime) -> str:
    """The text an entry keeps: the offset as entered, six digits of the second."""
    return when.isoformat(timespec="microseconds").replace("+00:00", "Z")


def stamp(when: datetime | str) -> str:
    """UTC text of fixed width, which sorts as time does."""
    if isinstance(when, str):
        when = parse_rfc3339(when)
    when = when.astimezone(UTC)
    # strftime drops the leading zeros of early years on some platforms; isoformat never does.
    return when.replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def offset_min(when: datetime | str) -> int:
    """Minutes east of UTC, as entered."""
    if isinstance(when, str):
        when = parse_rfc3339(when)
    return int(when.utcoffset().total_seconds() // 60)


def as_datetime(text: str, offset: int = 0) -> datetime:
    """The instant of a stamp, shown at an offset of `offset` minutes."""
    when = datetime.fromisoformat(text[:-1]).replace(tzinfo=UTC)
    return when.astimezone(timezone(timedelta(minutes=offset))) if offset else when


def later(text: str, **delta: float) -> str:
    """The stamp that lies `delta` (as for timedelta) after `text`."""
    return stamp(as_datetime(text) + timedelta(**delta))


def say_day(when: str | date) -> str:
    """`14 May 2026`, for a stamp or a day."""
    if isinstance(when, str):
        when = date.fromisoformat(when[:10])
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def say_short(text: str) -> str:
    """`14 May 2026` with the month in three letters, for columns."""
    day, month, year = say_day(text).split()
    return f"{day} {month[:3]} {year}"


def say_briefly(text: str | None, otherwise: str = "") -> str:
    """`14 May 2026, 18:05 UTC` with the month in three letters, for columns; `otherwise` where there is no stamp."""
    return f"{say_short(text)}, {text[11:16]} UTC" if text else otherwise


def say_offset(minutes: int) -> str:
    """`UTC`, `UTC+1:00` or `UTC−3:30`, for minutes east of UTC."""
    hours, rest = divmod(abs(minutes), 60)
    return f"UTC{'−' if minutes < 0 else '+'}{hours}:{rest:02d}" if minutes else "UTC"


def say(text: str) -> str:
    """`14 May 2026, 18:05 UTC`, for a stamp."""
    return f"{say_day(text)}, {text[11:16]} UTC"


def end_of_day(day: str) -> str:
    """Due dates end at 24:00 UTC whatever the ship's calendar says: the first stamp after the day."""
    return stamp(datetime.combine(date.fromisoformat(day) + timedelta(days=1), datetime.min.time(), UTC))
