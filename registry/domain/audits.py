"""Physical configuration audits: what is built is held against what is documented, hardware first.

Words as ISO 10007 and EIA-649 use them: a *physical* configuration audit compares the item as built with the documents
that describe it; a *functional* one holds tested performance against what was asked, and is no part of this. Here the
documents are the record of pairs, stays and places.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from registry.domain.freshness import say_mission_days
from registry.domain.times import say
from registry.errors import Reason

SCOPES = {
    "fleet": "the fleet: every bay of every vehicle",
    "site": "a site: its vehicles’ bays and what lies on its shelves",
    "vehicle": "a vehicle: every bay of it",
}
#: What a line says. `expected` stands for a line nobody has answered: the hardware was not read yet.
VERDICTS = {
    "sighted": "sighted, as recorded",
    "missing": "missing",
    "elsewhere": "recorded elsewhere",
    "stranger": "not in the registry",
    "halves_apart": "halves apart",
    "not_opened": "not opened",
    "explained": "explained",
}
EXPECTED = "expected, not read yet"
#: What may be said of a line without reading its hardware.
ANSWERS = {
    "not_opened": "not opened, because …",
    "missing": "looked for, and not there",
    "explained": "a stranger, explained",
}
#: What may be said of a half that was not scanned in a bay: only the first tells a difference.
UNREAD = {
    "not_there": "it is not there",
    "not_read": "it was not read: not opened that far, or its label cannot be read",
}
WHAT_IT_IS = (
    "Physical configuration audit: labels were read from the hardware first, and held against the record afterwards."
    " How the units perform is no part of it."
)
#: How many lines a refusal names.
NAMED = 6


@dataclass(frozen=True, slots=True)
class OpenLine:
    """A line that has no answer yet, by the words for its place. `stranger` waits for an explanation, not a reading."""

    place: str
    stranger: bool = False


def verdict_of_bay(expected: Collection[str], found: Collection[str], whole: bool, strangers: int) -> str:
    """What the hardware of a bay says against the record. `whole` is whether what was found is one pair.

    What nobody knows comes first, then halves that do not belong together: either can steer a vehicle wrong.
    """
    if strangers:
        return "stranger"
    if set(expected) == set(found):
        return "sighted"
    if not found:
        return "missing"
    another = len(found) == 1 and not set(found) & set(expected)
    return "elsewhere" if whole or another else "halves_apart"


def say_outside(place: str, reference: str) -> str:
    """That a place is not looked at by an audit."""
    return f"{place} is no line of audit {reference}."


def reasons_half_unread(scanned: Collection[str], unread: Mapping[str, str | None]) -> list[Reason]:
    """That a half was not scanned is no proof that it is not there: of each kind that was not, somebody says which it is."""
    reasons = []
    for kind, told in unread.items():
        if kind not in scanned and told is None:
            do = "Scan it; or say that it is not there, or that it was not read."
            asked = f"No {kind} half was scanned: nobody knows from that whether it is there."
            reasons.append(Reason("wrong_form", asked, f"{kind}_unread", do))
        elif kind in scanned and told is not None:
            both = f"The {kind} half was scanned, and it is said besides that {UNREAD[told].split(':')[0]}."
            reasons.append(Reason("wrong_form", both, f"{kind}_unread", "Say one of the two."))
    return reasons


@dataclass(frozen=True, slots=True)
class Told:
    """A discrepancy that an earlier look at a line opened and nobody has settled yet."""

    id: str
    words: str
    noted_at: str


def looked_again(
    ends: Iterable[dict[str, Any]], earlier: Iterable[Told], at: str, complete: bool
) -> tuple[list[dict[str, Any]], list[str], list[str]]:
    """What a further look at a line makes of the earlier one: the ends that are new, the ids of those that both looks
    show, and of those that this one no longer shows. A look that could not read everything closes nothing."""
    ends, earlier = list(ends), list(earlier)
    shown = {end["words"] for end in ends}
    new = [end for end in ends if end["words"] not in {one.words for one in earlier}]
    stand = [one.id for one in earlier if one.words in shown]
    gone = [one.id for one in earlier if one.words not in shown and one.noted_at < at] if complete else []
    return new, stand, gone


def reasons_not_running(opened_at: str, closed_at: str | None, at: str) -> list[Reason]:
    """Whether an audit was open at the instant."""
    if closed_at is not None:
        told = f"That audit was closed at {say(closed_at)}; its certificate stands."
        return [Reason("not_open", told, "audit", "Open another.")]
    if at < opened_at:
        told = f"That audit was opened at {say(opened_at)}; nothing can be sighted in it before."
        return [Reason("overlaps_history", told, "happened_at", "Look at the day and time.")]
    return []


def reasons_of_fitter(by: str, fitter: str | None, pair: str, place: str, installed_at: str) -> list[Reason]:
    """The auditor is not the fitter: who put a pair in does not prove that it is there."""
    if fitter is None or by != fitter:
        return []
    told = f"You fitted {pair} in {place} at {say(installed_at)}: who fitted it does not sight it in an audit."
    return [Reason("own_fitting", told, "bay", "Let somebody else scan this bay.")]


def reasons_not_to_close(lines: Collection[OpenLine]) -> list[Reason]:
    """Every line must be answered: sighted, or said why not."""
    reasons = []
    unread = [line.place for line in lines if not line.stranger]
    if unread:
        one = len(unread) == 1
        told = f"{len(unread):,} {'line has' if one else 'lines have'} no answer: {_some(unread)}."
        do = "Sight each, or say of each why it was not opened."
        reasons.append(Reason("lines_open", told, "audit", do))
    if odd := [line.place for line in lines if line.stranger]:
        told = f"Nobody has said what {_some(odd)} {'is' if len(odd) == 1 else 'are'}."
        reasons.append(Reason("lines_open", told, "audit", "Answer each stranger with what it is and where it goes."))
    return reasons


def say_not_settled(ends: int) -> str:
    """How many discrepancies go on when an audit is closed; nothing where none does."""
    if not ends:
        return ""
    return f"{ends} {'discrepancy' if ends == 1 else 'discrepancies'} of it {'is' if ends == 1 else 'are'} not settled."


def _some(places: list[str]) -> str:
    more = len(places) - NAMED
    return ", ".join(places[:NAMED]) + (f" and {more:,} more" if more > 0 else "")


def counts_of(verdicts: Iterable[str | None]) -> dict[str, int]:
    """How many lines say what, in the order of `VERDICTS`; lines without an answer under `expected`."""
    listed = list(verdicts)
    counted = {name: listed.count(name) for name in VERDICTS}
    counted["expected"] = sum(1 for one in listed if one is None)
    return {name: count for name, count in counted.items() if count}


@dataclass(frozen=True, slots=True)
class Unconfirmed:
    """A pair in a housing that nobody has opened in this audit: how many mission days rest on its last scan, and how many
    days ago that was."""

    housing_id: str
    vehicle: str
    housing: str
    site: str
    bay: str
    mission_days: int
    days: int


@dataclass(frozen=True, slots=True)
class HullToOpen:
    """One opening, what it would confirm: how many bays, and the mission days of all of them. `days` is how long ago the
    bay was scanned that waits longest."""

    housing_id: str
    vehicle: str
    housing: str
    site: str
    bays: tuple[str, ...]
    mission_days: int
    days: int

    def told(self) -> str:
        """`One opening confirms 23 mission days, in bays A, B`"""
        return f"One opening confirms {say_mission_days(self.mission_days)}, in {'bay' if len(self.bays) == 1 else 'bays'} {', '.join(self.bays)}"

    def waited(self) -> str:
        """`not scanned for 40 days`"""
        return (
            f"not scanned for {self.days:,} {'day' if self.days == 1 else 'days'}"
            if self.days
            else "scanned within the last day"
        )


def hulls_to_open(pairs: Iterable[Unconfirmed]) -> list[HullToOpen]:
    """Housings by the mission days that one opening confirms, most first; of two alike the one not scanned for longer."""
    by: dict[str, list[Unconfirmed]] = {}
    for pair in pairs:
        by.setdefault(pair.housing_id, []).append(pair)
    found = [
        HullToOpen(
            id_, listed[0].vehicle, listed[0].housing, listed[0].site, tuple(one.bay for one in listed),
            sum(one.mission_days for one in listed), max(one.days for one in listed),
        )
        for id_, listed in by.items()
    ]  # fmt: skip
    return sorted(found, key=lambda hull: (-hull.mission_days, -hull.days, hull.vehicle, hull.housing))
