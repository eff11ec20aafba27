"""Meters: until when a calibration covers them, and what one found out of tolerance puts in doubt."""

from registry.domain.times import say_day
from registry.errors import Reason

AS_FOUND = {"within": "within tolerance", "outside": "out of tolerance", "not_stated": "not stated"}


def reasons_not_to_enter_calibration(calibrated_on: str, due_on: str, today: str) -> list[Reason]:
    """Why a calibration with these days cannot be entered."""
    reasons = []
    if calibrated_on > today:
        told = f"{say_day(calibrated_on)} has not come yet."
        reasons.append(Reason("in_the_future", told, "calibrated_on", "Enter the day on the certificate."))
    if due_on <= calibrated_on:
        told = "It cannot be due before it was calibrated."
        reasons.append(Reason("wrong_form", told, "due_on", "Look at the certificate again."))
    return reasons


def doubtful(name: str, as_found: str, signoffs: int, checks: int, since: str | None) -> list[str]:
    """What is told of a meter that was found out of tolerance: what it proved since it was last known good."""
    if as_found != "outside":
        return []
    after = f"since {say_day(since)}, when it was last calibrated" if since else "ever"
    counted = f"{signoffs} sign-off{'s' * (signoffs != 1)} and {checks} check{'s' * (checks != 1)} of stations"
    return [f"{name} was found out of tolerance: {counted} rest on it {after}. Its page lists them."]
