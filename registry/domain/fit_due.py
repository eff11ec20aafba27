"""What verification says of a vehicle’s pairs: overdue and undecided need a named answer, what comes is told."""

from registry.domain.findings import Finding
from registry.domain.fit_facts import VehicleFacts
from registry.domain.times import end_of_day, say_day
from registry.domain.verifications import FOLLOWS, VERDICTS, Due
from registry.domain.voyages import Voyage
from registry.errors import Offer

#: State of a due date -> how grave it is, its code, and how it is said of a pair.
_STATES = {
    "failed": ("care", "verification_failed", "failed its verification"),
    "overdue": ("care", "verification_overdue", "is overdue for verification"),
    "soon": ("note", "verification_due", "is due for verification"),
}
_JUMPED = "Its number on a known mark jumped beyond its scatter. Scan both halves before anything else."


def of_dues(facts: VehicleFacts) -> list[Finding]:
    """What verification says of the pairs that are in, now and on the voyage asked about."""
    found: list[Finding] = []
    for bay in facts.bays:
        if bay.pair is not None and bay.due is not None:
            of_pair = findings_of_due(bay.due, bay.pair, bay.letter, bay.bay_id, bay.overdue_stops)
            on_voyage = of_voyage(bay.due, bay.pair, bay.letter, bay.overdue_stops, facts.voyage)
            # What falls due on the voyage is told once, by the graver of the two.
            told = [one for one in of_pair if not (on_voyage and one.code == "verification_due")]
            found += [*told, *on_voyage]
    return found


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
            whose = "the same contract" if due.stops_by == due.held_by else due.stops_by
            told += f" It stops by {whose if due.stops_by else 'the plan of the site'}."
        found.append(Finding(severity, code, f"{place} {words}", told, due.evidence, bay, check))
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


def of_voyage(due: Due, pair: str, bay: str, overdue_stops: bool, voyage: Voyage | None) -> list[Finding]:
    """What a voyage adds: a due date before its end, and hours that may run out.

    A pair that is in date today is overdue from the end of its last day on: where overdue stops a vehicle it stops it
    at sea, too. Hours cannot be foretold, so they are told and need no answer.
    """
    if voyage is None or due.state in ("failed", "overdue"):
        return []
    place, found = f"Bay {bay}: {pair}", []
    check = Offer("record_heading_check", "Enter a heading check", {"pair": due.pairing_id})
    if end_of_day(due.due_on) < voyage.until:
        when = "before the voyage begins" if end_of_day(due.due_on) <= voyage.since else "on the voyage"
        told = f"{due.say()} The voyage ends on {say_day(voyage.last_on)}."
        severity = "stops" if overdue_stops else "care"
        fact = f"{place} falls due for verification {when}"
        found.append(Finding(severity, "verification_due_on_voyage", fact, told, due.evidence, bay, check))
    if due.hours_left is not None and float(due.hours_left) < voyage.hours:
        told = (
            f"{float(due.hours_left):g} h may still be run before it is verified; the voyage lasts {voyage.hours:g} h."
        )
        found.append(
            Finding("note", "hours_may_run_out", f"{place}: its hours may run out", told, due.evidence, bay, check)
        )
    return found
