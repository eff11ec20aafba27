"""Impacts: what something found bad was used for, how the lines are ranked, and what an answer needs.

The window opens at the last result known good and closes when the thing left use (ISO 10012 and ISO 9001, 7.1.5.2: the
user works out what earlier results are harmed). Every line in it is listed and none is called bad; an even drift helps to
rank them and takes none off, since a step could lie on any day.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from registry.domain.times import say_day
from registry.errors import Offer, Reason

SUBJECTS = {
    "pairing_id": "pair", "half_id": "half", "verification_id": "verification", "calibration_id": "calibration",
    "meter_id": "meter", "person_id": "person",
}  # fmt: skip
KINDS = {
    "mission": "mission",
    "alignment": "alignment",
    "calibration": "factory calibration",
    "verification": "verification",
    "esd_signoff": "ESD sign-off",
    "station_check": "check of a station",
}
ANSWERS = {
    "not_affected": "not affected",
    "usable": "affected, usable with a stated uncertainty",
    "withdrawn": "affected, withdrawn",
}
#: Kinds whose cost follows from the heading: in metres for a mission, in metres per kilometre for an alignment.
PRICED = ("mission", "alignment")
KINSHIPS = {
    "delivery": "came in the same delivery",
    "certificate": "certified in the same batch",
    "firmware": "runs the same firmware",
    "station": "handled at the same station",
    "tester": "handled under the same strap tester",
    "knock": "took the same knock",
    "voyage": "on the same mission",
}
#: Handled within so many days of one another at a station, or under a tester, counts as the same batch (common practice,
#: no source: a fault of a bench is found within a week or shows in everything).
BATCH_DAYS = 7


@dataclass(frozen=True, slots=True)
class Use:
    """One use that rests on what was found: kind and id of it, the words for it, and its days."""

    kind: str
    id: str
    told: str
    starts_on: str
    ends_on: str | None = None

    @property
    def key(self) -> tuple[str, str]:
        return self.kind, self.id


@dataclass(frozen=True, slots=True)
class Window:
    """`since_on` None: since receipt. `good_deg` is the pair’s own number at the last good result, if it had one."""

    since_on: str | None
    until_on: str
    told: str
    good_deg: str | None = None


def say_window(since_on: str | None, what_good: str, until_on: str, how_closed: str) -> str:
    """`From 3 May 2026, its last good result (heading check), to 9 May 2026, when it was found.`"""
    opened = f"From {say_day(since_on)}, {what_good}," if since_on else f"Since receipt, {what_good},"
    return f"{opened} to {say_day(until_on)}, {how_closed}."


def differ(listed: Iterable[tuple[str, str]], now: Iterable[Use]) -> tuple[list[Use], list[tuple[str, str]]]:
    """(uses that history as it stands now adds, lines it drops)."""
    before, uses = set(listed), list(now)
    keys = {use.key for use in uses}
    return [use for use in uses if use.key not in before], sorted(before - keys)


def rank(harm_m: float | None, kind: str, distance_known: bool) -> tuple[int, float]:
    """Missions whose distance nobody told first, then by metres, the most first; what has no metres last."""
    if kind == "mission" and not distance_known:
        return (0, 0.0)
    return (1, -harm_m) if harm_m is not None else (2, float(list(KINDS).index(kind)))


def reasons_unanswered(impact_id: str, on: str, unanswered: int, added: int, dropped: int) -> list[Reason]:
    """Why a hold stays: lines without an answer, or a list that history as amended no longer gives."""
    look = Offer("answer_impact", "Look at the list", {"impact": impact_id})
    reasons = []
    if unanswered:
        waits = "line has" if unanswered == 1 else "lines have"
        told = f"What {on} was used for is not answered: {unanswered} {waits} no answer yet."
        reasons.append(
            Reason("impact_unanswered", told, "hold", "Answer every line: not affected, usable with a stated uncertainty, or withdrawn.", look)
        )  # fmt: skip
    if added or dropped:
        told = f"History was amended since the list of {on} was counted: it would gain {added} and drop {dropped}."
        reasons.append(Reason("impact_unanswered", told, "hold", "Count the list anew first.", look))
    return reasons


@dataclass(frozen=True, slots=True)
class Asked:
    """A line that is to be answered; `distance_km` is what counts of a mission, None when nobody told it."""

    id: str
    kind: str
    told: str
    listed_at: str
    dropped: bool
    mission_id: str | None = None
    distance_km: str | None = None


def reasons_not_to_answer(
    lines: Iterable[Asked], mine: set[str], answer: str, heading_deg: str | None, at: str
) -> list[Reason]:
    """Why these lines cannot be answered so."""
    reasons = []
    for line in lines:
        if line.id not in mine:
            told = f"“{line.told}” is a line of another impact."
            reasons.append(Reason("wrong_form", told, "lines", "Answer it on the page of its own."))
        elif line.dropped:
            told = f"“{line.told}” was dropped from the list."
            reasons.append(Reason("already_so", told, "lines", "There is nothing to answer."))
        elif at < line.listed_at:
            told = f"“{line.told}” was listed on {say_day(line.listed_at)}; it cannot be answered before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        elif answer == "usable" and line.kind in PRICED:
            reasons += _reasons_of_price(line, heading_deg)
    return list({(reason.code, reason.message): reason for reason in reasons}.values())


def _reasons_of_price(line: Asked, heading_deg: str | None) -> list[Reason]:
    if heading_deg is None:
        told = "Usable with a stated uncertainty: say what the heading was off by, and it is worked out in metres."
        return [Reason("needs_reason", told, "heading_deg", "Enter degrees.")]
    if line.kind == "mission" and line.distance_km is None:
        told = f"Nobody told how far it went: {line.told}"
        offer = Offer("record_distance", "Enter what it ran", {"mission": line.mission_id or ""})
        return [Reason("cannot_compute", told, "lines", "Enter the distance first, or withdraw the data.", offer)]
    return []


def reasons_of_finding(
    ids: Mapping[str, object], good_on: str | None, heading_deg: str | None, at: str
) -> list[Reason]:
    """What a finding may bring along: a day known good is told of a person only, a heading only of what has one."""
    reasons = []
    if good_on and not ids.get("person"):
        told = "The window opens at the last good result on record; only of a person is a day known good told."
        reasons.append(Reason("wrong_form", told, "good_on", "Leave it out, or enter the good result first."))
    if good_on and good_on > at[:10]:
        told = "The last good day is later than the finding."
        reasons.append(Reason("wrong_form", told, "good_on", "Look at the day."))
    if heading_deg and (ids.get("meter") or ids.get("person")):
        told = "Neither a meter nor a person has a heading."
        reasons.append(Reason("wrong_form", told, "heading_deg", "Leave it out."))
    return reasons
