"""Calibration intervals: propose a longer or shorter one, and say when hours, days or a control chart end it.

Methods named by ILAC-G24 / OIML D 10; the step sizes are ours. The tool proposes, a named person approves a longer one.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from registry.inertial.inputs import Numbers, number, series
from registry.inertial.methods import method
from registry.inertial.refusal import CannotCompute


class Step(StrEnum):
    EXTEND = "extend"
    HOLD = "hold"
    REDUCE = "reduce"


@dataclass(frozen=True, slots=True)
class StaircaseRules:
    """Steps of the staircase (ours; G24 gives none): within 80 % lengthen by a quarter, outside halve."""

    extend_fraction: float = 0.8
    extend_factor: float = 1.25
    reduce_factor: float = 0.5
    least_days: int = 30
    most_days: int = 730


@dataclass(frozen=True, slots=True)
class IntervalProposal:
    """What to do with an interval, in whole days. `look_back` says that earlier use has to be assessed."""

    step: Step
    old_days: int
    new_days: int
    look_back: bool
    needs_approval: bool
    verdict: str
    next: str
    method: str
    rules: StaircaseRules


def staircase(
    interval_days: int, permitted_error: float, as_found_error: float | None, rules: StaircaseRules = StaircaseRules()
) -> IntervalProposal:
    """Next interval from one as-found error; without an as-found reading it is never lengthened.

    Raises CannotCompute for an interval or a permitted error that is not over zero.
    """
    days = int(number(interval_days, "The interval in days", least=1))
    permitted = number(permitted_error, "The tolerance", above=0)
    if as_found_error is None:
        step, so = Step.HOLD, "There is no as-found reading, so nothing is known about the time before."
    else:
        share = abs(number(as_found_error, "The as-found deviation")) / permitted
        step = (
            Step.EXTEND
            if share <= rules.extend_fraction * (1 + 1e-12)
            else Step.HOLD
            if share <= 1 + 1e-12
            else Step.REDUCE
        )
        so = f"Found at {share:.0%} of the tolerance."
    factor = {Step.EXTEND: rules.extend_factor, Step.HOLD: 1.0, Step.REDUCE: rules.reduce_factor}[step]
    new = max(rules.least_days, min(rules.most_days, math.floor(days * factor + 1e-9)))
    return IntervalProposal(
        step=step,
        old_days=days,
        new_days=new,
        look_back=step is Step.REDUCE,
        needs_approval=new > days,
        verdict=f"{so} {days} days, as now." if new == days else f"{so} From {days} to {new} days.",
        next={
            Step.EXTEND: "A named person approves the longer interval.",
            Step.HOLD: "Keep the interval.",
            Step.REDUCE: "Use the shorter interval, and assess what it was used for since the last good result.",
        }[step],
        method=method("interval"),
        rules=rules,
    )


@dataclass(frozen=True, slots=True)
class ControlChart:
    """Mean ± 3 s of check readings, in their own unit, and which new readings lie within."""

    mean: float
    s: float
    upper: float
    lower: float
    new_in_control: tuple[bool, ...]
    verdict: str
    next: str
    method: str


def control_chart(readings: Numbers, new_readings: Numbers = (), width: float = 3.0) -> ControlChart:
    """Control limits from n >= 5 readings and a look at new ones (common practice)."""
    x = series(readings, "The check readings", least=5)
    mean, s = float(x.mean()), float(x.std(ddof=1))
    upper, lower = mean + width * s, mean - width * s
    new = tuple(bool(lower <= float(value) <= upper) for value in series(new_readings, "The new readings", least=0))
    out = new.count(False)
    return ControlChart(
        mean,
        s,
        upper,
        lower,
        new,
        f"Limits {lower:.4g} to {upper:.4g}; {out} of {len(new)} new readings lie outside.",
        "Withdraw it, and calibrate in full." if out else "Go on.",
        method("interval"),
    )


@dataclass(frozen=True, slots=True)
class InUse:
    """Hours run and days passed against their limits, whichever comes first."""

    due: bool
    by: str | None
    hours_left: float
    hours_per_day: float | None
    days_left_by_hours: float | None
    days_left_by_calendar: float
    next_limit: str
    verdict: str
    next: str
    method: str


def in_use_limit(hours: float, days: float, *, most_hours: float = 2000, most_days: float = 730) -> InUse:
    """Due at so many powered hours or days, whichever first; days left by hours go by the use so far."""
    run, passed = number(hours, "The hours run", least=0), number(days, "The days passed", least=0)
    hours_left, days_left = most_hours - run, most_days - passed
    rate = run / passed if passed else None
    by_hours = hours_left / rate if rate else None
    by = "hours" if hours_left <= 0 else "days" if days_left <= 0 else None
    first = by or ("hours" if by_hours is not None and by_hours < days_left else "days")
    soonest = by_hours if first == "hours" and by_hours is not None else days_left
    return InUse(
        due=by is not None,
        by=by,
        hours_left=hours_left,
        hours_per_day=rate,
        days_left_by_hours=by_hours,
        days_left_by_calendar=days_left,
        next_limit=first,
        verdict=f"Due by {by}." if by else f"{soonest:.0f} days left, by {first}.",
        next="Calibrate before the next use." if by else "Plan the calibration.",
        method=method("interval"),
    )


@dataclass(frozen=True, slots=True)
class InService:
    """What an in-service check changes: a failed one withdraws the unit, a passed one never moves the due date."""

    usable: bool
    due_moved: bool
    verdict: str
    next: str
    method: str


def in_service_check(check: str, days_to_due: float) -> InService:
    """`check` is pass or fail; `days_to_due` under zero is overdue. Raises CannotCompute for any other word."""
    if check not in ("pass", "fail"):
        raise CannotCompute(f"“{check}” is no result of a check.", "Enter pass or fail.")
    if check == "fail":
        verdict, then = (
            "The check failed: the unit is withdrawn.",
            ("full calibration, then look-back from last good result"),
        )
    elif days_to_due < 0:
        verdict, then = "overdue", "Calibrate; a passed check does not replace it."
    else:
        verdict, then = f"The check passed; {days_to_due:g} days are left.", "The due date stays where it is."
    return InService(check == "pass" and days_to_due >= 0, False, verdict, then, method("interval"))
