"""Due dates: calendar months that keep to the end of the month, valid through the due day itself."""

import calendar
from dataclasses import dataclass
from datetime import date, timedelta

from registry.inertial.methods import method
from registry.inertial.refusal import CannotCompute


def due_after_months(calibrated_on: date, months: int) -> date:
    """The same day so many months on, or the last day of that month when there is no such day."""
    if months < 1:
        raise CannotCompute("An interval is one month or more.")
    years, month = divmod(calibrated_on.month - 1 + int(months), 12)
    year, month = calibrated_on.year + years, month + 1
    return date(year, month, min(calibrated_on.day, calendar.monthrange(year, month)[1]))


def due_after_days(calibrated_on: date, days: int) -> date:
    """So many days on; the day of calibration is day 0."""
    if days < 1:
        raise CannotCompute("An interval is one day or more.")
    return calibrated_on + timedelta(days=int(days))


def in_date(due_on: date, on: date) -> bool:
    """Valid through the due day."""
    return on <= due_on


@dataclass(frozen=True, slots=True)
class VoyageDates:
    """Whether a due date covers a voyage: it must be in date to the end."""

    in_date_at_start: bool
    in_date_throughout: bool
    days_short: int
    verdict: str
    next: str
    method: str


def covers_voyage(due_on: date, starts_on: date, ends_on: date) -> VoyageDates:
    """Raises CannotCompute when the voyage ends before it starts."""
    if ends_on < starts_on:
        raise CannotCompute("The voyage ends before it starts.", "Enter its days again.")
    short = max(0, (ends_on - due_on).days)
    return VoyageDates(
        in_date_at_start=in_date(due_on, starts_on),
        in_date_throughout=in_date(due_on, ends_on),
        days_short=short,
        verdict=f"In date to the end of the voyage; due {due_on}."
        if not short
        else f"Due {due_on}, {short} {'day' if short == 1 else 'days'} before the voyage ends.",
        next="Nothing to do." if not short else "Calibrate before sailing, or take another pair.",
        method=method("due-date"),
    )


def pair_due(sensor_due_on: date, electronics_due_on: date) -> date:
    """A pair is due when its earlier half is."""
    return min(sensor_due_on, electronics_due_on)
