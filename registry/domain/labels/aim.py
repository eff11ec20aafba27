"""Symbology identifiers of ISO/IEC 15424 (AIM prefixes): what a scanner says about the symbol it read."""

import re
from typing import NamedTuple

#: Meanings as the published tables give them; sources stand beside the vectors in tests/outside.
MEANINGS: dict[str, str] = {
    "]d1": "Data Matrix ECC 200",
    "]d2": "Data Matrix ECC 200, FNC1 in 1st or 5th place (GS1)",
    "]d3": "Data Matrix, FNC1 in 2nd or 6th place",
    "]d4": "Data Matrix with ECI",
    "]d5": "Data Matrix, FNC1 1st/5th with ECI",
    "]d6": "Data Matrix, FNC1 2nd/6th with ECI",
    "]d7": "Data Matrix, rectangular extension",
    "]Q0": "QR model 1",
    "]Q1": "QR model 2, no ECI",
    "]Q2": "QR with ECI",
    "]Q3": "QR, FNC1 first place (GS1)",
    "]Q4": "QR, FNC1 first place with ECI",
    "]Q5": "QR, FNC1 second place",
    "]Q6": "QR, FNC1 second place with ECI",
    "]C0": "Code 128, no FNC1 first",
    "]C1": "Code 128, FNC1 first (GS1-128)",
    "]C2": "Code 128, FNC1 second",
    "]C4": "Code 128, concatenated (ISBT)",
    "]A1": "Code 39, one check character checked",
    "]A4": "Code 39 full ASCII",
    "]A5": "Code 39 full ASCII, checked",
    "]A7": "Code 39 full ASCII, checked and stripped",
}

#: Code letters of the standard, from memory, where the published tables above do not show them.
_SYMBOLOGIES = {
    "A": "Code 39",
    "C": "Code 128",
    "E": "EAN or UPC",
    "F": "Codabar",
    "G": "Code 93",
    "I": "Interleaved 2 of 5",
    "J": "DotCode",
    "L": "PDF417",
    "Q": "QR",
    "U": "MaxiCode",
    "X": "another symbology",
    "d": "Data Matrix",
    "e": "GS1 DataBar",
    "h": "Han Xin",
    "z": "Aztec",
}
_GS1 = frozenset(("]d2", "]d5", "]Q3", "]Q4", "]C1", "]e0", "]J1"))
_PREFIX = re.compile(rf"\][{''.join(_SYMBOLOGIES)}][0-9A-C]")


class Aim(NamedTuple):
    """A text parted from its prefix. `symbology` is None when there is none, and `data` is then the whole text."""

    symbology: str | None
    data: str

    @property
    def gs1(self) -> bool:
        """Whether the prefix proves GS1 element strings."""
        return self.symbology in _GS1

    @property
    def retail(self) -> bool:
        """Whether the symbol is a retail one, which names a product and never a unit."""
        return (self.symbology or "").startswith("]E")

    @property
    def means(self) -> str:
        if self.symbology is None:
            return ""
        return MEANINGS.get(self.symbology, _SYMBOLOGIES[self.symbology[1]])


def split_aim(text: str) -> Aim:
    """Part the prefix from the data: the flag `]`, a letter of the table and one modifier 0-9 or A-C, all three."""
    match = _PREFIX.match(text)
    return Aim(match[0], text[3:]) if match else Aim(None, text)
