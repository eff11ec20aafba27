"""What puts in doubt where a vehicle’s pairs are: sightings elsewhere, and loans."""

from registry.domain.findings import Finding
from registry.domain.fit_facts import VehicleFacts
from registry.domain.freshness import findings_of_doubts


def of_doubts(facts: VehicleFacts) -> list[Finding]:
    """What was seen elsewhere, or lent, since a pair was scanned in its bay."""
    found: list[Finding] = []
    for bay in facts.bays:
        if bay.pair is not None:
            found += findings_of_doubts(
                bay.doubts, bay.letter, bay.bay_id, bay.pair, bay.proved_at, bay.installed_at or ""
            )
    return found


def of_loans(facts: VehicleFacts) -> list[Finding]:
    """The loan the vehicle is on."""
    return list(facts.loans)
