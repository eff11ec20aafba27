"""Amending instants: what the record would be with the new times, and every reason why it cannot be."""

from collections.abc import Iterable, Sequence

from registry.domain.installs import Stay
from registry.domain.matches import Pairing
from registry.domain.times import NEVER
from registry.errors import Reason

INSTANTS = {"installed": "put in", "removed": "taken out", "moved": "moved"}


def overlaps(one: Stay, other: Stay) -> bool:
    """Whether two stays share a bay or a half for any time."""
    shared = (
        one.bay_id == other.bay_id or one.sensor_id == other.sensor_id or one.electronics_id == other.electronics_id
    )
    return shared and one.installed_at < (other.removed_at or NEVER) and other.installed_at < (one.removed_at or NEVER)


def reasons_not_to_restate(again: Sequence[Stay], others: Iterable[Stay], pairings: dict[str, Pairing]) -> list[Reason]:
    """Why these stays, with their new instants, cannot stand beside the others and within their pairings."""
    reasons = []
    for number, stay in enumerate(again):
        if (stay.removed_at or NEVER) <= stay.installed_at:
            reasons.append(
                _told(f"{stay.pair} would have come out of {stay.bay} before it went in.", "Amend both acts together.")
            )
        pairing = pairings.get(stay.pairing_id)
        if pairing and not pairing.holds(stay.installed_at, stay.removed_at):
            reasons.append(
                _told(
                    f"{stay.say()}: the pair {pairing.name} did not hold for all of that time.",
                    "Look at the statement’s day.",
                )
            )
        reasons += [
            _told(
                f"{stay.say()} would overlap {other.say()}.",
                "Name both acts in one amendment to move the boundary they share.",
            )
            for other in [*others, *again[number + 1 :]]
            if overlaps(stay, other)
        ]
    return reasons


def _told(message: str, do: str) -> Reason:
    return Reason("overlaps_history", message, "changes", do)
