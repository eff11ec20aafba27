"""Due days as a calendar feed (RFC 5545): all-day entries, no alarms, and the same bytes for the same record and day."""

from collections.abc import Callable, Iterable
from datetime import date

from registry.domain.calendars import DueDay
from registry.domain.times import as_datetime

MEDIA_TYPE = "text/calendar"
_PRODUCT = "-//Pairbook//due days//EN"


def as_feed(days: Iterable[DueDay], log: str, outfit: str, changed_at: str, page_of: Callable[..., str] | None = None) -> bytes:  # fmt: skip
    """The feed. `log` is the name of the log, `changed_at` when the record last changed, `page_of` gives a page’s
    address from its kind and key."""
    from icalendar import Calendar, Event

    feed = Calendar()
    feed.add("prodid", _PRODUCT)
    feed.add("version", "2.0")
    feed.add("calscale", "GREGORIAN")
    feed.add("x-wr-calname", f"Due days, {outfit}" if outfit else "Due days")
    for day in days:
        entry = Event()
        entry.add("uid", day.uid(log))
        entry.add("dtstamp", as_datetime(changed_at).replace(microsecond=0))
        entry.add("dtstart", date.fromisoformat(day.on))
        entry.add("dtend", date.fromisoformat(day.until))
        entry.add("summary", day.title)
        entry.add("description", day.words)
        if page_of:
            entry.add("url", page_of(*day.page))
        entry.add("categories", [day.kind])
        entry.add("transp", "TRANSPARENT")
        feed.add_component(entry)
    return feed.to_ical()
