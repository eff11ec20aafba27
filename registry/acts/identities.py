"""From a printed label (and what a person adds to it) to the identity a half is entered under."""

from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.entry import Add, Entry
from registry.domain.codes import say_code
from registry.domain.labels import Identity, complete, fold_key, identity_key, read_label, say_warning
from registry.errors import Reason
from registry.models.units import half, identity

_holder = (
    select(half.c.code, half.c.kind)
    .join(identity, identity.c.half_id == half.c.id)
    .where(
        identity.c.scheme == bindparam("scheme"), identity.c.issuer == bindparam("issuer"),
        identity.c.part == bindparam("part"), identity.c.serial == bindparam("serial"),
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class IdentityFound:
    """An identity ready to be written down. `added` names what a person supplied beyond the label."""

    scheme: str
    issuer: str
    part: str
    serial: str
    joined: str
    printed_part: str
    printed_serial: str
    read_from: str
    added: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        return {
            **asdict(self),
            "added": list(self.added),
            "warnings": list(self.warnings),
            "folded": fold_key(self.printed_serial),
        }


def reasons_of_label(
    db: sa.Connection, label: str | None, maker: str | None, part: str | None, serial: str | None
) -> tuple[IdentityFound | None, list[Reason]]:
    """The identity that label and typed parts give, or why they give none; a label another half bears is refused."""
    found, reasons = _read(label, maker, part, serial)
    if found is None:
        return None, reasons
    key = {"scheme": found.scheme, "issuer": found.issuer, "part": found.part, "serial": found.serial}
    if holder := db.execute(_holder, key).first():
        reasons.append(
            Reason("already_known", f"That label is on {holder.kind} half {say_code(holder.code)} already.", "label",
                   "Scan the half in hand once more. If two parts bear one identity, put both on hold and ask the maker.")
        )  # fmt: skip
    return found, reasons


def _read(
    label: str | None, maker: str | None, part: str | None, serial: str | None
) -> tuple[IdentityFound | None, list[Reason]]:
    typed = {"maker": maker or "", "part": part or "", "serial": serial or ""}
    if label is None:
        missing = [name for name, text in typed.items() if not text]
        if missing:
            return None, [
                Reason(
                    "incomplete_label",
                    f"Without a label, the {_and(missing)} must be typed as printed.",
                    missing[0],
                    "Scan the label, or type what is printed on the part.",
                )
            ]
        identity_ = Identity(
            "maker-part-serial",
            issuer=typed["maker"],
            part=typed["part"],
            serial=typed["serial"],
            added=("maker", "part", "serial"),
        )
        return _found(identity_, "typed", ()), []
    read = read_label(label, typed=True)
    if not read.ok and not read.needs_person:
        return None, [r for r in [read.reason("label")] if r]
    if read.identity and identity_key(read.identity) and not any(typed.values()):
        return _found(read.identity, "label", tuple(say_warning(code) for code in read.warnings)), []
    try:
        whole = complete(read, **typed)
    except ValueError as problem:
        return None, [
            Reason(
                "incomplete_label",
                str(problem),
                "label",
                "Fill in what the label does not say; it is kept as added by you.",
            )
        ]
    return _found(whole, "label", tuple(say_warning(code) for code in read.warnings)), []


def _found(known: Identity, read_from: str, warnings: tuple[str, ...]) -> IdentityFound:
    key = identity_key(known)
    assert key is not None, "an identity without a key was asked to name one unit"
    return IdentityFound(
        *key,
        known.uii or "".join((known.issuer, known.part, known.serial)),
        known.part or known.gtin or known.cpid,
        known.serial or known.uii or known.giai,
        read_from,
        known.added,
        warnings,
    )


def identity_row(entry: Entry, id_: str, half_id: str) -> Add:
    told = entry.decided["identity"]
    names = ("scheme", "issuer", "part", "serial", "joined", "printed_part", "printed_serial", "read_from")
    return Add(
        "identity",
        {"id": id_, "half_id": half_id, **{name: told[name] for name in names}, "folded_serial": told["folded"]},
    )


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
