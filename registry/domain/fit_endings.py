"""What ends on a voyage besides verification: terms of contracts, loans, acceptances, and papers of border crossings.

All of it is told and stands against nothing: what a verification lacks stops or wants a named answer by its own rules; the
end of a term or of a loan is a day that somebody agreed on, and a paper is a reminder and never a rule.
"""

from collections.abc import Iterable

from registry.domain.acceptances import Acceptance
from registry.domain.crossings import REMINDER
from registry.domain.findings import Finding
from registry.domain.fit_facts import Ending, VehicleFacts
from registry.domain.times import end_of_day, say_day
from registry.errors import Offer

#: Codes of what is told here, for pages that list what falls due.
CODES = ("term_ends", "loan_ends", "acceptance_ends", "paper_ends")


def of_endings(facts: VehicleFacts) -> list[Finding]:
    """Terms, loans and papers that are in force now and whose last day is over before the voyage is."""
    told = [one for one in facts.endings if _ends_on_it(facts, one.on)]
    return [
        Finding(
            "note", one.code, f"{one.what} {one.ends} {_when(facts, one.on)}", one.told, one.seq, one.bay, one.offer
        )
        for one in sorted(told, key=lambda one: one.on)
    ]


def of_acceptances(facts: VehicleFacts, found: Iterable[Finding]) -> list[Finding]:
    """Acceptances in force now, of something that stands, that are over before the voyage is."""
    listed = list(found)
    return [
        _of_acceptance(facts, one)
        for one in facts.acceptances
        if one.since <= facts.at and _ends_on_it(facts, one.to_on) and any(one.is_about(it) for it in listed)
    ]


def _of_acceptance(facts: VehicleFacts, one: Acceptance) -> Finding:
    told = {
        "vehicle": facts.vehicle_id,
        "bay": one.bay,
        "finding": one.finding,
        "use": one.use,
        "evidence": one.evidence,
    }
    kept = {name: value for name, value in told.items() if value is not None}
    fact = f"The acceptance of “{one.fact}” ends on {_when(facts, one.to_on)}"
    why = "What still stands then wants a new one, and nobody aboard can give it."
    return Finding(
        "note", "acceptance_ends", fact, why, one.seq, one.bay, Offer("accept_finding", "Accept it by name", kept)
    )


def _ends_on_it(facts: VehicleFacts, day: str) -> bool:
    voyage = facts.voyage
    return voyage is not None and facts.at[:10] <= day and end_of_day(day) < voyage.until


def _when(facts: VehicleFacts, day: str) -> str:
    assert facts.voyage is not None
    before = end_of_day(day) <= facts.voyage.since
    return f"{say_day(day)}, {'before the voyage begins' if before else 'on the voyage'}"


def of_paper(what: str, kind: str, number: str | None, on: str, seq: int, crossing: str, bay: str | None) -> Ending:
    """A licence or carnet of a planned crossing that expires: a reminder, and nothing but a reminder."""
    offer = Offer("end_crossing", "Say what became of the crossing", {"crossing": crossing})
    name = f"The {kind} {number}" if number else f"The {kind}"
    return Ending("paper_ends", f"{name} of {what}", "expires on", on, REMINDER, seq, offer, bay)
