"""Found out of tolerance: which earlier uses need an assessment. Nothing is called bad here, only listed.

The window opens at the last result known good for the same pair in the same state and closes when it left use
(ISO 10012, ISO 9001 7.1.5.2: the user works out what earlier results are harmed; the windows are ours).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from registry.inertial.inputs import Numbers, number, series
from registry.inertial.methods import method
from registry.inertial.refusal import CannotCompute


@dataclass(frozen=True, slots=True)
class Use:
    """One use of the item: a mission, an alignment, a sign-off. `ends_on` None is a use of one day."""

    name: str
    starts_on: date
    ends_on: date | None = None
    vehicle: str | None = None


@dataclass(frozen=True, slots=True)
class Fitting:
    """The item was fitted to this vehicle from `starts_on` until `ends_on` (None: still)."""

    vehicle: str
    starts_on: date
    ends_on: date | None = None


@dataclass(frozen=True, slots=True)
class LookBack:
    """Uses that need assessment, in the order given. `since` is None when no earlier good result is on file."""

    needs_assessment: tuple[str, ...]
    since: date | None
    until: date
    verdict: str
    next: str
    method: str


def uses_to_assess(
    uses: Iterable[Use], last_good_on: date | None, found_on: date, fittings: Iterable[Fitting] | None = None
) -> LookBack:
    """Every use that overlaps the window, both end days counted; with `fittings`, only on vehicles that held the item.

    Without a last good result the window has no start: every use since receipt. Raises CannotCompute when the good
    result is later than the finding.
    """
    if last_good_on is not None and last_good_on > found_on:
        raise CannotCompute("The last good result is later than the finding.", "Enter the days again.")
    places = None if fittings is None else list(fittings)
    found = []
    for use in uses:
        first, last = use.starts_on, use.ends_on or use.starts_on
        if first > found_on or (last_good_on is not None and last < last_good_on):
            continue
        if places is not None and not any(_held(place, use.vehicle, first, last) for place in places):
            continue
        found.append(use.name)
    window = "every use since receipt" if last_good_on is None else f"from {last_good_on} to {found_on}"
    return LookBack(
        needs_assessment=tuple(found),
        since=last_good_on,
        until=found_on,
        verdict=f"{len(found)} uses need assessment: {window}.",
        next="A named person writes for each: not affected, usable with a stated uncertainty, or withdrawn.",
        method=method("look-back"),
    )


def _held(place: Fitting, vehicle: str | None, first: date, last: date) -> bool:
    return place.vehicle == vehicle and place.starts_on <= last and (place.ends_on is None or first <= place.ends_on)


@dataclass(frozen=True, slots=True)
class DriftGuess:
    """Errors on earlier days if the drift was even: for ranking only, since a step could lie on any day."""

    days: tuple[float, ...]
    expected_error: tuple[float, ...]
    day_crossed: float | None
    verdict: str
    next: str
    method: str


def even_drift(as_left: float, as_found: float, span_days: float, days: Numbers, limit: float) -> DriftGuess:
    """Straight line from as-left (day 0) to as-found, and the day it crossed ±`limit` (None when it did not)."""
    span = number(span_days, "The days between the two results", above=0)
    slope = (number(as_found, "As found") - number(as_left, "As left")) / span
    crossed = None
    if slope and abs(as_found) > number(limit, "The limit", above=0):
        crossed = max(0.0, (math.copysign(limit, as_found) - as_left) / slope)
    asked = series(days, "The days", least=0)
    return DriftGuess(
        tuple(map(float, asked)),
        tuple(float(as_left + slope * day) for day in asked),
        crossed,
        "An even drift did not cross the limit."
        if crossed is None
        else f"An even drift crossed it on day {crossed:.0f}.",
        "Rank the list by this; take nothing off it.",
        method("look-back"),
    )


def cross_track_m(heading_error_deg: float, distance_m: float) -> float:
    """What a heading error did to a position after a distance: d sin(error)."""
    return number(distance_m, "The distance", least=0) * math.sin(math.radians(number(heading_error_deg, "The angle")))
