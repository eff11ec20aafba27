"""What stands against deploying a vehicle at an instant: findings, worst first, each with the act that clears it.

Pure functions over facts that held at that instant. `stops` must be cleared; `care` is cleared, or accepted by a named
person; `note` is told and stands against nothing. Each rule takes the facts of one vehicle and says what it has to say; a
feature with something to say about deploying writes its rule in a module of its own and names it in `RULES`.
"""

from collections.abc import Callable, Iterable

from registry.domain.acceptances import answered
from registry.domain.findings import Finding
from registry.domain.fit_bays import of_alignments, of_bays, of_no_bay, of_second_checks, of_settings
from registry.domain.fit_due import of_dues
from registry.domain.fit_endings import of_acceptances, of_endings
from registry.domain.fit_facts import VehicleFacts
from registry.domain.fit_housings import of_housings
from registry.domain.fit_open import of_differences, of_holds, of_rechecks
from registry.domain.fit_places import of_doubts, of_loans
from registry.domain.times import say_day

SEVERITIES = ("stops", "care", "note")
#: What is said of a vehicle, gravest first. `accepted`: all that is `care` was accepted by name for the time asked about.
VERDICTS = {
    "stops": "Must not deploy",
    "care": "May deploy with a named acceptance",
    "accepted": "May deploy, accepted by name",
    "note": "Nothing on record stands against it",
}
#: Every rule, in the order in which findings of one severity are told.
RULES: tuple[Callable[[VehicleFacts], Iterable[Finding]], ...] = (
    of_differences,
    of_holds,
    of_no_bay,
    of_bays,
    of_doubts,
    of_dues,
    of_alignments,
    of_settings,
    of_second_checks,
    of_housings,
    of_rechecks,
    of_loans,
    of_endings,
)


def findings(facts: VehicleFacts) -> list[Finding]:
    """Every finding, worst first, bays in order from the bow, with what was accepted of it."""
    if facts.retired_at:
        fact = f"Retired on {say_day(facts.retired_at)}"
        return [Finding("stops", "retired", fact, "It will not sail again; its history stays.", facts.retired_seq)]
    said = [one for rule in RULES for one in rule(facts)]
    found = sorted([*said, *of_acceptances(facts, said)], key=lambda one: SEVERITIES.index(one.severity))
    return [answered(one, facts.acceptances, facts.vehicle_id, facts.at, facts.voyage) for one in found]


def verdict(found: Iterable[Finding]) -> str:
    """The gravest of the findings, one of VERDICTS; `note` when there is none."""
    graves = ("accepted" if one.severity == "care" and one.accepted else one.severity for one in found)
    return min(graves, key=list(VERDICTS).index, default="note")
