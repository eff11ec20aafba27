"""What stands against deploying a vehicle at an instant: findings, worst first, each with the act that clears it.

Pure functions over facts that held at that instant. `stops` must be cleared; `care` needs a named person's answer;
`note` is told and stands against nothing. Each rule takes the facts of one vehicle and says what it has to say; a
feature with something to say about deploying writes its rule in a module of its own and names it in `RULES`.
"""

from collections.abc import Callable, Iterable

from registry.domain.findings import Finding
from registry.domain.fit_bays import of_alignments, of_bays, of_no_bay
from registry.domain.fit_due import of_dues
from registry.domain.fit_facts import VehicleFacts
from registry.domain.fit_housings import of_housings
from registry.domain.fit_open import of_differences, of_holds, of_rechecks
from registry.domain.times import say_day

SEVERITIES = ("stops", "care", "note")
VERDICTS = {
    "stops": "Must not deploy",
    "care": "May deploy with a named acceptance",
    "note": "Nothing on record stands against it",
}
#: Every rule, in the order in which findings of one severity are told.
RULES: tuple[Callable[[VehicleFacts], Iterable[Finding]], ...] = (
    of_differences,
    of_holds,
    of_no_bay,
    of_bays,
    of_dues,
    of_alignments,
    of_housings,
    of_rechecks,
)


def findings(facts: VehicleFacts) -> list[Finding]:
    """Every finding, worst first, bays in order from the bow."""
    if facts.retired_at:
        fact = f"Retired on {say_day(facts.retired_at)}"
        return [Finding("stops", "retired", fact, "It will not sail again; its history stays.")]
    return sorted((one for rule in RULES for one in rule(facts)), key=lambda one: SEVERITIES.index(one.severity))


def verdict(found: Iterable[Finding]) -> str:
    """The gravest severity among the findings; `note` when there is none."""
    return min((f.severity for f in found), key=SEVERITIES.index, default="note")
