"""What one scan or typed text is: a thing of ours, a half by its printed label, or not known."""

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.codes import code_url, looks_like_code, read_code, say_code
from registry.domain.labels import Label, identity_key, read_label
from registry.domain.matches import Half
from registry.domain.texts import cannot_be_kept, is_id, shown
from registry.models.fleet import bay, vehicle
from registry.models.lookups import bearer, halves, halves_bearing, halves_near
from registry.models.missions import mission
from registry.models.pairings import pairing
from registry.models.people import person, person_private
from registry.models.sites import site, station

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


_mission_named = select(mission.c.id, mission.c.reference).where(mission.c.reference == bindparam("text"))


@dataclass(frozen=True, slots=True)
class Scanned:
    """One thing on the tray. `kind` is half, bay, vehicle, station, site, person, pair, mission, or `unknown`/`ambiguous`.

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
    if sailed := db.execute(_mission_named, {"text": stripped}).first():
        return Scanned(text, stripped, "mission", sailed.id, sailed.reference)
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


def halves_of_pair(db: sa.Connection, name: str) -> tuple[str, str]:
    """The ids of both halves of the pair of that name."""
    row = db.execute(_pair_named, {"text": name}).one()
    return row.sensor_id, row.electronics_id
