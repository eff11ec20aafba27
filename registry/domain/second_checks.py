"""The second person’s check of a pair that was seated: who may give it, when it answers, and what stands while it does not.

The scan is the second reader of identity; a second person is for torque, dowels, orientation, seals and cables. That nobody
checks their own work, and that a small crew looks again after a rest, is common practice, no source.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from registry.domain.findings import Finding
from registry.domain.people import Trained, reasons_not_trained
from registry.domain.times import later, say
from registry.errors import Offer, Reason

HOW = {
    "present": "another person, there with it",
    "ashore": "another person, ashore by photo",
    "alone": "who seated it, looking again",
}
LOOKED_AT = {
    "torque": "torque",
    "dowels": "dowels or locating pins, or that there are none",
    "orientation": "orientation",
    "seals": "seals and faces, or that there are none",
    "cables": "cables latched",
}
#: How the check of a stay may stand, best first.
STATES = {
    "present": "checked by another person, there with it",
    "ashore": "checked by another person, ashore by photo",
    "alone": "checked by who seated it alone",
    "faulty": "something was found wrong",
    "awaited": "checked by nobody yet",
}
#: How often each was so, as an auditor reads it.
_COUNTED = {
    "present": "by another person, there with it",
    "ashore": "by another person, ashore by photo",
    "alone": "by who seated it alone",
    "faulty": "with something wrong that is not seen to",
    "awaited": "by nobody",
}
#: The figure of the plan that says how long who seated it waits before looking again.
REST = "recheck_alone_min"
ALL = tuple(LOOKED_AT)


@dataclass(frozen=True, slots=True)
class Seated:
    """Who put a pair in, as amended, and when; None where the stay was carried over and its row named nobody. `hands` are
    all whose work it is or was said to be: who was entered, who signed, who was named instead, and who named them."""

    by: str | None
    hands: frozenset[str]
    at: str


@dataclass(frozen=True, slots=True)
class SeatCheck:
    """One look at a seated pair. `person` gave it, as amended, and `who` is their name; `found` is what was wrong, if
    anything; `rest_min` the figure of the plan of that day; `untrained` says what training was missing. A second person who
    signed at the seating has looked then: `id` is that of the act."""

    id: str
    how: str
    person: str
    who: str
    signed_by: str
    at: str
    seq: int
    looked_at: tuple[str, ...] = ALL
    found: str = ""
    photos: int = 0
    rest_min: str = "0"
    untrained: str = ""

    def say(self) -> str:
        """Who, when, and how many photos."""
        photos = f", {self.photos} {'photo' if self.photos == 1 else 'photos'}" if self.photos else ""
        return f"{self.who}, {say(self.at)}{photos}"


@dataclass(frozen=True, slots=True)
class SeatChecked:
    """How the check of a stay stands: one of STATES, the look that says so, and why a later one does not count."""

    state: str
    one: SeatCheck | None = None
    why_not: str = ""

    @property
    def told(self) -> str:
        """It in words, with what does not count."""
        words = f"{STATES[self.state][0].upper()}{STATES[self.state][1:]}"
        found = f" {self.one.found}" if self.one and self.one.found else ""
        return f"{words}{': ' + self.one.say() if self.one else ''}.{found} {self.why_not}".strip()


def untrained(who: str, trainings: Iterable[Trained], at: str) -> str:
    """What training a second person lacked on that day: that of handling, as for whoever seats a pair."""
    told = " ".join(reason.message for reason in reasons_not_trained(who, "esd", trainings, at))
    return f"{told[:1].upper()}{told[1:]}"


def reasons_not_to_count(check: SeatCheck, seated: Seated, since: str) -> list[Reason]:
    """Why a look does not answer. Asked of an act before it is entered, and of what is on record as it is amended.

    `since` is when hands were last on it: the seating, or the look that found something wrong after it. That something is
    wrong may be told at once, of a part, and without a photo.
    """
    reasons = _of_person(check, seated)
    return reasons if check.found else [*reasons, *_of_photos(check), *_of_rest(check, since), *_of_extent(check)]


def _of_person(check: SeatCheck, seated: Seated) -> list[Reason]:
    if check.how == "alone":
        if check.person == seated.by:
            return []
        told = "Somebody else seated it." if seated.by else "Who seated it is not on record: it was carried over."
        do = "Enter it as another person, there with it or ashore by photo."
        return [Reason("not_own_work", f"Looking again is for who seated the pair. {told}", "how", do)]
    reasons = []
    if check.person in seated.hands:
        told = "Who seated the pair, signed for it, or amended who did, is not the second person."
        do = "Let another person look; or enter that who seated it looked again."
        reasons.append(Reason("own_work", told, "how", do))
    elif check.signed_by in seated.hands:
        told = "Who seated the pair cannot sign another person’s look at it."
        reasons.append(Reason("own_work", told, "done_by", "Let them sign it themselves, under their own name."))
    if check.untrained:
        do = "Let a trained person look, or have the training recorded first."
        reasons.append(Reason("needs_second_person", check.untrained, "how", do))
    return reasons


def _of_photos(check: SeatCheck) -> list[Reason]:
    if check.how == "present" or check.photos:
        return []
    told = "A look from ashore is a look at photos." if check.how == "ashore" else "Looking again is shown by photos."
    return [Reason("photo_missing", f"{told} There is none.", "files", "Add at least one.")]


def _of_rest(check: SeatCheck, since: str) -> list[Reason]:
    if check.how != "alone" or check.at >= later(since, minutes=float(check.rest_min)):
        return []
    told = f"Who seated it looks again {check.rest_min} min or more after it was last worked on, {say(since)}."
    return [Reason("too_soon", told, "happened_at", "Rest, then look with fresh eyes; or let another person look.")]


def _of_extent(check: SeatCheck) -> list[Reason]:
    left = [words.split(",")[0] for name, words in LOOKED_AT.items() if name not in check.looked_at]
    if not left:
        return []
    told = f"Not looked at: {', '.join(left)}. A look at a part answers nothing."
    return [Reason("missing_field", told, "looked_at", "Look at the rest, too; or say what is wrong.")]


def last_worked_on(seated: Seated, checks: Iterable[SeatCheck]) -> str:
    """When hands were last on it: at the seating, or at the last look that found something wrong."""
    return max([seated.at, *(one.at for one in checks if one.found)])


def how_checked(seated: Seated, checks: Sequence[SeatCheck]) -> SeatChecked:
    """How a stay stands after every look at it, in the order in which they were taken.

    Whatever was found wrong is answered by looks after it alone; another person’s look answers for good, an own one until
    another person looks.
    """
    fault = other = own = None
    why_not, ordered = "", sorted(checks, key=lambda one: (one.at, one.seq))
    for number, one in enumerate(ordered):
        told = _why_not(one, seated, last_worked_on(seated, ordered[:number]))
        if told:
            why_not = f"The look of {say(one.at)} does not count. {told}"
        elif one.found:
            fault, other, own, why_not = one, None, None, ""
        elif one.how == "alone":
            own = one
        else:
            other, why_not = one, ""
    if other:
        return SeatChecked(other.how, other)
    if own:
        return SeatChecked("alone", own, why_not)
    return SeatChecked("faulty" if fault else "awaited", fault, why_not)


def _why_not(one: SeatCheck, seated: Seated, since: str) -> str:
    """Why a look on record does not count, as things stand now; that something was wrong counts whoever saw it, and
    whenever the pair is said to have gone in since."""
    if one.found:
        return ""
    if one.at < seated.at:
        return "It was before the pair went in."
    reasons = reasons_not_to_count(one, seated, since)
    return reasons[0].message if reasons else ""


def finding_of_seat(
    one: SeatChecked | None, bay: str, bay_id: str, pair: str, since: str, seq: int | None
) -> Finding | None:
    """What it says against deploying. What was found wrong stops, as a closing sheet that contradicts does; what nobody else
    has looked at is for a named person to take on."""
    if one is None or one.state in ("present", "ashore"):
        return None
    offer = Offer("check_seating", "Enter a second person’s check", {"bay": bay_id})
    if one.state == "faulty" and one.one:
        told = f"{one.one.found} {one.one.say()}. See to it, then have it looked at again. {one.why_not}".strip()
        return Finding(
            "stops", "seating_faulty", f"Bay {bay}: its check found something wrong", told, one.one.seq, bay, offer
        )
    if one.state == "alone" and one.one:
        told = f"{one.one.say()}. Another person’s look clears it. {one.why_not}".strip()
        return Finding(
            "care", "checked_alone", f"Bay {bay}: checked by who seated it alone", told, one.one.seq, bay, offer
        )
    told = f"{pair} went in {say(since)}; nobody else has looked at torque, dowels, orientation, seals and cables. {one.why_not}".strip()
    return Finding("care", "second_check_awaited", f"Bay {bay}: second person’s check awaited", told, seq, bay, offer)


def count_states(listed: Iterable[SeatChecked]) -> dict[str, int]:
    """How many stays stand how, in the order of STATES."""
    states = [one.state for one in listed]
    return {state: states.count(state) for state in STATES}


def say_counts(counts: dict[str, int]) -> str:
    """The counts in a sentence; what is none is left out."""
    total = sum(counts.values())
    if not total:
        return "No pair is seated there."
    told = "; ".join(f"{count} {_COUNTED[state]}" for state, count in counts.items() if count)
    return f"Of {total} seated {'pair' if total == 1 else 'pairs'}, checked: {told}."
