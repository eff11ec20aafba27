"""What lies open on a vehicle: holds, discrepancies, and what a knock asked to be looked at again. Each stops it."""

from registry.domain.findings import Finding
from registry.domain.fit_facts import OpenEnd, VehicleFacts
from registry.domain.openings import RECHECKS
from registry.domain.times import say, say_day
from registry.errors import Offer


def of_differences(facts: VehicleFacts) -> list[Finding]:
    return [
        Finding("stops", "discrepancy", _sentence(end, "a half is not where it is recorded" if end.half else "something else was sighted than is recorded"),
                f"{end.words} Since {say(end.since)}.", end.seq, end.bay, Offer("settle_discrepancy", "Settle it", {"discrepancy": end.id}))
        for end in facts.discrepancies
    ]  # fmt: skip


def of_holds(facts: VehicleFacts) -> list[Finding]:
    return [
        Finding("stops", "on_hold", f"{hold.on[0].upper()}{hold.on[1:]} is on hold since {say_day(hold.placed_at)}", hold.reason, hold.seq, hold.bay,
                Offer("release_hold", "Release it, with evidence", {"hold": hold.hold_id}))
        for hold in facts.holds
    ]  # fmt: skip


def of_rechecks(facts: VehicleFacts) -> list[Finding]:
    return [
        Finding("stops", "recheck", _sentence(end, f"asked after a knock: {RECHECKS[end.words]}"), f"Asked {say(end.since)}.", end.seq, end.bay,
                Offer("answer_recheck", "Answer it", {"recheck": end.id}))
        for end in facts.rechecks
    ]  # fmt: skip


def _sentence(end: OpenEnd, words: str) -> str:
    return f"Bay {end.bay}: {words}" if end.bay else f"{words[0].upper()}{words[1:]}"
