"""What verification says of a vehicle’s pairs: overdue and undecided need a named answer, what comes is told."""

from registry.domain.findings import Finding
from registry.domain.verifications import FOLLOWS, VERDICTS, Due
from registry.errors import Offer

#: State of a due date -> how grave it is, its code, and how it is said of a pair.
_STATES = {
    "failed": ("care", "verification_failed", "failed its verification"),
    "overdue": ("care", "verification_overdue", "is overdue for verification"),
    "soon": ("note", "verification_due", "is due for verification"),
}
_JUMPED = "Its number on a known mark jumped beyond its scatter. Scan both halves before anything else."


def findings_of_due(due: Due, pair: str, bay: str, bay_id: str, overdue_stops: bool) -> list[Finding]:
    """Verification of the pair in a bay. A fail holds its pair; once that is released, it is still no good result.

    `overdue_stops` says that overdue is no matter for a named answer: the site has it so, or a contract (`due.stops_by`).
    """
    found, place = [], f"Bay {bay}: {pair}"
    check = Offer("record_heading_check", "Enter a heading check", {"pair": due.pairing_id})
    if due.jumped:
        scan = Offer("record_sighting", f"Scan what is in bay {bay}", {"bay": bay_id})
        told = f"{place} never looked like this"
        found.append(Finding("care", "never_like_this", told, _JUMPED, due.last_seq, bay, scan))
    if due.state in _STATES:
        severity, code, words = _STATES[due.state]
        told = due.say()
        if due.state == "overdue" and (overdue_stops or due.stops_by):
            severity = "stops"
            told += f" It stops by {due.stops_by}." if due.stops_by else " It stops by the plan of the site."
        found.append(Finding(severity, code, f"{place} {words}", told, due.last_seq, bay, check))
    return found + _of_verdict(due, place, bay, check)


def _of_verdict(due: Due, place: str, letter: str, check: Offer) -> list[Finding]:
    """A last verification that decided nothing, and one that nobody has reviewed."""
    verdict = due.last_verdict
    if verdict in (None, "fail") or (due.reviewed and verdict in ("pass", "conditional_pass")):
        return []
    review = Offer("review_verification", "Review it", {"verification": due.last_id})
    if verdict == "pass":
        told = f"{place}: its verification awaits review"
        why = "A second person has not looked at it yet."
        return [Finding("note", "awaits_review", told, why, due.last_seq, letter, review)]
    offer = review if verdict == "conditional_pass" else check
    told = f"{place}: {VERDICTS[verdict]}"
    return [Finding("care", "verification_undecided", told, FOLLOWS[verdict], due.last_seq, letter, offer)]
