"""From whatever a scan gives to the id of one thing, or to the sentence that says why not."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.act import Act
from registry.acts.labelled import find_half
from registry.domain.codes import Marked, looks_like_code, read_code, say_code
from registry.domain.labels import read_label
from registry.domain.texts import cannot_be_kept, is_id, quoted
from registry.errors import Reason
from registry.models.audits import audit
from registry.models.base import metadata
from registry.models.bench_marks import bench_mark
from registry.models.deliveries import carton, delivery
from registry.models.fleet import bay, housing, vehicle
from registry.models.impacts import impact
from registry.models.log import log_entry
from registry.models.lookups import bearer, hosts
from registry.models.meters import meter
from registry.models.missions import mission
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.sites import site, station
from registry.models.units import unit_type

Found = str | Reason
WORDS = {
    "half": "half", "pairing": "pair", "unit_type": "unit type", "site": "site", "station": "station",
    "vehicle": "vehicle", "housing": "housing", "bay": "bay", "person": "person", "esd_signoff": "ESD sign-off",
    "hold": "hold", "discrepancy": "discrepancy", "recheck": "recheck", "act": "act",
    "delivery": "delivery", "carton": "carton", "meter": "meter", "bench_mark": "bench mark", "verification": "verification", "acceptance": "acceptance",
    "audit": "audit", "audit_line": "line of an audit", "loan": "loan", "crossing": "crossing", "contract_term": "contract",
    "mission": "mission", "impact": "impact", "impact_line": "line of an impact", "removal": "removal", "calibration": "calibration",
}  # fmt: skip

#: Kinds of things that bear a label.
LABELLED = ("half", "pairing", "site", "station", "vehicle", "housing", "bay", "person")

_vehicle_bay = select(bay.c.id, vehicle.c.name, bay.c.letter).join(vehicle, vehicle.c.id == bay.c.vehicle_id)
_vehicle_housing = select(housing.c.id, vehicle.c.name, housing.c.name.label("part")).join(
    vehicle, vehicle.c.id == housing.c.vehicle_id
)
_site_station = select(station.c.id, site.c.name, station.c.name.label("part")).join(
    site, site.c.id == station.c.site_id
)
_delivery_carton = select(carton.c.id, delivery.c.reference, sa.cast(carton.c.number, sa.Text).label("part")).join(
    delivery, delivery.c.id == carton.c.delivery_id
)
_site_mark = (
    select(bench_mark.c.id, site.c.name, bench_mark.c.name.label("part"))
    .join(site, site.c.id == bench_mark.c.site_id)
    .where(bench_mark.c.ended_at.is_(None), bench_mark.c.voided_seq.is_(None))
)
#: Kind -> statements whose rows are (id, what people call it, ...); small tables, read whole when a name is given.
_NAMES: dict[str, list[sa.Select[Any]]] = {
    "site": [select(site.c.id, site.c.name)],
    "vehicle": [select(vehicle.c.id, vehicle.c.name), select(vehicle.c.id, vehicle.c.hull_number)],
    "unit_type": [
        select(unit_type.c.id, unit_type.c.maker, unit_type.c.name),
        select(unit_type.c.id, unit_type.c.name),
    ],
    "person": [
        select(person_private.c.person_id, person_private.c.name),
        select(person_private.c.person_id, person_private.c.badge),
    ],
    "bay": [_vehicle_bay],
    "housing": [_vehicle_housing],
    "delivery": [
        select(delivery.c.id, delivery.c.reference),
        select(delivery.c.id, delivery.c.sender, delivery.c.reference),
    ],
    "carton": [_delivery_carton],
    "audit": [select(audit.c.id, audit.c.reference)],
    "meter": [select(meter.c.id, meter.c.name)],
    "impact": [select(impact.c.id, pairing.c.name).join(pairing, pairing.c.id == impact.c.pairing_id)],
    "mission": [select(mission.c.id, mission.c.reference)],
    "bench_mark": [_site_mark, _site_mark.with_only_columns(bench_mark.c.id, bench_mark.c.name)],
    "station": [_site_station, select(station.c.id, station.c.name)],
}
_impact_of_half = (
    select(impact.c.id).where(impact.c.half_id == bindparam("half")).order_by(impact.c.seq.desc()).limit(1)
)
_pairing_by_name = select(pairing.c.id).where(pairing.c.name == bindparam("name"))
_pairings_of_half = (
    select(pairing.c.id, pairing.c.paired_at, pairing.c.ended_at)
    .where(pairing.c.voided_seq.is_(None), sa.or_(pairing.c.sensor_id == bindparam("half"), pairing.c.electronics_id == bindparam("half")))
    .order_by(pairing.c.paired_at.desc())
)  # fmt: skip
_housing_of_bay = select(bay.c.housing_id).where(bay.c.id == bindparam("bay"))
_act = select(log_entry.c.act_id).where(log_entry.c.act_id == bindparam("id"))


def resolve_all(db: sa.Connection, act: Act, at: str) -> tuple[dict[str, Any], list[Reason]]:
    """The ids of everything the act refers to, and a reason for each reference that names nothing or too much."""
    ids: dict[str, Any] = {}
    reasons: list[Reason] = []
    for name, mark in act.references.items():
        value = getattr(act, name)
        texts = value if isinstance(value, list) else [] if value is None else [value]
        found = [resolve(db, mark.kind, text, at, name, evidence=mark.evidence) for text in texts]
        reasons += [one for one in found if isinstance(one, Reason)]
        ids[name] = found if isinstance(value, list) else found[0] if found else None
    return ids, reasons


def resolve(
    db: sa.Connection, kind: str, text: str, at: str, field: str | None = None, *, evidence: bool = False
) -> Found:
    """The id of the one thing of this kind that `text` names: its id, our code or address, a maker's label, a name.

    With `evidence`, a numbered copy of a label is refused: it says which half is meant, not where the half is.
    """
    if cannot_be_kept(text):
        return Reason("unknown_label", "That text holds characters no label and no name has.", field, "Scan it again.")
    text = text if kind == "half" else text.strip()
    if is_id(text):
        return _by_id(db, kind, text, field)
    marked = _code_in(db, text)
    if isinstance(marked, Marked):
        if evidence and marked.copy:
            return Reason(
                "copy_label",
                f"This is copy {marked.copy} of the label of {say_code(marked.code)}: it proves nothing about where the half is.",
                field,
                "Scan the label on the half itself.",
            )
        return _by_code(db, kind, marked.code, at, field)
    if isinstance(marked, Reason):
        return _for(marked, field)
    if kind == "half":
        return find_half(db, text, field)
    if kind == "pairing":
        return _pairing(db, text, at, field)
    if kind in _NAMES:
        return _by_name(db, kind, text, field)
    return Reason(
        "unknown_label",
        f"{quoted(text)} is not the id of a {WORDS[kind]}.",
        field,
        "Choose it on the page it stands on.",
    )


def _code_in(db: sa.Connection, text: str) -> Marked | Reason | None:
    """Our own code, when the text is one of our addresses or a code that something bears."""
    if "/" in text and "http" in text[:8].lower():
        label = read_label(text, hosts=hosts(db), typed=True)
        return Marked(label.code, label.copy) if label.code else label.reason()
    if looks_like_code(text):
        try:
            code = read_code(text)
        except ValueError as misread:
            # It may be a serial of that form; `find_half` looks. For all else it is one of our codes, misread.
            return (
                None
                if bearer_free_text(db, text)
                else Reason("unreadable_label", str(misread), next="Scan it again, or read it aloud to somebody.")
            )
        return Marked(code) if bearer(db, code) else None
    return None


def bearer_free_text(db: sa.Connection, text: str) -> bool:
    """Whether something other than a code of ours goes by this text."""
    return not isinstance(find_half(db, text, None), Reason) or any(
        _fits(text, row[1:]) for queries in _NAMES.values() for query in queries for row in db.execute(query)
    )


def _by_code(db: sa.Connection, kind: str, code: str, at: str, field: str | None) -> Found:
    found = bearer(db, code)
    if found is None:
        return Reason(
            "unknown_label",
            f"Nothing bears the code {say_code(code)}.",
            field,
            "Scan it again, or look for the thing by its name.",
        )
    if found[0] == kind:
        return found[1]
    if kind == "pairing" and found[0] == "half":
        return _pairing_of(db, found[1], at, f"half {say_code(code)}", field)
    if (kind, found[0]) == ("impact", "half") and (newest := db.execute(_impact_of_half, {"half": found[1]}).scalar()):
        return newest
    if kind == "housing" and found[0] == "bay":
        return db.execute(_housing_of_bay, {"bay": found[1]}).scalar_one()
    return Reason(
        "unknown_label",
        f"{say_code(code)} is {_one(found[0])}, not {_one(kind)}.",
        field,
        f"{'Scan' if kind in LABELLED else 'Name'} the {WORDS[kind]}.",
    )


def _one(kind: str) -> str:
    return f"{'an' if WORDS[kind][0] in 'aeiouE' else 'a'} {WORDS[kind]}"


def _by_id(db: sa.Connection, kind: str, text: str, field: str | None) -> Found:
    if kind == "act":
        found = db.execute(_act, {"id": text}).scalar()
    else:
        table = metadata.tables[kind]
        found = db.execute(select(table.c.id).where(table.c.id == text)).scalar()
    return found or Reason("unknown_label", f"No {WORDS[kind]} has the id {text}.", field, "Look it up again.")


def _pairing(db: sa.Connection, text: str, at: str, field: str | None) -> Found:
    if found := db.execute(_pairing_by_name, {"name": text}).scalar():
        return found
    half = find_half(db, text, field)
    if isinstance(half, Reason):
        return Reason(
            "unknown_label",
            f"No pair is called {quoted(text)}, and no half bears it.",
            field,
            "Scan one of its halves.",
        )
    return _pairing_of(db, half, at, quoted(text), field)


def _pairing_of(db: sa.Connection, half: str, at: str, shown: str, field: str | None) -> Found:
    """The pairing the half stood in at that instant, else its newest."""
    rows = db.execute(_pairings_of_half, {"half": half}).all()
    for row in rows:
        if row.paired_at <= at and (row.ended_at is None or at < row.ended_at):
            return row.id
    return (
        rows[0].id
        if rows
        else Reason(
            "half_alone",
            f"{shown[0].upper()}{shown[1:]} is not in a pair.",
            field,
            "Enter its matched-pair statement first.",
        )
    )


def _by_name(db: sa.Connection, kind: str, text: str, field: str | None) -> Found:
    found = {row[0] for query in _NAMES[kind] for row in db.execute(query) if _fits(text, row[1:])}
    if len(found) == 1:
        return found.pop()
    if found:
        return Reason(
            "ambiguous_label",
            f"{len(found)} things are called {quoted(text)}.",
            field,
            f"Scan the {WORDS[kind]}, or give more of its name.",
        )
    known = [" ".join(filter(None, row[1:])) for row in db.execute(_NAMES[kind][0])]
    some = (
        f" Known: {', '.join(sorted(known)[:8])}{' …' if len(known) > 8 else ''}."
        if known
        else " None is in the registry yet."
    )
    return Reason(
        "unknown_label",
        f"No {WORDS[kind]} is called {quoted(text)}.{some}",
        field,
        "Choose one of those, or enter it first." if known else "Enter it first.",
    )


def _fits(text: str, parts: Any) -> bool:
    """Whether somebody who types `text` means the thing with these names ("Teasel, bay A" for Teasel and A)."""
    names = [part for part in parts if part]
    typed = _plain(text)
    return bool(names) and typed in (_plain(" ".join(names)), _plain(" bay ".join(names)))


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace(",", " ").replace("/", " ").replace("·", " ").split())


def _for(reason: Reason, field: str | None) -> Reason:
    return Reason(reason.code, reason.message, field, reason.next, reason.offer)
