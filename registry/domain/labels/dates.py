"""Dates and weeks as labels write them. A two-digit year means the year within 1977 to 2076."""

import re
from calendar import monthrange
from datetime import date

#: The sliding window of the GS1 General Specifications 7.12 (51 years back, 50 ahead of the year of reading),
#: held at 2026: the same label must read the same on every day, and no unit described here is older.
_FIRST_YEAR = 1977

_DIGITS = re.compile(r"[0-9]+", re.ASCII)


def full_year(two_digits: str) -> int:
    year = 1900 + int(two_digits)
    return year if year >= _FIRST_YEAR else year + 100


def read_date(text: str, form: str) -> date | None:
    """The day in `text`, whose `form` is the order of its parts (`YYMMDD`, `YYYYMMDD` or `DDMMYYYY`), else None.

    In the form `YYMM00`, which GS1 writes, day 00 means the last day of the month.
    """
    wanted = len("YYMMDD") if form == "YYMM00" else len(form)
    if len(text) != wanted or not _DIGITS.fullmatch(text):
        return None
    if form == "DDMMYYYY":
        text = text[4:] + text[2:4] + text[:2]
    year = full_year(text[:2]) if wanted == 6 else int(text[:4])
    month, day = int(text[-4:-2]), int(text[-2:])
    if not (1 <= month <= 12 and year):
        return None
    last = monthrange(year, month)[1]
    if day == 0 and form == "YYMM00":
        day = last
    return date(year, month, day) if 1 <= day <= last else None


def week_exists(text: str, digits_of_year: int) -> bool:
    """Whether `text` is a year of so many digits and a week from 01 to 53."""
    well_formed = len(text) == digits_of_year + 2 and _DIGITS.fullmatch(text)
    return bool(well_formed) and 1 <= int(text[-2:]) <= 53
