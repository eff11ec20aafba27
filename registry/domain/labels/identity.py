"""Which unit a label names: identity tuples and the joined UII of MIL-STD-130 and ISO/IEC 15459.

The joined UII cannot be parted again (part 12 and serial 34 join to the same text as 123 and 4), so it is shown
and searched, and the key that decides is a tuple.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from registry.domain.labels.sayings import Unreadable

#: Longest joined identity that is stored, and the longest that current standards allow.
LONGEST_UII, USUAL_UII = 78, 50
_CAGE_LENGTH = 5
#: Maker fields in the order of the standard, each with the agency code it stands under (MIL-STD-130N, Table A-II).
MAKERS = {"17V": "D", "12V": "UN", "3V": "", "7L": "LD", "18V": ""}
_CAGE_TEXTS = ("MFR", "CAG")
#: Fields of which one at least says "serial".
_SERIALS = ("S", "SER", "21", "8010")


class IdentityKey(NamedTuple):
    """What decides whether two labels name the same unit; an empty string where the scheme has no such part."""

    scheme: str
    issuer: str
    part: str
    serial: str


@dataclass(frozen=True, slots=True)
class Identity:
    """What a label says about which unit it is on; fields its scheme does not know stay empty.

    Schemes: `uii-1` (maker and serial), `uii-2` (maker, part and serial), `uii-2-lot` (lot in place of the part),
    `uii-2-undivided` (maker and part not told apart), `sgtin`, `giai`, `cpid`, `gtin-class` (a product, no unit)
    and `maker-part-serial` (completed by a person; `added` names what the person said). `iac` is the issuing
    agency code, `uii` the joined text.
    """

    scheme: str
    iac: str = ""
    issuer: str = ""
    part: str = ""
    lot: str = ""
    serial: str = ""
    gtin: str = ""
    giai: str = ""
    cpid: str = ""
    uii: str = ""
    added: tuple[str, ...] = ()


def identity_key(identity: Identity | None) -> IdentityKey | None:
    """The tuple to compare and to make unique, or None when the identity names no single unit.

    Construct-1 identities (18S, 25S, 42S and the text fields) of one item differ in what they tell apart and
    agree in the joined text, so that text is their key. In construct 2 the issuer is the agency code and the
    company, which no two agencies share.
    """
    match identity:
        case None | Identity(scheme="gtin-class"):
            return None
        case Identity(scheme="uii-1"):
            return IdentityKey("uii-1", "", "", identity.uii)
        case Identity(scheme="giai"):
            return IdentityKey("giai", "", "", identity.giai)
    part = identity.part or identity.lot or identity.gtin or identity.cpid
    return IdentityKey(identity.scheme, identity.iac + identity.issuer, part, identity.serial)


def derive_identity(fields: Mapping[str, str]) -> Identity:
    """The identity that the fields of one label give, by the first rule that fits.

    Raises Unreadable: `no_serial` for the label of a bag or box, `identity_incomplete` when maker or part are
    missing, `conflicting_values` when two fields give two whole identities of construct 1.
    """
    first_construct = _first_construct(fields)
    if len({identity.uii for _, identity in first_construct}) > 1:
        raise Unreadable("conflicting_values", qualifier=" and ".join(name for name, _ in first_construct))
    found = next((identity for _, identity in first_construct if identity), None)
    found = found or _undivided(fields) or _gs1(fields) or _cage_text(fields) or _second_construct(fields)
    found = found or _product_alone(fields)
    if found is None:
        raise _what_is_missing(fields)
    if len(found.uii) > LONGEST_UII:
        raise Unreadable("value_too_long", qualifier=_longest_field(fields))
    return found


def _first_construct(fields: Mapping[str, str]) -> list[tuple[str, Identity]]:
    """Identities of construct 1 from data identifiers, each with the field it came from."""
    found = []
    if uii := fields.get("25S"):
        found.append(("25S", Identity("uii-1", uii=uii)))
    if value := fields.get("18S"):
        issuer, serial = value[:_CAGE_LENGTH], value[_CAGE_LENGTH:]
        if not serial:
            raise Unreadable("identity_incomplete", missing="serial")
        found.append(("18S", Identity("uii-1", iac="D", issuer=issuer, serial=serial, uii="D" + value)))
    if value := fields.get("42S"):
        uii, serial = split_42s(value)
        found.append(("42S", Identity("uii-1", serial=serial, uii=uii)))
    return found


def split_42s(value: str) -> tuple[str, str]:
    """The UII and the serial in a 42S value: two digits, the length of the serial, then the UII that ends in it."""
    length, uii = value[:2], value[2:]
    if not (length.isascii() and length.isdigit() and 0 < int(length) < len(uii)):
        raise Unreadable("field_form", qualifier="42S")
    return uii, uii[-int(length) :]


def split_37s(value: str) -> tuple[str, str]:
    """Agency, company and part in one, and the serial: a 37S value has exactly one plus sign between them.

    The first three are not told apart without the rules of each agency.
    """
    maker_and_part, _plus, serial = value.partition("+")
    if not (maker_and_part and serial) or "+" in serial:
        raise Unreadable("field_form", qualifier="37S")
    return maker_and_part, serial


def _undivided(fields: Mapping[str, str]) -> Identity | None:
    if "37S" not in fields:
        return None
    part, serial = split_37s(fields["37S"])
    return Identity("uii-2-undivided", part=part, serial=serial, uii=part + serial)


def _gs1(fields: Mapping[str, str]) -> Identity | None:
    if giai := fields.get("8004"):
        return Identity("giai", giai=giai, uii=giai)
    if (gtin := fields.get("01")) and (serial := fields.get("21")):
        return Identity("sgtin", gtin=gtin, serial=serial, uii=gtin + serial)
    if (cpid := fields.get("8010")) and (serial := fields.get("8011")):
        return Identity("cpid", cpid=cpid, serial=serial, uii=cpid + serial)
    return None


def _product_alone(fields: Mapping[str, str]) -> Identity | None:
    """A product number with nothing beside it that says serial: read, and not enough for a unit."""
    if "01" not in fields or any(name in fields for name in _SERIALS):
        return None
    return Identity("gtin-class", gtin=fields["01"])


def _cage_text(fields: Mapping[str, str]) -> Identity | None:
    issuer = next((fields[name] for name in _CAGE_TEXTS if name in fields), None)
    serial = fields.get("SER")
    if not (issuer and serial):
        return None
    return Identity("uii-1", iac="D", issuer=issuer, serial=serial, uii=f"D{issuer}{serial}")


def maker_of(fields: Mapping[str, str]) -> tuple[str, str] | None:
    """Agency code and maker as the data identifiers say them, in the order of the standard."""
    return next(((iac, fields[name]) for name, iac in MAKERS.items() if name in fields), None)


def _second_construct(fields: Mapping[str, str]) -> Identity | None:
    maker, serial = maker_of(fields), fields.get("S")
    if maker is None or serial is None:
        return None
    iac, issuer = maker
    if part := fields.get("1P"):
        return Identity("uii-2", iac=iac, issuer=issuer, part=part, serial=serial, uii=iac + issuer + part + serial)
    if lot := fields.get("1T"):
        uii = iac + issuer + lot + serial
        return Identity("uii-2-lot", iac=iac, issuer=issuer, lot=lot, serial=serial, uii=uii)
    return None


def _what_is_missing(fields: Mapping[str, str]) -> Unreadable:
    if not any(name in fields for name in _SERIALS):
        return Unreadable("no_serial")
    if "21" in fields:
        return Unreadable("identity_incomplete", missing="01")
    if "8010" in fields:
        return Unreadable("identity_incomplete", missing="8011")
    part = "" if "SER" in fields or "1P" in fields or "1T" in fields else "1P or 1T"
    maker = "" if maker_of(fields) else "enterprise"
    return Unreadable("identity_incomplete", missing=" and ".join(filter(None, (maker, part))))


def _longest_field(fields: Mapping[str, str]) -> str:
    return max(fields, key=lambda name: len(fields[name]))


def warnings_about(identity: Identity, qualifiers: Iterable[str]) -> list[str]:
    """What a person should know about an identity that was read from these fields."""
    names = set(qualifiers)
    warnings = ["uii_over_50"] if len(identity.uii) > USUAL_UII else []
    if identity.scheme == "uii-2" and "1T" in names:
        warnings.append("lot_not_in_identity")
    if identity.scheme.startswith("uii-2") and len(names & MAKERS.keys()) > 1:
        warnings.append("several_makers")
    return warnings
