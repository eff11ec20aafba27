"""What a person adds to a label that does not say everything, and whether two scans show the same unit."""

from registry.domain.labels.identity import LONGEST_UII, Identity, identity_key, maker_of
from registry.domain.labels.label import Label

_ENDS = " \t\r\n\u00a0\u202f"
_WORDS = {"maker": "the maker", "part": "the part number", "serial": "the serial number"}
_FIELDS = {"maker": ("MFR", "CAG"), "part": ("1P",), "serial": ("S", "SER", "21")}


def complete(label: Label, *, maker: str = "", part: str = "", serial: str = "") -> Identity:
    """The identity of a label that did not say it all, with what a person chose or typed; `added` names that.

    Both ends of what was typed are trimmed and nothing else is changed. What the label says for certain is taken
    from the label. Raises ValueError with a sentence when something is still missing, when the label says
    otherwise, when a serial is not one of the label's candidates, and for text that no plate bears.
    """
    # A label with candidates says nothing for certain: that is what its candidates mean.
    fields = {} if label.candidates else dict(label.elements)
    said = {name: _said(name, fields) for name in _WORDS}
    typed = {"maker": maker.strip(_ENDS), "part": part.strip(_ENDS), "serial": serial.strip(_ENDS)}
    for name, text in typed.items():
        _refuse_unfit(name, text, said[name])
    offered = {candidate.value.strip(_ENDS) for candidate in label.candidates if candidate.kind != "code"}
    if offered and typed["serial"] and typed["serial"] not in offered:
        raise ValueError("This serial number does not stand on the label. Choose one of those shown.")
    found = {name: said[name] or typed[name] for name in said}
    for name, text in found.items():
        if not text:
            raise ValueError(f"The label does not say {_WORDS[name]}. Enter it as the plate shows it.")
    if len("".join(found.values())) > LONGEST_UII:
        raise ValueError(f"Maker, part and serial have more than {LONGEST_UII} characters together. Shorten the maker.")
    return _completed(fields, found, tuple(name for name in found if not said[name]))


def _said(name: str, fields: dict[str, str]) -> str:
    named = maker_of(fields) if name == "maker" else None
    return named[1] if named else next((fields[field] for field in _FIELDS[name] if field in fields), "")


def _refuse_unfit(name: str, text: str, said: str) -> None:
    words = _WORDS[name]
    if not text.isprintable():
        raise ValueError(f"{words.capitalize()} holds a character that cannot be seen. Type it by hand.")
    if text and said and text != said:
        raise ValueError(f"The label itself says {words}: {said}. Enter that, or report the label.")


def _completed(fields: dict[str, str], found: dict[str, str], added: tuple[str, ...]) -> Identity:
    maker, part, serial = found.values()
    if "S" in fields and (named := maker_of(fields)):
        # Only the part was missing: this is the construct the label would have given itself.
        uii = named[0] + maker + part + serial
        return Identity("uii-2", iac=named[0], issuer=maker, part=part, serial=serial, uii=uii, added=added)
    return Identity("maker-part-serial", issuer=maker, part=part, serial=serial, added=added)


def same_unit(one: Label, other: Label) -> bool:
    """Whether two scans certainly show the same unit: the same code of ours, copies included, or the same identity.

    Two equal bare serials prove nothing, since two makers, or both halves of a pair, may bear the same one.
    """
    if one.code or other.code:
        return one.code == other.code
    key = identity_key(one.identity)
    return key is not None and key == identity_key(other.identity)
