"""Steps and drift of a pair’s own number, with the day on which it meets its tolerance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from registry.domain.times import say_day
from registry.models.own_numbers import OwnNumber


@dataclass(frozen=True, slots=True)
class Drift:
    """The straight line through the numbers since the last adjustment, where it is shown or at least fitted."""

    since: date
    intercept: float
    slope_per_day: float
    shown: bool
    meets_on: date | None
    earliest_on: date | None
    limit: float | None
    told: str
    next: str
    method: str

    def value_on(self, day: date) -> float:
        return self.intercept + self.slope_per_day * (day - self.since).days


def drift_of(numbers: Sequence[OwnNumber]) -> tuple[Drift | None, str]:
    """The drift of the newest series, and what steps and trend say in words; an adjustment begins a new series."""
    if len(numbers) < 3:
        return None, "Fewer than three numbers: no statement about steps or drift."
    from registry.inertial.refusal import CannotCompute
    from registry.inertial.trends import read_history

    first = date.fromisoformat(numbers[0].at[:10])
    days = [(date.fromisoformat(one.at[:10]) - first).days for one in numbers]
    refits = tuple(place + 1 for place, one in enumerate(numbers) if one.adjusted and place + 1 < len(numbers))
    limits = dict(zip(("lower", "upper"), _limits(numbers[-1].tolerance), strict=True))
    try:
        read = read_history(days, [one.value for one in numbers], refits, unit="deg", **limits)
    except CannotCompute as cannot:
        return None, f"{cannot.sentence} {cannot.next}".strip()
    if read.trend is None:
        return None, read.verdict
    drift = _drift(read.trend, first, days[read.series_from])
    return drift, " ".join([*(step.verdict for _place, step in read.steps), drift.told])


def _limits(tolerance: float | None) -> tuple[float | None, float | None]:
    return (None, None) if tolerance is None else (-tolerance, tolerance)


def _drift(trend: Any, first: date, begins: int) -> Drift:
    meets = trend.meets
    met, earliest = (_day(first, meets.day), _day(first, meets.earliest)) if meets else (None, None)
    return Drift(
        since=first + timedelta(days=begins),
        intercept=trend.intercept + trend.slope_per_day * begins,
        slope_per_day=trend.slope_per_day,
        shown=trend.shown,
        meets_on=met,
        earliest_on=earliest,
        limit=meets.limit if meets else None,
        told=_in_days(trend, met, earliest),
        next=trend.next,
        method=trend.method,
    )


def _day(first: date, day: float) -> date | None:
    """A day of the fit as a date; None when it lies further off than anybody plans."""
    return first + timedelta(days=round(day)) if -36_500 < day < 36_500 else None


def _in_days(trend: Any, met: date | None, earliest: date | None) -> str:
    """The trend in words, with dates where the fit counts days."""
    rate = f"{trend.slope_per_year:+.3f} ± {trend.half_width_per_year:.3f}° a year"
    if not trend.shown:
        return f"No drift is shown over {trend.n} numbers ({rate}, {trend.coverage:.0%})."
    if met is None:
        return f"It drifts by {rate} ({trend.coverage:.0%}); no limit lies on its way."
    soon = f", {say_day(earliest)} at the earliest" if earliest else ""
    return f"It drifts by {rate} ({trend.coverage:.0%}) and meets {trend.meets.limit:+g}° on {say_day(met)}{soon}."
