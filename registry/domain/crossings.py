"""Border crossings: a reminder, and nothing but a reminder.

The classification is what somebody stated; it is never worked out from figures. Nothing here is a rule: no movement asks
it, no verdict reads it.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import say_day

NOT_STATED = "not stated"
REMINDER = "Reminder only. Ask your export officer."
OUTCOMES = {"crossed": "crossed", "dropped": "will not cross"}


@dataclass(frozen=True, slots=True)
class Reference:
    """A paper that goes along: `kind` in words, its number, its last day."""

    kind: str
    number: str | None
    expires_on: str | None


def is_stated(classification: str | None) -> bool:
    return bool(classification) and (classification or "").strip().casefold() != NOT_STATED


def flags(
    classification: str, open_: bool, crosses_on: str, returns_on: str | None, references: Iterable[Reference]
) -> list[str]:
    """What to be reminded of, in words; each of it is for a person to judge."""
    found = [] if is_stated(classification) else ["Its classification is not stated."]
    if open_:
        found.append(f"A border crossing is planned on {say_day(crosses_on)}.")
    back = returns_on or crosses_on
    for one in references:
        if one.expires_on and one.expires_on < back:
            when = f"the return on {say_day(back)}" if returns_on else f"the crossing on {say_day(back)}"
            found.append(
                f"The {one.kind} {one.number or 'reference'} expires on {say_day(one.expires_on)}, before {when}."
            )
    return found
