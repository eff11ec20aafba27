"""Which half a printed label or a typed serial means, by what the registry knows."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.codes import say_code
from registry.domain.labels import Label, fold_key, identity_key, near_matches, read_label
from registry.errors import Offer, Reason
from registry.models.units import half, identity, unit_type

_known = (
    select(half.c.id, half.c.code, half.c.kind, unit_type.c.maker, identity.c.printed_part, identity.c.printed_serial)
    .select_from(identity)
    .join(half, half.c.id == identity.c.half_id)
    .join(unit_type, unit_type.c.id == half.c.unit_type_id)
)
_by_key = _known.where(
    identity.c.scheme == bindparam("scheme"), identity.c.issuer == bindparam("issuer"),
    identity.c.part == bindparam("part"), identity.c.serial == bindparam("serial"),
)  # fmt: skip
_by_text = _known.where(sa.or_(identity.c.printed_serial == bindparam("text"), identity.c.joined == bindparam("text")))
_near = _known.where(identity.c.folded_serial == bindparam("key"))


def find_half(db: sa.Connection, text: str, field: str | None) -> str | Reason:
    """The id of the half that bears this label or serial. A bare serial that two halves bear is never decided here."""
    label = read_label(text, typed=True)
    if not label.ok:
        return label.reason(field) or _unknown(label, field)
    key = identity_key(label.identity)
    if key:
        rows = db.execute(_by_key, key._asdict()).all()
    else:
        texts = {candidate.value for candidate in label.candidates if candidate.kind != "code"}
        rows = [row for one in sorted(texts) for row in db.execute(_by_text, {"text": one})]
    found = {row.id: row for row in rows}
    if len(found) == 1:
        return next(iter(found))
    if found:
        return Reason("ambiguous_label", f"{len(found)} halves bear it: {_listed(list(found.values()))}.", field, "Scan the half’s own code, or type the serial with maker and part.")
    return _unknown(label, field, near_halves(db, label))


def near_halves(db: sa.Connection, label: Label) -> list[sa.Row]:
    """Halves whose serial differs from this one only as people and readers err. Listed, never picked."""
    serial = label.identity.serial if label.identity else label.candidates[0].value if label.candidates else ""
    if not serial:
        return []
    rows = db.execute(_near, {"key": fold_key(serial)}).all()
    near = near_matches(serial, [row.printed_serial for row in rows])
    return [row for row in rows if row.printed_serial in near][:6]


def _unknown(label: Label, field: str | None, near: list[sa.Row] | None = None) -> Reason:
    if label.identity:
        said = [("maker", label.identity.issuer), ("part", label.identity.part), ("serial", label.identity.serial)]
        what = ", ".join(f"{name} {value}" for name, value in said if value) or label.identity.uii
    else:
        what = f"“{_shown(label.text)}”"
    also = f" Near it: {_listed(near)}. None of them is taken for it." if near else ""
    return Reason(
        "unknown_label", f"No half in the registry bears {what}.{also}", field,
        "Scan it again; if it is new, receive it.", Offer("receive_half", "Receive this half", {"label": label.text}),
    )  # fmt: skip


def _listed(rows: list[sa.Row]) -> str:
    return "; ".join(f"{r.kind} half {say_code(r.code)}, {r.maker}, part {r.printed_part or '—'}, serial {r.printed_serial or '—'}" for r in rows)


def _shown(text: str) -> str:
    text = "".join(char if char.isprintable() else "·" for char in text.strip())
    return text[:60] + ("…" if len(text) > 60 else "")
