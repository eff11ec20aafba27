"""The tray: what some scans are, and what they are to each other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.matches import Half, Heap, Match, Pairing, match, pairing_of, sort_heap
from registry.domain.units import OTHER_KIND
from registry.models.cartons import newest_cartons
from registry.models.holds import hold
from registry.models.lookups import halves, hosts, pairings
from registry.models.seeks import EVER, in_force
from registry.models.whereabouts import Whereabouts, whereabouts
from registry.queries.scans import Scanned, halves_of_pair, scanned

_holds = select(hold.c.half_id, hold.c.pairing_id, hold.c.reason, hold.c.placed_at).where(
    in_force(hold, "placed_at", "released_at"),
    sa.or_(
        hold.c.half_id.in_(bindparam("halves", expanding=True)),
        hold.c.pairing_id.in_(bindparam("pairings", expanding=True)),
    ),
)


@dataclass(frozen=True, slots=True)
class HalfOnTray:
    """A half on the tray with its pair, its partner and where that is. `scan` is what to give an act for it.

    `not_accepted` says in words that receiving has not let it in: its carton is sealed, or it is not inspected, or
    rejected.

    `copy` is 0 when its own label, or its code, lies on the tray; else only a numbered copy does, which says which half
    is meant and never where it is: `scan` is then the copy’s address, and acts that need evidence of place refuse it.
    """

    half: Half
    pairing: Pairing | None
    partner: Half | None
    partner_where: str
    where: Whereabouts
    held: str | None
    not_accepted: str | None
    scan: str
    copy: int


@dataclass(frozen=True, slots=True)
class Tray:
    """What was scanned, and the verdict on it."""

    things: tuple[Scanned, ...]
    halves: tuple[HalfOnTray, ...]
    match: Match | None
    heap: Heap | None

    def of(self, kind: str) -> list[Scanned]:
        return [thing for thing in self.things if thing.kind == kind]

    @property
    def verdict(self) -> str:
        """One word for the whole tray: whole, mixed, same_kind, former, alone, heap, unknown, ambiguous or nothing.

        That two halves must not be joined comes before anything that could not be read.
        """
        if self.match and self.match.verdict in ("mixed", "former"):
            return self.match.verdict
        if any(thing.kind == "ambiguous" for thing in self.things):
            return "ambiguous"
        if any(thing.kind == "unknown" for thing in self.things):
            return "unknown"
        return "heap" if self.heap else self.match.verdict if self.match else "nothing"

    @property
    def whole(self) -> list[Match]:
        """The pairs that lie there, both halves of each."""
        if self.heap:
            return list(self.heap.whole)
        return [self.match] if self.match and self.match.verdict == "whole" else []

    @property
    def not_two_halves(self) -> tuple[str, str] | None:
        """What keeps these two scans from being a sensor half and an electronics half in hand, and what to do."""
        for thing in self.things:
            if thing.kind in ("unknown", "ambiguous"):
                return thing.told, thing.do
            if thing.kind != "half":
                return f"{thing.name} is a {thing.kind}, not a half.", "Scan the label on the half itself."
        if len(self.halves) == 1:
            other = OTHER_KIND[self.halves[0].half.kind]
            return f"Both scans are the same half: {self.halves[0].half.say()}.", f"Scan the {other} half."
        if copies := [one for one in self.halves if one.copy]:
            told = f"This is copy {copies[0].copy} of the label of {copies[0].half.say()}: it proves nothing about where the half is."
            return told, "Scan the label on the half itself."
        kinds = {one.half.kind for one in self.halves}
        if len(kinds) == 1:
            kind = kinds.pop()
            return f"Both are {kind} halves.", f"Scan the {OTHER_KIND[kind]} half."
        return None

    @property
    def held(self) -> str | None:
        return next((one.held for one in self.halves if one.held), None)

    @property
    def not_accepted(self) -> str | None:
        """The first half that receiving has not let in, and why."""
        return next((f"{one.half} is {one.not_accepted}." for one in self.halves if one.not_accepted), None)


def tray(db: sa.Connection, texts: Sequence[str], at: str, known_size: int = EVER) -> Tray:
    """What these scans are and what the halves among them are to each other. Reads labels; stores nothing."""
    known_hosts = hosts(db)
    things = tuple(scanned(db, text, known_hosts) for text in texts if text.strip())
    lying = {thing.half.id: thing.half for thing in things if thing.half}
    for thing in things:
        if thing.kind == "pair":
            lying |= halves(db, halves_of_pair(db, thing.name))
    known_pairings = pairings(db, lying)
    on_tray = _shown(db, lying, _best_scans(things), known_pairings, at, known_size)
    listed = list(lying.values())
    if len(listed) > 2:
        return Tray(things, on_tray, None, sort_heap(listed, known_pairings, at))
    found = match(listed[0], listed[1] if len(listed) == 2 else None, known_pairings, at) if listed else None
    return Tray(things, on_tray, found, None)


def _best_scans(things: Iterable[Scanned]) -> dict[str, Scanned]:
    """Half id -> the scan that says most of it: its own label before a copy."""
    best: dict[str, Scanned] = {}
    for thing in things:
        if thing.half and (thing.half.id not in best or thing.copy < best[thing.half.id].copy):
            best[thing.half.id] = thing
    return best


def _shown(
    db: sa.Connection,
    lying: dict[str, Half],
    scans: dict[str, Scanned],
    known_pairings: tuple[Pairing, ...],
    at: str,
    known_size: int,
) -> tuple[HalfOnTray, ...]:
    own = {id_: pairing_of(id_, known_pairings, at) for id_ in lying}
    partners = halves(db, [p.partner(id_) for id_, p in own.items() if p])
    places = whereabouts(db, [*lying, *partners], at, known_size)
    held = _held_words(db, lying, known_pairings, at, known_size)
    came = newest_cartons(db, lying, at, known_size)
    listed = []
    for id_, one in lying.items():
        pair = own[id_]
        partner = partners.get(pair.partner(id_)) if pair else None
        where = places[partner.id].say() if partner else ""
        scan, copy = (scans[id_].keep, scans[id_].copy) if id_ in scans else (one.code, 0)
        refused = came[id_].not_accepted() if id_ in came else None
        listed.append(HalfOnTray(one, pair, partner, where, places[id_], held.get(id_), refused, scan, copy))
    return tuple(listed)


def _held_words(
    db: sa.Connection, lying: Iterable[str], known_pairings: Iterable[Pairing], at: str, known_size: int
) -> dict[str, str]:
    """Half id -> why it is on hold, by itself or by any pairing it ever stood in."""
    if not lying:
        return {}
    stood = {p.id: p.halves() for p in known_pairings}
    rows = db.execute(_holds, {"halves": list(lying), "pairings": list(stood), "at": at, "known": known_size})
    return {id_: row.reason for row in rows for id_ in stood.get(row.pairing_id, (row.half_id,))}
