"""The verdict the whole product exists for: which halves belong together, and which do not.

Only a pairing in force makes two halves whole; everything else has its own word, and each word its own way out.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from registry.domain.codes import say_code
from registry.domain.times import NEVER, say_day
from registry.domain.units import KINDS, OTHER_KIND
from registry.errors import Offer, Reason

VERDICTS = ("whole", "mixed", "same_kind", "former", "alone", "unknown", "ambiguous")
CODES = {"mixed": "mixed_pair", "same_kind": "same_kind", "former": "former_pair", "alone": "half_alone"}


@dataclass(frozen=True, slots=True)
class Half:
    """A half as people meet it."""

    id: str
    code: str
    kind: str
    type_id: str
    type_name: str
    serial: str = ""
    part: str = ""

    def say(self) -> str:
        return f"{KINDS[self.kind]} {say_code(self.code)}"

    def __str__(self) -> str:
        name = self.say()
        return name[0].upper() + name[1:]


@dataclass(frozen=True, slots=True)
class Pairing:
    """A pairing from its matched-pair statement until it ended, if it did."""

    id: str
    name: str
    sensor_id: str
    electronics_id: str
    paired_at: str
    ended_at: str | None = None
    end_reason: str | None = None

    def holds(self, at: str, until: str | None = None) -> bool:
        """Whether it was in force at `at` and, for a stay, until its end."""
        ended = self.ended_at or NEVER
        return self.paired_at <= at < ended and (until or at) <= ended

    def halves(self) -> tuple[str, str]:
        return self.sensor_id, self.electronics_id

    def partner(self, half_id: str) -> str:
        return self.electronics_id if half_id == self.sensor_id else self.sensor_id


@dataclass(frozen=True, slots=True)
class Match:
    """What some halves are to each other at an instant. `pairing` is set when the verdict is whole or former."""

    verdict: str
    halves: tuple[Half, ...]
    pairing: Pairing | None = None
    partners: tuple[str, ...] = ()  # ids of the partners that are not here, in the order of `halves`


def pairing_of(half_id: str, pairings: Iterable[Pairing], at: str) -> Pairing | None:
    """The pairing a half stands in at an instant."""
    return next((p for p in pairings if half_id in p.halves() and p.holds(at)), None)


def match(one: Half, other: Half | None, pairings: Iterable[Pairing], at: str) -> Match:
    """The verdict on one half, or on two of them."""
    pairings = list(pairings)
    if other is None or other.id == one.id:
        own = pairing_of(one.id, pairings, at)
        return Match("alone", (one,), own, (own.partner(one.id),) if own else ())
    halves = (one, other) if one.kind == "sensor" else (other, one)
    if one.kind == other.kind:
        return Match("same_kind", (one, other))
    own, others = (pairing_of(half.id, pairings, at) for half in halves)
    if own and own == others:
        return Match("whole", halves, own)
    former = [p for p in pairings if set(p.halves()) == {one.id, other.id} and p.ended_at and p.ended_at <= at]
    partners = tuple(p.partner(h.id) if p else "" for h, p in zip(halves, (own, others), strict=True))
    if former:
        return Match("former", halves, max(former, key=lambda p: p.ended_at or ""), partners)
    return Match("mixed" if own or others else "alone", halves, None, partners)


@dataclass(frozen=True, slots=True)
class Heap:
    """A heap of halves, sorted: pairs that are whole, and halves whose partner is not here."""

    whole: tuple[Match, ...]
    apart: tuple[Match, ...]


def sort_heap(halves: Iterable[Half], pairings: Iterable[Pairing], at: str) -> Heap:
    """Sort any number of halves; one scanned twice counts once."""
    known = {half.id: half for half in halves}
    pairings = list(pairings)
    whole, apart, done = [], [], set()
    for half in known.values():
        if half.id in done:
            continue
        own = pairing_of(half.id, pairings, at)
        partner = known.get(own.partner(half.id)) if own else None
        if own and partner:
            pair = (half, partner) if half.kind == "sensor" else (partner, half)
            whole.append(Match("whole", pair, own))
            done |= {half.id, partner.id}
        else:
            apart.append(Match("alone", (half,), own, (own.partner(half.id),) if own else ()))
    return Heap(tuple(whole), tuple(apart))


def reasons_against(
    found: Match,
    where: Mapping[str, str],
    known: Mapping[str, Half],
    fields: tuple[str, str],
    offer: Offer | None = None,
) -> list[Reason]:
    """Why these two halves may not be installed as a pair; none when they are whole.

    `where` says in words where each partner is now, `known` names it. `fields` are the act's fields for the sensor
    and the electronics half.
    """
    if found.verdict == "whole":
        return []
    code = CODES[found.verdict]
    sensor_field, electronics_field = fields
    if found.verdict == "same_kind":
        kind = found.halves[0].kind
        return [
            Reason(
                code,
                f"Both are {KINDS[kind][:-4]}halves: {say_code(found.halves[0].code)} and {say_code(found.halves[1].code)}.",
                electronics_field if kind == "sensor" else sensor_field,
                f"Scan {'an' if kind == 'sensor' else 'a'} {KINDS[OTHER_KIND[kind]]}.",
                offer,
            )
        ]
    if len(found.halves) == 1:
        field = electronics_field if found.halves[0].kind == "sensor" else sensor_field
        return [
            Reason(
                "same_kind",
                f"Both scans are the same unit: {found.halves[0].say()}.",
                field,
                f"Scan the {KINDS[OTHER_KIND[found.halves[0].kind]]}.",
                offer,
            )
        ]
    if found.verdict == "former" and found.pairing:
        ended = say_day(found.pairing.ended_at or "")
        message = f"They were a pair once, {found.pairing.name}. It ended on {ended}: {found.pairing.end_reason}."
        return [
            Reason(
                code,
                " ".join([message, *_partners(found, where, known)]),
                sensor_field,
                "Find each half’s partner of today, or record what you found.",
                offer,
            )
        ]
    if found.verdict == "mixed":
        message = "These halves belong to different pairs."
        return [
            Reason(
                code,
                " ".join([message, *_partners(found, where, known)]),
                electronics_field,
                "Do not join them. Scan the right partner, or record what is in the hull.",
                offer,
            )
        ]
    return [
        Reason(
            code,
            f"No matched-pair statement joins {found.halves[0].say()} and {found.halves[1].say()}.",
            sensor_field,
            "Enter the statement the maker gave with them, if there is one.",
            offer,
        )
    ]


def _partners(found: Match, where: Mapping[str, str], known: Mapping[str, Half]) -> list[str]:
    lines = []
    for half, partner in zip(found.halves, found.partners, strict=True):
        if partner in known:
            lines.append(f"{half}: its partner is {known[partner].say()}, {where.get(partner, 'place not recorded')}.")
        else:
            lines.append(f"{half} is in no pair today.")
    return lines
