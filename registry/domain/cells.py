"""Cells of a spreadsheet as the registry reads them: days, instants, figures, choices; each "no" a sentence."""

import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from registry.domain.texts import quoted
from registry.domain.times import UTC, read_day, read_instant, say_day, write_rfc3339

_PARTED = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})(?:[ T]+(\d{1,2}):(\d{2})(?::(\d{2}))?)?", re.ASCII)
_ISO = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[ T]+(\d{1,2}):(\d{2})(?::(\d{2}))?)?", re.ASCII)
#: Spreadsheets count days from 30 December 1899 (ECMA-376 part 1, 18.17.4.1, the 1900 system after its February).
_DAY_0 = date(1899, 12, 30)
_SERIALS = (20_000, 80_000)
YES, NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0")


class Unread(ValueError):
    """A cell that cannot be read; the sentence says why and what to write."""


def as_text(value: Any) -> str:
    """A cell as text: a whole number without its point, nothing as an empty text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes") if value.time() != value.min.time() else str(value.date())
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f").removesuffix(".0")
    return str(value).strip()


def as_instant(value: Any, order: str) -> str:
    """RFC 3339 text in UTC. A day alone is its beginning; a time without an offset is UTC."""
    if isinstance(value, datetime):
        return write_rfc3339(value.replace(tzinfo=UTC))
    text = as_text(value)
    if not isinstance(value, int | float) and re.fullmatch(r".*(Z|[+-]\d\d:\d\d)", text, re.ASCII) and ":" in text:
        try:
            return write_rfc3339(read_instant(text))
        except ValueError as problem:
            raise Unread(str(problem)) from None
    day, clock = _parted(value, order)
    try:
        return write_rfc3339(datetime(*(int(part) for part in day.split("-")), *clock, tzinfo=UTC))  # type: ignore[arg-type]
    except ValueError:
        raise Unread(f"{quoted(text)} is not a day and time that exists.") from None


def as_day(value: Any, order: str) -> str:
    """A calendar day, like 2026-05-04."""
    day, clock = _parted(value, order)
    if any(clock):
        raise Unread(f"{quoted(as_text(value))} is a day with a time. Leave the time out.")
    return day


def _parted(value: Any, order: str) -> tuple[str, tuple[int, int, int]]:
    if isinstance(value, datetime):
        return _held(value.date().isoformat()), (value.hour, value.minute, value.second)
    text = as_text(value)
    if re.fullmatch(r"\d{5}(\.\d+)?", text, re.ASCII):
        return _serial(text)
    if found := _ISO.fullmatch(text):
        return _held(found[1]), _clock(found.groups()[1:])
    if found := _PARTED.fullmatch(text):
        return _held(_ordered(text, found, order)), _clock(found.groups()[3:])
    raise Unread(f"{quoted(text)} is not a day. Write it like 2026-05-04.")


def _serial(text: str) -> Any:
    days = int(text.split(".")[0])
    told = f"{text} is how a spreadsheet counts days"
    if _SERIALS[0] <= days <= _SERIALS[1]:
        told += f" ({say_day(_DAY_0 + timedelta(days=days))}, if it counts from 1900)"
    raise Unread(f"{told}. Format the column as dates, or write 2026-05-04.")


def _ordered(text: str, found: re.Match[str], order: str) -> str:
    first, second, year = int(found[1]), int(found[2]), found[3]
    if (first > 12 and order == "month") or (second > 12 and order == "day"):
        raise Unread(f"{quoted(text)} does not fit the order you said ({order} first). Look at the column.")
    if not order and first <= 12 and second <= 12 and first != second:
        raise Unread(f"{quoted(text)} may be read two ways. Say which comes first, day or month, or write 2026-05-04.")
    day, month = (second, first) if order == "month" or (not order and second > 12) else (first, second)
    return f"{year}-{month:02d}-{day:02d}"


def _held(day: str) -> str:
    try:
        return read_day(day)
    except ValueError as problem:
        raise Unread(str(problem)) from None


def _clock(parts: tuple[str | None, ...]) -> tuple[int, int, int]:
    hour, minute, second = (int(part or 0) for part in parts)
    return hour, minute, second


def as_figure(value: Any) -> str:
    """A decimal as text; that it is one, the act's own field says. A comma is its point, unless it may part thousands."""
    text = as_text(value)
    if not re.fullmatch(r"-?\d+,\d+", text, re.ASCII):
        return text
    whole, part = text.split(",")
    if len(part) == 3 and whole.strip("-0"):
        raise Unread(
            f"{quoted(text)} may be {whole}.{part} or {whole}{part}. Write it with a point, or without a comma."
        )
    return f"{whole}.{part}"


def as_choice(value: Any, choices: Mapping[str, str]) -> str:
    """The key whose name or words the cell holds, or the one that its words begin with."""
    text = " ".join(as_text(value).casefold().replace("_", " ").replace("-", " ").split())
    spelt = {key: {key.replace("_", " "), words.casefold().replace("-", " ")} for key, words in choices.items()}
    exact = [key for key, words in spelt.items() if text in words]
    near = exact or [key for key, words in spelt.items() if text and any(word.startswith(text) for word in words)]
    if len(near) != 1:
        told = ", ".join(key.replace("_", " ") for key in choices)
        raise Unread(f"{quoted(as_text(value))} is none of these: {told}.")
    return near[0]


def as_flag(value: Any) -> bool:
    text = as_text(value).casefold()
    if text in YES or text in NO:
        return text in YES
    raise Unread(f"{quoted(text)} is neither yes nor no.")


def as_list(value: Any) -> list[str]:
    return [part.strip() for part in re.split(r"[;,]", as_text(value)) if part.strip()]
