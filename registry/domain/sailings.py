"""Sailings: a vehicle, from when to when, and what for."""

from collections.abc import Sequence
from dataclasses import dataclass

from registry.domain.fit_use import ASKED
from registry.domain.fleet import USES
from registry.domain.times import read_instant, say, stamp
from registry.errors import Reason

WRITTEN = (
    "A sailing is written like “Teasel 2026-05-20T06:00:00Z/2026-05-28T18:00:00Z multibeam”; the use may be left out."
)
#: So many sailings are looked at together; more are planned in parts.
MOST_SAILINGS = 30


@dataclass(frozen=True, slots=True)
class Sailing:
    """`vehicle` is as it was named until it is looked up, then its id. `use` None: each bay is judged by its
    own."""

    vehicle: str
    from_at: str
    to_at: str
    use: str | None = None

    def say(self) -> str:
        return f"{say(self.from_at)} to {say(self.to_at)}{f', for {USES[self.use]}' if self.use else ''}"


def read_sailing(text: str) -> Sailing:
    """A sailing as people write it: the vehicle, both instants with a stroke between (as in ISO 8601), the use if any.
    Raises ValueError with a sentence."""
    words = text.split()
    place = next((number for number, word in enumerate(words) if "/" in word and number), None)
    if place is None or len(words) > place + 2:
        raise ValueError(f"“{text.strip()[:80]}” is not readable as a sailing. {WRITTEN}")
    since, _, until = words[place].partition("/")
    use = words[place + 1] if len(words) > place + 1 else None
    return sailing(" ".join(words[:place]), stamp(read_instant(since)), stamp(read_instant(until)), use)


def sailing(vehicle: str, from_at: str, to_at: str, use: str | None = None) -> Sailing:
    """A sailing of what was filled in. Raises ValueError with a sentence."""
    if use and use not in ASKED:
        raise ValueError(f"“{use[:40]}” is no use a vehicle may be asked about. There are: {', '.join(ASKED)}.")
    if to_at <= from_at:
        raise ValueError(f"{vehicle} would be back {say(to_at)}, before it sails {say(from_at)}.")
    return Sailing(vehicle, from_at, to_at, use or None)


def reasons_not_to_look(sailings: Sequence[Sailing], names: dict[str, str], at: str) -> list[Reason]:
    """Why these sailings, each with the id of its vehicle, cannot be looked at together. `names` says those ids."""
    if not sailings:
        return [Reason("missing_field", "No vehicle was named.", "sailing", "Name at least one that is to sail.")]
    reasons = []
    if len(sailings) > MOST_SAILINGS:
        told = f"{len(sailings)} sailings are more than the {MOST_SAILINGS} that are looked at together."
        reasons.append(Reason("too_large", told, "sailing", "Leave out those that sail last, and ask again."))
    ids = [one.vehicle for one in sailings]
    for id_ in dict.fromkeys(id_ for id_ in ids if ids.count(id_) > 1):
        told = f"{names[id_]} is named twice."
        reasons.append(Reason("wrong_form", told, "sailing", "Name it once, from its first sailing to its last day."))
    for one in sailings:
        if one.to_at <= at:
            told = f"{names[one.vehicle]} would have been back {say(one.to_at)}, and it is {say(at)}."
            reasons.append(Reason("wrong_form", told, "sailing", "Name a voyage that is still to come or under way."))
    return reasons
