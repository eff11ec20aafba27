"""Named acceptance of what is `care`: of one finding, resting on one entry, for a voyage or until a day; never of `stops`."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from registry.domain.findings import Acceptance, Finding
from registry.domain.times import end_of_day, say, say_day
from registry.domain.voyages import Voyage
from registry.errors import Offer, Reason

#: How an acceptance stands that answers a finding for the time asked about.
HOLDS = "Holds."


def answered(
    found: Finding, acceptances: Iterable[Acceptance], vehicle_id: str, at: str, voyage: Voyage | None
) -> Finding:
    """A finding with what was accepted of it; what may still be accepted gets the act that does so.

    An acceptance that is over, or is for another time than the one asked about, is told and counts for nothing.
    """
    if found.severity != "care":
        return found
    mine = sorted((one for one in acceptances if one.is_about(found)), key=lambda one: one.seq, reverse=True)
    if held := next((one for one in mine if one.holds(at, voyage)), None):
        return replace(found, accepted=held, acceptance_told=held.say())
    return replace(
        found, acceptance_told=_lapsed(mine[0], at) if mine else "", answer=_offer(found, vehicle_id, voyage)
    )


def _lapsed(one: Acceptance, at: str) -> str:
    why = "That is over." if one.until <= at else "That is not the time asked about."
    return f"Accepted by {one.who} {one.say_period()}. {why}"


def _offer(found: Finding, vehicle_id: str, voyage: Voyage | None) -> Offer | None:
    """The act that accepts a finding, filled in. A finding that rests on no entry has nothing to be accepted."""
    if found.seq is None:
        return None
    told = {"vehicle": vehicle_id, "bay": found.bay, "finding": found.code, "use": found.use, "evidence": found.seq}
    if voyage:
        told |= {"from_on": voyage.since[:10], "to_on": voyage.last_on}
    return Offer(
        "accept_finding", "Accept it by name", {name: value for name, value in told.items() if value is not None}
    )


def how_it_stands(one: Acceptance, found: Iterable[Finding], at: str, voyage: Voyage | None) -> str:
    """What became of an acceptance: it ends by itself when its time is over or another entry lies under the finding."""
    mine = next((each for each in found if one.is_about(each)), None)
    if mine and mine.accepted == one:
        return HOLDS
    if one.until <= at:
        return "Over: what it was about still stands." if mine else "Over."
    if mine is None:
        return "Ended by itself: what it rested on was cleared or has changed."
    return "Another one holds." if mine.accepted else "It is not for the time asked about."


@dataclass(frozen=True, slots=True)
class Accepting:
    """What an acceptance is decided on: the vehicle's name and its findings of that code and bay; who is behind the entry
    it rests on."""

    vehicle: str
    named: tuple[Finding, ...]
    evidence: int
    worked: frozenset[str]


def reasons_not_to_accept(facts: Accepting, by: str) -> list[Reason]:
    """What stops is cleared, never accepted; what is told needs no answer; nobody accepts their own work."""
    found = next((one for one in facts.named if one.seq == facts.evidence), None)
    if found is None:
        return [_nothing_to_accept(facts)]
    reasons = []
    if found.severity == "stops":
        told = f"{found.fact}: that stops {facts.vehicle}. What stops is cleared; nobody may accept it."
        reasons.append(Reason("never_accepted", told, "finding", "Do the act that clears it.", found.offer))
    elif found.severity == "note":
        told = f"{found.fact}: that is only told. It needs nobody’s acceptance."
        reasons.append(Reason("already_so", told, "finding", "There is nothing to accept."))
    elif found.accepted:
        told = f"{found.fact}: {found.acceptance_told[0].lower()}{found.acceptance_told[1:]}"
        reasons.append(Reason("already_so", told, "finding", "There is nothing more to accept."))
    if by in facts.worked:
        told = f"You did or entered the work under it (entry {facts.evidence:,}); another person accepts it."
        reasons.append(
            Reason("own_work", told, "evidence", "Ask a release authority or a fleet manager who had no part in it.")
        )
    return reasons


def _nothing_to_accept(facts: Accepting) -> Reason:
    do = "Look at the vehicle’s page again and accept what stands there."
    if facts.named:
        rests = " and ".join(f"entry {one.seq:,}" for one in facts.named if one.seq)
        told = f"{facts.named[0].fact}: that rests on {rests} now, not on entry {facts.evidence:,}."
        return Reason("stale", told, "evidence", do)
    return Reason("no_such_finding", f"Nothing of that kind stands against {facts.vehicle} there.", "finding", do)


def reasons_not_in_time(at: str, to_on: str) -> list[Reason]:
    """It may not be over before it begins."""
    if end_of_day(to_on) > at:
        return []
    told = f"It would be over on {say_day(to_on)}, before it is given."
    return [Reason("overlaps_history", told, "to_on", "Look at the days.")]


def reasons_not_to_withdraw(accepted_at: str, withdrawn_at: str | None, at: str) -> list[Reason]:
    """Once, and after it was given."""
    if withdrawn_at:
        told = f"It was withdrawn on {say(withdrawn_at)}."
        return [Reason("already_so", told, "acceptance", "There is nothing to withdraw.")]
    if at > accepted_at:
        return []
    told = f"It was given on {say(accepted_at)}; it cannot be withdrawn before."
    return [Reason("overlaps_history", told, "happened_at", "Look at the day and time.")]
