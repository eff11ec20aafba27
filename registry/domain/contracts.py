"""Contracts a vehicle works under: what each demands of verification, from day to day. Whichever is stricter holds."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import say_day
from registry.errors import Reason


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a contract in force: `stops` says that an overdue verification stops the vehicle, `months` how long a
    verification holds under it; None demands nothing."""

    reference: str
    from_on: str
    until_on: str | None
    stops: bool
    months: int | None

    def say(self) -> str:
        """`contract CH-12 since 1 May 2026`"""
        return f"contract {self.reference} since {say_day(self.from_on)}"

    def demands(self) -> str:
        """What it demands, in words."""
        told = ["an overdue verification stops the vehicle"] if self.stops else []
        if self.months:
            told.append(f"a verification holds {self.months} {'month' if self.months == 1 else 'months'}")
        return "; ".join(told)


def strictest(terms: Iterable[Term]) -> tuple[Term | None, Term | None]:
    """Of terms in force, the one that makes overdue stop, and the one with the shortest interval; None where there is none.
    Of several alike, the one that began first."""
    listed = sorted(terms, key=lambda term: (term.from_on, term.reference))
    stops = next((term for term in listed if term.stops), None)
    timed = [term for term in listed if term.months]
    return stops, min(timed, key=lambda term: term.months or 0) if timed else None


def reasons_of_term(from_on: str, until_on: str | None, stops: bool, months: int | None) -> list[Reason]:
    """A term ends no earlier than it begins, and demands something."""
    reasons = []
    if until_on and until_on < from_on:
        told = f"It would end on {say_day(until_on)}, before it begins on {say_day(from_on)}."
        reasons.append(Reason("wrong_form", told, "until_on", "Look at both days."))
    if not stops and months is None:
        told = "This term demands nothing: neither that overdue stops, nor a shorter interval."
        reasons.append(Reason("wrong_form", told, "overdue_stops", "Say what the contract demands of verification."))
    return reasons
