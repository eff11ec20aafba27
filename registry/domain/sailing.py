"""What stands against a vehicle as it is to sail: told, and never in the way of the record, which is of what happened. Who
enters a start as it happens, although something stops the vehicle, says why it sails all the same."""

from collections.abc import Iterable

from registry.domain.findings import Finding
from registry.domain.times import later
from registry.domain.voyages import Voyage
from registry.errors import Reason

#: A start told within so many minutes is told as it happens: whoever tells it can still keep the vehicle back (common
#: practice, no source). Of one that is told later nobody is asked to find words.
AS_IT_HAPPENS_MIN = 60


def voyage_left(since: str, until: str | None) -> Voyage | None:
    """The planned days from `since` on; None when none are left or none were planned."""
    return Voyage(since, until) if until and since < until else None


def against(found: Iterable[Finding]) -> list[Finding]:
    """What stands against sailing, stops first: neither a note nor what a named person accepted."""
    mine = [one for one in found if one.severity in ("stops", "care") and not one.accepted]
    return sorted(mine, key=lambda one: one.severity != "stops")


def say_against(found: Iterable[Finding]) -> list[str]:
    return [f"{one.severity.capitalize()}: {one.fact}. {one.told}".strip() for one in against(found)]


def reasons_to_say_why(found: Iterable[Finding], words: str | None, at: str, now: str) -> list[Reason]:
    """Words are asked for when something stops a vehicle whose start is told as it happens."""
    stops = [one.fact for one in found if one.severity == "stops"]
    if not stops or words or at < later(now, minutes=-AS_IT_HAPPENS_MIN):
        return []
    told = f"{'This stops it' if len(stops) == 1 else 'These stop it'}: {'; '.join(stops)}."
    return [
        Reason("needs_reason", told, "all_the_same", "Clear it first, or say in your words why it sails all the same.")
    ]
