"""What became of a removal: the fault was found in a half, was elsewhere, or nobody could find one."""

from registry.domain.times import say
from registry.errors import Reason

OUTCOMES = {
    "no_fault_found": "no fault found",
    "fault_found": "fault found",
    "fault_elsewhere": "the fault was elsewhere: cable, settings, vehicle",
    "no_fault_looked_for": "nothing was suspected of it",
}
FAULT_IN = {
    "sensor": "in the sensor half",
    "electronics": "in the electronics half",
    "both": "in both halves",
    "neither": "in neither half",
}


def reasons_not_to_state(pair: str, removed_at: str, outcome: str, fault_in: str, at: str) -> list[Reason]:
    """Why this cannot be the outcome of that removal."""
    reasons = []
    if at <= removed_at:
        told = f"{pair} came out at {say(removed_at)}; what became of it cannot be known before."
        reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
    if (outcome == "fault_found") == (fault_in == "neither"):
        told = "A fault that was found is in a half." if outcome == "fault_found" else "No half had the fault."
        reasons.append(Reason("wrong_form", told, "fault_in", "Say in which half, or choose another outcome."))
    return reasons


def say_outcome(outcome: str, fault_in: str) -> str:
    """`Fault found, in the sensor half` or `No fault found`."""
    words = OUTCOMES[outcome][0].upper() + OUTCOMES[outcome][1:]
    return f"{words}, {FAULT_IN[fault_in]}" if fault_in != "neither" else words
