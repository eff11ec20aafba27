"""Factory calibrations as their certificates state them: what a line of results must say, and when to ask for another."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import say_day
from registry.errors import Reason

#: A factory calibration is renewed on condition; after this long somebody should ask (common practice, no source).
PROMPT_YEARS = 5


@dataclass(frozen=True, slots=True)
class ResultGiven:
    """One line of a certificate: figures as text, None for what it does not say."""

    quantity: str
    as_found: str | None
    as_left: str | None
    expanded: str | None
    k: str | None


def reasons_of_results(lines: Iterable[ResultGiven], adjusted: bool) -> list[Reason]:
    """A line says something; an expanded uncertainty says its k; what was not adjusted has one figure."""
    reasons = []
    for number, line in enumerate(lines):
        place = f"results.{number}"
        if line.as_found is None and line.as_left is None:
            told = f"{line.quantity}: neither as found nor as left."
            reasons.append(Reason("missing_field", told, f"{place}.as_found", "Enter what the certificate gives."))
        if (line.expanded is None) != (line.k is None):
            told = f"{line.quantity}: an expanded uncertainty goes with its coverage factor k."
            do = "Enter both, or neither: “not stated” is a lawful answer."
            reasons.append(Reason("missing_field", told, f"{place}.{'k' if line.k is None else 'expanded'}", do))
        differs = None not in (line.as_found, line.as_left) and line.as_found != line.as_left
        if differs and not adjusted:
            told = f"{line.quantity}: as found {line.as_found}, as left {line.as_left}, and nothing was adjusted."
            reasons.append(Reason("wrong_form", told, f"{place}.as_left", "Say that it was adjusted, or look again."))
    return reasons


def reasons_of_day(calibrated_on: str, at: str, field: str) -> list[Reason]:
    """A certificate is entered on its day or later."""
    if calibrated_on <= at[:10]:
        return []
    told = f"It was calibrated on {say_day(calibrated_on)}; it cannot be entered for {say_day(at)}."
    return [Reason("overlaps_history", told, field, "Look at both days.")]


def say_uncertainty(expanded: str | None, k: str | None, unit: str) -> str:
    """`± 0.02 deg (k = 2)`, or that the certificate does not say."""
    return "uncertainty not stated" if expanded is None else f"± {expanded} {unit} (k = {k})"
