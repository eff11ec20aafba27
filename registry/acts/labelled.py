"""Which half a printed label or a typed serial means, by what the registry knows."""

from collections.abc import Iterable

import sqlalchemy as sa

from registry.domain.labels import Label, read_label
from registry.domain.matches import Half
from registry.domain.texts import quoted
from registry.errors import Offer, Reason
from registry.models.lookups import halves_bearing, halves_near


def find_half(db: sa.Connection, text: str, field: str | None) -> str | Reason:
    """The id of the half that bears this label or serial. A bare serial that two halves bear is never decided here."""
    label = read_label(text, typed=True)
    if not label.ok:
        return label.reason(field) or _unknown(label, field, [])
    found = halves_bearing(db, label)
    if len(found) == 1:
        return next(iter(found))
    if found:
        told = f"{len(found)} halves bear it: {_listed(found.values())}."
        return Reason(
            "ambiguous_label", told, field, "Scan the half’s own code, or type the serial with maker and part."
        )
    return _unknown(label, field, halves_near(db, label))


def _unknown(label: Label, field: str | None, near: list[Half]) -> Reason:
    if label.identity:
        said = [("maker", label.identity.issuer), ("part", label.identity.part), ("serial", label.identity.serial)]
        what = ", ".join(f"{name} {value}" for name, value in said if value) or label.identity.uii
    else:
        what = quoted(label.text)
    also = f" Near it: {_listed(near)}. None of them is taken for it." if near else ""
    return Reason(
        "unknown_label", f"No half in the registry bears {what}.{also}", field,
        "Scan it again; if it is new, receive it.", Offer("receive_half", "Receive this half", {"label": label.text}),
    )  # fmt: skip


def _listed(halves: Iterable[Half]) -> str:
    return "; ".join(
        f"{half.say()}, {half.type_name}, part {half.part or '—'}, serial {half.serial or '—'}" for half in halves
    )
