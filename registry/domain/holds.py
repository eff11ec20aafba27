"""Holds: who may release one, and what a hold stands against."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import say_day
from registry.errors import Reason

CAUSES = {
    "placed": "placed by hand",
    "out_of_order": "done out of order",
    "dropped": "dropped",
    "knocked": "knocked",
    "wet": "wet",
    "suspect": "suspect",
    "failed_signoff": "ESD sign-off failed with the unit exposed",
    "failed_leak_test": "leak test failed",
    "failed_verification": "verification failed",
}
SUBJECTS = {"half_id": "half", "pairing_id": "pair", "vehicle_id": "vehicle", "bay_id": "bay"}


@dataclass(frozen=True, slots=True)
class Hold:
    """An open hold. `on` names what it lies on ("pair QH-0388")."""

    id: str
    on: str
    cause: str
    reason: str
    placed_at: str
    placed_by: str
    done_by: str
    seq: int = 0


def reasons_on_hold(holds: Iterable[Hold], field: str) -> list[Reason]:
    """Every open hold stands against putting anything in."""
    return [
        Reason(
            "on_hold",
            f"{hold.on[0].upper()}{hold.on[1:]} is on hold since {say_day(hold.placed_at)}: {hold.reason}",
            field,
            "Ask a release authority to look at the evidence and release it.",
        )
        for hold in holds
    ]


def reasons_not_to_release(hold: Hold, by: str, at: str) -> list[Reason]:
    """A hold is released by an authority who neither placed it nor did the work."""
    reasons = []
    if by == hold.placed_by:
        reasons.append(
            Reason(
                "own_work",
                "You placed this hold; another authority releases it.",
                "hold",
                "Ask another release authority.",
            )
        )
    elif by == hold.done_by:
        reasons.append(
            Reason(
                "own_work",
                "You did the work this hold is about; another authority releases it.",
                "hold",
                "Ask another release authority.",
            )
        )
    if at <= hold.placed_at:
        reasons.append(
            Reason(
                "overlaps_history",
                f"The hold was placed on {say_day(hold.placed_at)}; it cannot be released before.",
                "happened_at",
                "Look at the day and time.",
            )
        )
    return reasons
