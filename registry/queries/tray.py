"""The tray: what some scans are, and what they are to each other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.codes import code_url, looks_like_code, read_code, say_code
from registry.domain.labels import Label, identity_key, read_label
from registry.domain.matches import Half, Heap, Match, Pairing, match, pairing_of, sort_heap
from registry.domain.texts import cannot_be_kept, is_id, shown
from registry.domain.units import OTHER_KIND
from registry.models.fleet import bay, vehicle
from registry.models.holds import hold
from registry.models.lookups import bearer, halves, halves_bearing, halves_near, hosts, pairings
from registry.models.pairings import pairing
from registry.models.people import person, person_private
from registry.models.seeks import EVER, in_force
from registry.models.sites import site, station
from registry.models.whereabouts import Whereabouts, whereabouts

_bays = select(bay.c.id, bay.c.code, vehicle.c.name.label("vehicle"), bay.c.letter).join(
    vehicle, vehicle.c.id == bay.c.vehicle_id
)
_others = {
    "bay": _bays.where(bay.c.code == bindparam("code")),
    "vehicle": select(vehicle.c.id, vehicle.c.code, vehicle.c.name).where(vehicle.c.code == bindparam("code")),
    "station": select(station.c.id, station.c.code, station.c.name).where(station.c.code == bindparam("code")),
    "site": select(site.c.id, site.c.code, site.c.name).where(site.c.code == bindparam("code")),
    "person": select(person.c.id, person.c.code, person_private.c.name)
    .join(person_private, person_private.c.person_id == person.c.id)
    .where(person.c.code == bindparam("code")),
}
_pair_named = select(pairing.c.id, pairing.c.name, pairing.c.sensor_id, pairing.c.electronics_id).where(
    pairing.c.name == bindparam("text")
)
_vehicle_named = select(vehicle.c.id, vehicle.c.code, vehicle.c.name).where(
    sa.func.lower(vehicle.c.name) == bindparam("lower")
)
_holds = select(hold.c.half_id, hold.c.pairing_id, hold.c.reason, hold.c.placed_at).where(
    in_force(hold, "placed_at", "released_at"),
    sa.or_(
        hold.c.half_id.in_(bindparam("halves", expanding=True)),
        hold.c.pairing_id.in_(bindparam("pairings", expanding=True)),
    ),
)


@dataclass(frozen=True, slots=True)
class Scanned:
    """One thing on the tray. `kind` is half, bay, vehicle, station, site, person, pair, or `unknown`/`ambiguous`.

    `keep` is what to put on the line again to get the same thing: a code where there is one.
    """

    text: str
    keep: str
    kind: str
    id: str = ""
    name: str = ""
    code: str = ""
    copy: int = 0
    half: Half | None = None
    label: Label | None = None
    told: str = ""
    do: str = ""
    near: tuple[Half, ...] = ()


@dataclass(frozen=True, slots=True)
class HalfOnTray:
    """A half on the tray with its pair, its partner and where that is. `scan` is what to give an act for it.

    `copy` is 0 when its own label, or its code, lies on the tray; else only a numbered copy does, which says which half
    is meant and never where it is: `scan` is then the copy’s address, and acts that need evidence of place refuse it.
    """

    half: Half
    pairing: Pairing | None
    partner: Half | None
    partner_where: str
    where: Whereabouts
    held: str | None
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


def tray(db: sa.Connection, texts: Sequence[str], at: str, known_size: int = EVER) -> Tray:
    """What these scans are and what the halves among them are to each other. Reads labels; stores nothing."""
    known_hosts = hosts(db)
    things = tuple(scanned(db, text, known_hosts) for text in texts if text.strip())
    lying = {thing.half.id: thing.half for thing in things if thing.half}
    for thing in things:
        if thing.kind == "pair":
            lying |= halves(db, _pair_halves(db, thing.name))
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


def _pair_halves(db: sa.Connection, name: str) -> tuple[str, str]:
    row = db.execute(_pair_named, {"text": name}).one()
    return row.sensor_id, row.electronics_id


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
    listed = []
    for id_, one in lying.items():
        pair = own[id_]
        partner = partners.get(pair.partner(id_)) if pair else None
        where = places[partner.id].say() if partner else ""
        scan, copy = (scans[id_].keep, scans[id_].copy) if id_ in scans else (one.code, 0)
        listed.append(HalfOnTray(one, pair, partner, where, places[id_], held.get(id_), scan, copy))
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


def scanned(db: sa.Connection, text: str, known_hosts: Sequence[str]) -> Scanned:
    """What one scan or typed text is: a thing of ours, a half by its printed label, or not known."""
    if cannot_be_kept(text):
        keep = shown(text)
        told = "The text holds characters no label has."
        return Scanned(keep, keep, "unknown", told=told, do="Scan it again.")
    if is_id(text.strip()) and (known := halves(db, [text.strip()])):
        one = known[text.strip()]
        return Scanned(text, one.code, "half", one.id, str(one), one.code, 0, one)
    label = read_label(text, hosts=known_hosts, typed=True)
    code = label.code or next((candidate.value for candidate in label.candidates if candidate.kind == "code"), None)
    ours = _ours(db, text, code, label, known_hosts) if code else None
    if ours:
        return ours
    stripped = text.strip()
    if pair := db.execute(_pair_named, {"text": stripped}).first():
        return Scanned(text, stripped, "pair", pair.id, pair.name)
    if named := db.execute(_vehicle_named, {"lower": stripped.lower()}).first():
        return Scanned(text, named.code, "vehicle", named.id, named.name, named.code)
    return _labelled(db, text, label)


def _ours(db: sa.Connection, text: str, code: str, label: Label, known_hosts: Sequence[str]) -> Scanned | None:
    found = bearer(db, code)
    keep = code_url(known_hosts[0], code, label.copy) if label.copy else code
    if found and found[0] == "half":
        one = halves(db, [found[1]])[found[1]]
        return Scanned(text, keep, "half", one.id, str(one), code, label.copy, one, label)
    if found:
        row = db.execute(_others[found[0]], {"code": code}).one()
        name = f"{row.vehicle}, bay {row.letter}" if found[0] == "bay" else row.name
        return Scanned(text, keep, found[0], row.id, name, code, label.copy, label=label)
    if label.code:
        return Scanned(
            text,
            text,
            "unknown",
            label=label,
            told=f"Nothing bears the code {say_code(code)}.",
            do="Look at the label: it may belong to another registry.",
        )
    return None


def _labelled(db: sa.Connection, text: str, label: Label) -> Scanned:
    if not label.ok:
        return Scanned(text, text, "unknown", label=label, told=label.message, do=label.next)
    found = halves_bearing(db, label)
    if len(found) == 1:
        one = next(iter(found.values()))
        return Scanned(text, one.code, "half", one.id, str(one), one.code, 0, one, label)
    if found:
        return Scanned(
            text,
            text,
            "ambiguous",
            label=label,
            told=f"{len(found)} halves bear this serial.",
            do="Scan the half’s own code, or choose it below.",
            near=tuple(found.values()),
        )
    return _unknown(db, text, label)


def _unknown(db: sa.Connection, text: str, label: Label) -> Scanned:
    told = "Nothing in the registry bears this label."
    if identity_key(label.identity) is None and looks_like_code(text):
        told = _misread(text)
    return Scanned(
        text,
        text,
        "unknown",
        label=label,
        told=told,
        do="Scan it again; if it is new, receive it.",
        near=tuple(halves_near(db, label)),
    )


def _misread(text: str) -> str:
    """The sentence for a text with the form of our code that nothing bears."""
    try:
        return f"Nothing bears the code {say_code(read_code(text))}."
    except ValueError as problem:
        return str(problem)
