"""What the housings of a vehicle say: open, closed, and whether the leak test came after the last opening."""

from dataclasses import replace

from registry.domain.closing_sheets import findings_of_closing
from registry.domain.findings import Finding
from registry.domain.fit_facts import HousingFacts, VehicleFacts
from registry.domain.fleet import LEAK_TESTED
from registry.domain.times import say
from registry.errors import Offer


def of_housings(facts: VehicleFacts) -> list[Finding]:
    found = []
    for housing in facts.housings:
        key = {"housing": housing.housing_id}
        name = f"{housing.name[0].upper()}{housing.name[1:]} housing"
        if housing.is_open and housing.closing_method != "none":
            found.append(
                Finding(
                    "stops",
                    "housing_open",
                    f"{name} is open",
                    f"Opened {say(housing.opened_at or '')}; no closing is on record.",
                    housing.opened_seq,
                    offer=Offer("close_housing", "Close it", key),
                )
            )
        elif housing.closing_method in LEAK_TESTED and housing.opened_at:
            found += _of_leak_test(housing, name, key)
            said = findings_of_closing(housing.closing, name, housing.housing_id)
            found += [replace(one, seq=one.seq or housing.closed_seq) for one in said]
    return found


def _of_leak_test(housing: HousingFacts, name: str, key: dict[str, str]) -> list[Finding]:
    offer = Offer("record_leak_test", "Enter a leak test", key)
    if not housing.is_tested:
        told = f"Closed {say(housing.closed_at or '')}; a test before the last opening does not count."
        return [
            Finding(
                "stops",
                "leak_test_missing",
                f"{name}: no leak test since it was opened",
                told,
                housing.closed_seq,
                offer=offer,
            )
        ]
    if housing.test_verdict != "holds":
        word = "does not hold" if housing.test_verdict == "does_not" else "could not be judged"
        return [
            Finding(
                "stops",
                "leak_test_failed",
                f"{name}: the leak test {word}",
                housing.test_told,
                housing.tested_seq,
                offer=offer,
            )
        ]
    return [Finding("note", "leak_test_holds", f"{name}: leak test holds", housing.test_told, housing.tested_seq)]
