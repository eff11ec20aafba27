"""Calendar arithmetic for due dates: whole months, clamped to the end of the month."""

import calendar
from datetime import date


def months_later(day: str, months: int) -> str:
    """The day `months` calendar months after `day`: 31 January and one month is 28 or 29 February.

    A due date counts through its own day (project convention; ISO/IEC 17025:2017 6.4.13 e asks that a due date or
    interval be on record and leaves the arithmetic open).
    """
    start = date.fromisoformat(day)
    index = start.year * 12 + start.month - 1 + months
    year, month = divmod(index, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(start.day, last)).isoformat()
