"""How scanners deliver the control characters RS, GS and EOT: one spelling a message, made the same for all readers.

The spellings are those of keyboard wedges, terminal programs and decoders. Only the spelling in which the header
itself is written is replaced, since every other one may be data.
"""

import re
from dataclasses import dataclass, field

from registry.domain.labels.sayings import Unreadable

RS, GS, EOT = "\x1e", "\x1d", "\x04"
OPENING = "[)>"

_ANY_CASE = re.ASCII | re.IGNORECASE


@dataclass(frozen=True, slots=True)
class Family:
    """One way of spelling the three characters, as regular expressions."""

    name: str
    rs: str
    gs: str
    eot: str
    flags: int = re.ASCII
    header: re.Pattern = field(init=False, repr=False)
    opening: re.Pattern = field(init=False, repr=False)
    token: re.Pattern = field(init=False, repr=False)

    def __post_init__(self) -> None:
        set_once = object.__setattr__
        start = re.escape(OPENING)
        set_once(self, "header", re.compile(rf"{start}(?:{self.rs})[^\x00-\x1f\x7f]{{2}}(?:{self.gs})", self.flags))
        set_once(self, "opening", re.compile(rf"{start}(?:{self.rs})", self.flags))
        named = f"(?P<rs>{self.rs})|(?P<gs>{self.gs})|(?P<eot>{self.eot})"
        set_once(self, "token", re.compile(named, self.flags))

    def normal(self, text: str) -> str:
        """The text with this family's spellings, and no others, made control characters."""
        controls = {"rs": RS, "gs": GS, "eot": EOT}
        return self.token.sub(lambda match: controls[match.lastgroup], text)


def _literal(name: str, rs: str, gs: str, eot: str, flags: int = re.ASCII) -> Family:
    return Family(name, re.escape(rs), re.escape(gs), re.escape(eot), flags)


RAW = _literal("raw", RS, GS, EOT)

#: Sources of the spellings stand beside the vectors in tests/outside/data/identification.json.
FAMILIES: dict[str, Family] = {
    family.name: family
    for family in (
        RAW,
        _literal("control-pictures", "\u241e", "\u241d", "\u2404"),
        _literal("braces", "{RS}", "{GS}", "{EOT}", _ANY_CASE),
        _literal("angle", "<RS>", "<GS>", "<EOT>", _ANY_CASE),
        _literal("square", "[RS]", "[GS]", "[EOT]", _ANY_CASE),
        _literal("caret", "^^", "^]", "^D"),
        _literal("caret-6", "^6", "^]", "^D"),
        _literal("backslash-x", r"\x1E", r"\x1D", r"\x04", _ANY_CASE),
        _literal("backslash-u", r"\u001E", r"\u001D", r"\u0004", _ANY_CASE),
        _literal("tilde-d", "~d030", "~d029", "~d004", _ANY_CASE),
        _literal("hex-angle", "<0x1E>", "<0x1D>", "<0x04>", _ANY_CASE),
        _literal("percent", "%1E", "%1D", "%04", _ANY_CASE),
        Family("html", "&#0*30;", "&#0*29;", "&#0*4;"),
        _literal("cp437-glyphs", "\u25b2", "\u2194", "\u2666"),
    )
}

#: What [)> becomes when a scanner set to the United States layout types on a German, Nordic, Italian, Spanish,
#: Portuguese or French keyboard (worked out from the layouts, no published source).
_OTHER_LAYOUT = re.compile(r"[üåè`+´]=:|\^0/", re.IGNORECASE)
#: The same for the :// of an address.
_OTHER_LAYOUT_ADDRESS = re.compile(r"https?[^:\s\w-]{1}[-&_!]{2}|https?[öøæçñm][-&_!]{2}", re.IGNORECASE)


def strip_end(text: str) -> str:
    """The text without the one Enter or Tab that a scanner adds; nothing else is trimmed."""
    if text.endswith("\r\n"):
        return text[:-2]
    return text[:-1] if text.endswith(("\r", "\n", "\t")) else text


def refuse_other_layout(text: str) -> None:
    if _OTHER_LAYOUT.match(text) or _OTHER_LAYOUT_ADDRESS.match(text):
        raise Unreadable("keyboard_layout")


def spelling_of_gs(text: str) -> str | None:
    """The first spelled-out GS in the text, as it stands there, in any family but the raw one."""
    found = (re.search(family.gs, text, family.flags) for family in FAMILIES.values() if family is not RAW)
    return next((match[0] for match in found if match), None)


def normalise(text: str) -> tuple[str, str]:
    """The family of a text that opens with [)>, and the text with that family made control characters.

    A header in raw characters leaves every other spelling alone: it is data. A header that is spelled out
    refuses any second spelling. Raises Unreadable for an opening that is cut, out of order or stripped of its
    separators.
    """
    family = next((family for family in FAMILIES.values() if family.header.match(text)), None)
    if family is None:
        raise Unreadable(_what_is_wrong_with_the_opening(text))
    normal = family.normal(text)
    if family is RAW:
        _refuse_spelled_end(normal)
    elif _holds_another_spelling(text, family):
        raise Unreadable("mixed_separators")
    return family.name, normal


def _holds_another_spelling(text: str, family: Family) -> bool:
    # A token of the family is replaced by a space first, so that two neighbours never join into another spelling.
    rest = family.token.sub(" ", text)
    return any(other.token.search(rest) for other in FAMILIES.values() if other is not family)


def _refuse_spelled_end(text: str) -> None:
    if text.endswith((RS, EOT)):
        return
    for other in FAMILIES.values():
        if re.search(rf"(?:{other.rs})(?:{other.eot})\Z", text, other.flags):
            raise Unreadable("mixed_separators")


def _what_is_wrong_with_the_opening(text: str) -> str:
    for family in FAMILIES.values():
        if opening := family.opening.match(text):
            rest = text[opening.end() :]
            if len(rest) <= 2:
                return "end_not_seen"
            others = (re.compile(other.gs, other.flags) for other in FAMILIES.values() if other is not family)
            return "mixed_separators" if any(gs.match(rest, 2) for gs in others) else "header_order"
    if any(family.token.search(text, len(OPENING)) for family in FAMILIES.values()):
        return "header_order"
    return "controls_lost"
