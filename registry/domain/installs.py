"""Installing, removing, swapping: every reason why a pair may not go into a bay for a time.

Two sets of reasons. Some say that the record would become untrue or unlawful for ever (mixed halves, a taken bay, an
overlap): they never give way. Others say that the work was not in order (no sign-off, a hold, a type): `already_done`
overrides them, and the vehicle stops.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from registry.domain.holds import Hold, reasons_on_hold
from registry.domain.matches import Half, Match, Pairing, reasons_against
from registry.domain.openings import Asked, reasons_not_looked_at
from registry.domain.signoffs import Signoff
from registry.domain.times import NEVER, say
from registry.errors import Offer, Reason

REMOVAL_REASONS = {
    "planned": "planned", "swap": "to be swapped", "suspect": "suspect", "wet": "wet", "knocked": "knocked",
    "repair": "to repair", "other": "other",
}  # fmt: skip
CONDITIONS = {"sound": "sound", "suspect": "suspect", "wet": "wet", "knocked": "knocked"}


@dataclass(frozen=True, slots=True)
class Stay:
    """One stay of a pair in a bay, with the words for both."""

    id: str
    bay_id: str
    bay: str
    pairing_id: str
    pair: str
    sensor_id: str
    electronics_id: str
    installed_at: str
    removed_at: str | None
    seq: int = 0

    def say(self) -> str:
        until = f" to {say(self.removed_at)}" if self.removed_at else ""
        return f"{self.pair} in {self.bay} from {say(self.installed_at)}{until}"


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The stay before an instant and the one after it, for one bay or half."""

    before: Stay | None = None
    after: Stay | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """A half that the record puts down at a site at an instant."""

    half: str
    site: str
    at: str


@dataclass(frozen=True, slots=True)
class SeatFacts:
    """What is known when two halves are to go into a bay from `at` until `until` (None: until further notice)."""

    at: str
    until: str | None
    bay: str
    bay_id: str
    match: Match
    pairings: tuple[Pairing, ...]
    known: Mapping[str, Half]
    where: Mapping[str, str]
    of_bay: Neighbours
    of_sensor: Neighbours
    of_electronics: Neighbours
    accepted_types: frozenset[str]
    moves: tuple[Move, ...] = ()
    holds: tuple[Hold, ...] = ()
    retired: tuple[str, ...] = ()
    not_accepted: tuple[Reason, ...] = ()
    asked: tuple[Asked, ...] = ()
    signoff_reasons: tuple[Reason, ...] = ()
    signoff: Signoff | None = None
    leaving: str | None = None  # the stay that this very act ends
    fields: tuple[str, str] = field(default=("sensor", "electronics"))


def reasons_not_to_seat(facts: SeatFacts) -> list[Reason]:
    """Every reason why these two halves may not go into this bay for that time."""
    offer = Offer("record_sighting", "Record what is in the hull", {"bay": facts.bay_id})
    reasons = [*reasons_against(facts.match, facts.where, facts.known, facts.fields, offer), *_reasons_of_life(facts)]
    reasons += _reasons_of_bay(facts) + _reasons_of_halves(facts) + reasons_of_moves(facts.moves)
    reasons += [
        Reason("retired", f"{words[0].upper()}{words[1:]}.", facts.fields[0], "Choose another, or look at the time.")
        for words in facts.retired
    ]
    reasons += _reasons_of_type(facts) + reasons_on_hold(facts.holds, facts.fields[0])
    reasons += [*facts.not_accepted, *reasons_not_looked_at(facts.asked, facts.fields[0]), *facts.signoff_reasons]
    return reasons


def _reasons_of_life(facts: SeatFacts) -> list[Reason]:
    """A stay lies within the life of its pairing."""
    pairing = facts.match.pairing
    if facts.match.verdict != "whole" or pairing is None or pairing.holds(facts.at, facts.until):
        if facts.match.verdict == "whole" and pairing and pairing.ended_at and facts.until is None:
            return [_ended(pairing)]
        return []
    return [_ended(pairing)]


def _ended(pairing: Pairing) -> Reason:
    ended = say(pairing.ended_at or NEVER)
    return Reason(
        "pair_ended",
        f"Pair {pairing.name} ended on {ended}: {pairing.end_reason}. The stay would outlast it.",
        "removed_at",
        "Say when the pair came out again, before that.",
    )


def _reasons_of_bay(facts: SeatFacts) -> list[Reason]:
    before, after = facts.of_bay.before, facts.of_bay.after
    reasons = []
    if before and before.id != facts.leaving and (before.removed_at or NEVER) > facts.at:
        reasons.append(_taken(facts, before))
    if after and after.id != facts.leaving and after.installed_at < (facts.until or NEVER):
        reasons.append(_runs_into(facts, after, "bay"))
    return reasons


def _taken(facts: SeatFacts, stay: Stay) -> Reason:
    if facts.match.pairing and stay.pairing_id == facts.match.pairing.id:
        return Reason(
            "bay_taken",
            f"{stay.pair} is in {stay.bay} already, since {say(stay.installed_at)} (entry {stay.seq:,}).",
            "bay",
            "There is nothing to install.",
        )
    if stay.removed_at is None:
        return Reason(
            "bay_taken",
            f"{stay.bay} holds {stay.pair} since {say(stay.installed_at)}.",
            "bay",
            "Swap the two, or remove it first.",
            Offer("swap_pairs", "Swap this bay", {"bay": facts.bay_id}),
        )
    return Reason(
        "overlaps_history",
        f"{stay.say()}: the bay was taken then.",
        "happened_at",
        "Look at the day and time, or amend the earlier act.",
    )


def _runs_into(facts: SeatFacts, stay: Stay, what: str) -> Reason:
    if facts.until is None:
        return Reason(
            "overlaps_history",
            f"This {what} has a later stay: {stay.say()}.",
            "removed_at",
            "Say when the pair came out again, before that stay.",
        )
    return Reason(
        "overlaps_history",
        f"The stay would run into a later one: {stay.say()}.",
        "removed_at",
        "Look at both instants, or amend the later act.",
    )


def _reasons_of_halves(facts: SeatFacts) -> list[Reason]:
    """Where either half sits already. One sentence a stay: usually both halves sit in the same one."""
    reasons: dict[str, Reason] = {}
    for neighbours, name in ((facts.of_sensor, facts.fields[0]), (facts.of_electronics, facts.fields[1])):
        before, after = neighbours.before, neighbours.after
        if (
            before
            and before.id != facts.leaving
            and before.bay_id != facts.bay_id
            and (before.removed_at or NEVER) > facts.at
        ):
            ahead = "" if before.removed_at is None else f" to {say(before.removed_at)}"
            reasons.setdefault(
                before.id,
                Reason(
                    "pair_installed",
                    f"{before.pair} sits in {before.bay} since {say(before.installed_at)}{ahead}.",
                    name,
                    "Enter its removal there first, or look at what you have in hand.",
                ),
            )
        if after and after.id != facts.leaving and after.installed_at < (facts.until or NEVER):
            reasons.setdefault(after.id, _runs_into(facts, after, "half"))
    if facts.of_bay.after and facts.of_bay.after.id in reasons:
        del reasons[facts.of_bay.after.id]
    return list(reasons.values())


def reasons_of_moves(moves: Sequence[Move]) -> list[Reason]:
    """A half that was put down somewhere did not sit in a bay then."""
    return [
        Reason(
            "overlaps_history",
            f"The record has {move.half} at {move.site} from {say(move.at)}; it cannot have sat in the bay then.",
            "happened_at",
            "Say when the pair came out before that, or amend the time of that move.",
        )
        for move in moves[:1]
    ]


def _reasons_of_type(facts: SeatFacts) -> list[Reason]:
    half = facts.match.halves[0]
    if half.type_id in facts.accepted_types:
        return []
    accepts = "it accepts no type yet" if not facts.accepted_types else "it accepts other types"
    return [
        Reason(
            "type_not_accepted",
            f"{facts.bay} does not accept {half.type_name} on that day; {accepts}.",
            "bay",
            "Choose another bay, or have a keeper accept the type with its mounting.",
        )
    ]


def reasons_not_to_lift(
    stay: Stay | None, bay: str, at: str, later: Stay | None, halves: Sequence[Half], elsewhere: Mapping[str, str]
) -> list[Reason]:
    """Why nothing can be taken out of a bay at that instant. `halves` are in hand; `elsewhere` says where the record
    has those that are not in this bay."""
    where = " ".join(f"{half} is {elsewhere[half.id]}." for half in halves if half.id in elsewhere)
    look = Offer("record_sighting", "Record what is in the hull", {})
    if stay is None or (stay.removed_at or NEVER) <= at:
        told = [f"{bay} was empty at {say(at)}."]
        if stay:
            told.append(f"{stay.pair} was taken out at {say(stay.removed_at or '')} (entry {stay.seq:,}).")
        if later:
            told.append(f"It holds {later.pair} since {say(later.installed_at)}.")
        return [
            Reason(
                "not_installed",
                " ".join([*told, where]).strip(),
                "bay",
                "Scan the bay again, or record what you found.",
                look,
            )
        ]
    if stay.removed_at is not None:
        told = f"{stay.pair} was taken out of {bay} at {say(stay.removed_at)} already (entry {stay.seq:,})."
        return [
            Reason("not_installed", told, "bay", "There is nothing to take out. Amend that act if its time is wrong.")
        ]
    if stay.installed_at >= at:
        told = f"{stay.pair} was put in at {say(stay.installed_at)}; it cannot have come out before."
        return [Reason("overlaps_history", told, "happened_at", "Look at the day and time.")]
    return []


def reasons_of_other(stay: Stay, sensor: Half, electronics: Half, elsewhere: Mapping[str, str]) -> list[Reason]:
    """The halves in hand are not those that the record has in the bay."""
    if {sensor.id, electronics.id} == {stay.sensor_id, stay.electronics_id}:
        return []
    found = "; ".join(
        f"the record has {half.say()} {elsewhere[half.id]}" for half in (sensor, electronics) if half.id in elsewhere
    )
    told = f"The record has {stay.pair} in {stay.bay}, and you hold {sensor.say()} and {electronics.say()}."
    return [
        Reason(
            "found_other",
            f"{told} {found[0].upper()}{found[1:]}." if found else told,
            "sensor_out",
            "If you are at the right bay, enter it as already done: both ends are told. Otherwise scan the bay again.",
            Offer(
                "record_sighting",
                "Record what is in the hull",
                {"bay": stay.bay_id, "sensor": sensor.id, "electronics": electronics.id},
            ),
        )
    ]
