"""What stands against deploying a vehicle at an instant: findings, worst first, each with the act that clears it.

Pure functions over facts that held at that instant. `stops` must be cleared; `care` needs a named person's answer;
`note` is told and stands against nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from registry.domain.alignments import Alignment, finding_of_alignment
from registry.domain.axis_checks import AxisCheck, finding_of_check
from registry.domain.findings import Finding
from registry.domain.fit_due import findings_of_due
from registry.domain.fleet import LEAK_TESTED
from registry.domain.mounting_checks import MountingCheck, finding_of_mounting
from registry.domain.openings import RECHECKS
from registry.domain.times import say, say_day
from registry.domain.verifications import Due
from registry.errors import Offer

SEVERITIES = ("stops", "care", "note")
VERDICTS = {
    "stops": "Must not deploy",
    "care": "May deploy with a named acceptance",
    "note": "Nothing on record stands against it",
}


@dataclass(frozen=True, slots=True)
class HeldThing:
    """An open hold as it concerns a vehicle: on the vehicle, one of its bays, a pair or a half in it."""

    hold_id: str
    on: str
    cause: str
    reason: str
    placed_at: str
    seq: int
    bay: str | None = None


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """An open discrepancy or recheck: its id, what it says, since when; `half` says that it is about one half."""

    id: str
    words: str
    since: str
    seq: int
    bay: str | None = None
    half: bool = False


@dataclass(frozen=True, slots=True)
class BayFacts:
    """What a bay held at the instant. `pair` is None when it was empty."""

    bay_id: str
    letter: str
    pair: str | None
    installed_at: str | None = None
    lifted_at: str | None = None
    seat_follows: bool = False
    type_accepted: bool = True
    type_name: str = ""
    seq: int | None = None
    due: Due | None = None
    overdue_stops: bool = False
    axis_check: AxisCheck | None = None
    mounting_check: MountingCheck | None = None
    alignment: Alignment | None = None
    dowels: bool = False


@dataclass(frozen=True, slots=True)
class HousingFacts:
    """What a housing was at the instant: its last opening (by whatever act), closing and leak test, each with its entry:
    of two in one minute the later entry came later."""

    housing_id: str
    name: str
    closing_method: str
    opened_at: str | None = None
    closed_at: str | None = None
    tested_at: str | None = None
    opened_seq: int = 0
    closed_seq: int = 0
    tested_seq: int = 0
    test_verdict: str | None = None
    test_told: str = ""

    @property
    def is_open(self) -> bool:
        return self.opened_at is not None and (self.opened_at, self.opened_seq) > (
            self.closed_at or "",
            self.closed_seq,
        )

    @property
    def is_tested(self) -> bool:
        """Whether the last leak test came after the last closing."""
        return self.tested_at is not None and (self.tested_at, self.tested_seq) > (
            self.closed_at or "",
            self.closed_seq,
        )


@dataclass(frozen=True, slots=True)
class VehicleFacts:
    """Everything the findings of one vehicle are worked out from."""

    vehicle_id: str
    name: str
    bays: tuple[BayFacts, ...] = ()
    housings: tuple[HousingFacts, ...] = ()
    holds: tuple[HeldThing, ...] = ()
    discrepancies: tuple[OpenEnd, ...] = ()
    rechecks: tuple[OpenEnd, ...] = ()
    retired_at: str | None = None
    site: str | None = None
    findings: tuple[Finding, ...] = field(default=())


def findings(facts: VehicleFacts) -> list[Finding]:
    """Every finding, worst first, bays in order from the bow."""
    if facts.retired_at:
        return [
            Finding(
                "stops",
                "retired",
                f"Retired on {say_day(facts.retired_at)}",
                "It will not sail again; its history stays.",
            )
        ]
    found = [
        *_of_differences(facts.discrepancies),
        *_of_holds(facts.holds),
        *_of_bays(facts),
        *_of_dues(facts.bays),
        *_of_alignments(facts.bays),
        *_of_housings(facts.housings),
        *_of_rechecks(facts.rechecks),
    ]
    if not facts.bays:
        found.append(
            Finding(
                "stops",
                "no_bay",
                "No bay is entered",
                "Without a bay nothing can be installed.",
                offer=Offer("add_bay", "Add a bay", {}),
            )
        )
    return sorted(found, key=lambda f: SEVERITIES.index(f.severity))


def verdict(found: Iterable[Finding]) -> str:
    """The gravest severity among the findings; `note` when there is none."""
    return min((f.severity for f in found), key=SEVERITIES.index, default="note")


def _of_differences(ends: Iterable[OpenEnd]) -> list[Finding]:
    return [
        Finding("stops", "discrepancy", _sentence(end, "a half is not where it is recorded" if end.half else "something else was sighted than is recorded"),
                f"{end.words} Since {say(end.since)}.", end.seq, end.bay, Offer("settle_discrepancy", "Settle it", {"discrepancy": end.id}))
        for end in ends
    ]  # fmt: skip


def _of_holds(holds: Iterable[HeldThing]) -> list[Finding]:
    return [
        Finding("stops", "on_hold", f"{hold.on[0].upper()}{hold.on[1:]} is on hold since {say_day(hold.placed_at)}", hold.reason, hold.seq, hold.bay,
                Offer("release_hold", "Release it, with evidence", {"hold": hold.hold_id}))
        for hold in holds
    ]  # fmt: skip


def _of_bays(facts: VehicleFacts) -> list[Finding]:
    found = []
    for bay in facts.bays:
        if bay.pair is None and bay.seat_follows:
            told = f"Taken out {say(bay.lifted_at or '')}; nothing has been seated since."
            found.append(
                Finding(
                    "stops",
                    "none_seated",
                    f"Bay {bay.letter}: lifted, none seated",
                    told,
                    bay.seq,
                    bay.letter,
                    Offer("install_pair", f"Install in bay {bay.letter}", {"bay": bay.bay_id}),
                )
            )
        elif bay.pair is None:
            told = f"Empty since {say(bay.lifted_at)}." if bay.lifted_at else "No pair has ever been installed."
            found.append(
                Finding(
                    "stops",
                    "empty_bay",
                    f"Bay {bay.letter} is empty",
                    told,
                    bay.seq,
                    bay.letter,
                    Offer("install_pair", f"Install in bay {bay.letter}", {"bay": bay.bay_id}),
                )
            )
        elif not bay.type_accepted:
            found.append(
                Finding(
                    "care",
                    "type_not_accepted",
                    f"Bay {bay.letter} does not accept {bay.type_name}",
                    f"{bay.pair} sits in it since {say(bay.installed_at or '')}.",
                    bay.seq,
                    bay.letter,
                    Offer("accept_type", "Accept the type", {"bay": bay.bay_id}),
                )
            )
    return found


def _of_dues(bays: Iterable[BayFacts]) -> list[Finding]:
    """What verification says of the pairs that are in."""
    found: list[Finding] = []
    for bay in bays:
        if bay.pair is not None and bay.due is not None:
            found += findings_of_due(bay.due, bay.pair, bay.letter, bay.bay_id, bay.overdue_stops)
    return found


def _of_alignments(bays: Iterable[BayFacts]) -> list[Finding]:
    """What the checks and the alignment of each stay say; all end with the stay."""
    found: list[Finding | None] = []
    for bay in bays:
        if bay.pair is not None:
            found.append(finding_of_check(bay.axis_check, bay.letter, bay.bay_id, bay.pair, bay.installed_at or ""))
            found.append(finding_of_mounting(bay.mounting_check, bay.letter, bay.bay_id))
            found.append(finding_of_alignment(bay.alignment, bay.letter, bay.bay_id, bay.dowels))
    return [finding for finding in found if finding]


def _of_housings(housings: Iterable[HousingFacts]) -> list[Finding]:
    found = []
    for housing in housings:
        key = {"housing": housing.housing_id}
        name = f"{housing.name[0].upper()}{housing.name[1:]} housing"
        if housing.is_open and housing.closing_method != "none":
            found.append(
                Finding(
                    "stops",
                    "housing_open",
                    f"{name} is open",
                    f"Opened {say(housing.opened_at or '')}; no closing is on record.",
                    offer=Offer("close_housing", "Close it", key),
                )
            )
        elif housing.closing_method in LEAK_TESTED and housing.opened_at:
            found += _of_leak_test(housing, name, key)
    return found


def _of_leak_test(housing: HousingFacts, name: str, key: dict[str, str]) -> list[Finding]:
    offer = Offer("record_leak_test", "Enter a leak test", key)
    if not housing.is_tested:
        told = f"Closed {say(housing.closed_at or '')}; a test before the last opening does not count."
        return [Finding("stops", "leak_test_missing", f"{name}: no leak test since it was opened", told, offer=offer)]
    if housing.test_verdict != "holds":
        word = "does not hold" if housing.test_verdict == "does_not" else "could not be judged"
        return [Finding("stops", "leak_test_failed", f"{name}: the leak test {word}", housing.test_told, offer=offer)]
    return [Finding("note", "leak_test_holds", f"{name}: leak test holds", housing.test_told)]


def _of_rechecks(ends: Iterable[OpenEnd]) -> list[Finding]:
    return [
        Finding("stops", "recheck", _sentence(end, f"asked after a knock: {RECHECKS[end.words]}"), f"Asked {say(end.since)}.", end.seq, end.bay,
                Offer("answer_recheck", "Answer it", {"recheck": end.id}))
        for end in ends
    ]  # fmt: skip


def _sentence(end: OpenEnd, words: str) -> str:
    return f"Bay {end.bay}: {words}" if end.bay else f"{words[0].upper()}{words[1:]}"
