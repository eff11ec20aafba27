"""GS1 element strings: application identifiers, their lengths and characters, check digits and dates.

Source: GS1 General Specifications 3 and 7.8 to 7.12, through the table of the library biip. The library sees an
element only after our own checks, and never a text that might be a plain serial: it would read a product into it.
"""

import re
from typing import Any

from registry.domain.labels.dates import read_date
from registry.domain.labels.label import Draft, Element
from registry.domain.labels.sayings import Unreadable
from registry.domain.labels.wedge import GS

#: Leading digits of a value that end in a check digit (GS1 syntax dictionary, `csum`).
_CHECKED = {"00": 18, "01": 14, "02": 14, "03": 14, "402": 17, "253": 13, "255": 13, "8003": 14, "8006": 14}
_CHECKED |= {"8017": 18, "8018": 18, "8026": 14} | {str(ai): 13 for ai in range(410, 418)}
_DATES = frozenset(("11", "12", "13", "15", "16", "17"))
_ATTRIBUTES = {"10": "lot", "11": "production_date", "13": "packaging_date", "17": "expiry_date"}
#: Fields that often follow a serial or a lot, looked for when a separator may have been lost.
_OFTEN_NEXT = ("10", "11", "12", "13", "15", "16", "17", "21", "240", "241", "250")
#: Character sets of the General Specifications 7.11, by the letter used in formats.
_CHARACTERS = {
    "N": re.compile(r"[0-9]*"),
    "X": re.compile(r"[!-\"%-?A-Z_a-z]*"),
    "Y": re.compile(r"[0-9A-Z#/-]*"),
    "Z": re.compile(r"[0-9A-Za-z_-]*"),
}
_BRACKETED = re.compile(r"\(([0-9]{2,4})\)")


def check_digit(digits: str) -> str:
    """The digit that belongs after `digits`: weights 3 and 1 from the right, modulo 10."""
    weighted = sum(int(digit) * (3, 1)[place % 2] for place, digit in enumerate(reversed(digits)))
    return str(-weighted % 10)


def read_gtin(text: str) -> str:
    """A GTIN of 8, 12, 13 or 14 digits as the 14 digits that are stored. Raises Unreadable."""
    if len(text) not in (8, 12, 13, 14) or not _CHARACTERS["N"].fullmatch(text):
        raise Unreadable("field_form", qualifier="01")
    _refuse_wrong_digit("01", text)
    return text.zfill(14)


def _refuse_wrong_digit(qualifier: str, digits: str) -> None:
    expected = check_digit(digits[:-1])
    if digits[-1] != expected:
        raise Unreadable("check_digit", qualifier=qualifier, expected=expected)


def identifier_at(text: str) -> Any:
    """The application identifier that `text` starts with, or None. No identifier is the start of another."""
    from biip import ParseError
    from biip.gs1_application_identifiers import GS1ApplicationIdentifier

    try:
        return GS1ApplicationIdentifier.extract(text)
    except ParseError:
        return None


def split_elements(data: str, draft: Draft) -> None:
    """Part joined element strings into the draft: a fixed length, or up to GS. Values are not judged here."""
    while data:
        known = identifier_at(data)
        if known is None:
            raise Unreadable("empty_element" if data.startswith(GS) else "unknown_field")
        value, data, needless = _split_value(known, data[len(known.ai) :])
        draft.elements.append(Element(known.ai, value))
        draft.warn(*needless)


def _split_value(known: Any, body: str) -> tuple[str, str, list[str]]:
    if known.separator_required:
        value, separator, rest = body.partition(GS)
    else:
        length = _longest(known)
        value, rest = body[:length], body[length:]
        if GS in value or len(value) < length:
            raise Unreadable("field_form", qualifier=known.ai)
        separator = rest[:1] if rest.startswith(GS) else ""
        rest = rest.removeprefix(GS)
    if not value:
        raise Unreadable("empty_value", qualifier=known.ai)
    return value, rest, ["needless_separator"] if separator and not rest else []


def _longest(known: Any) -> int:
    """The most characters a value may have, from a format like `N4+N13[+X..17]`."""
    return sum(int(length) for length in re.findall(r"[NXYZ](?:\.\.)?([0-9]+)", known.format)[1:])


def check_elements(draft: Draft, start: int = 0) -> None:
    """Judge the values read into the draft from place `start` on, and note the attributes.

    Raises Unreadable at the first that fails.
    """
    for element in draft.elements[start:]:
        check_element(element)
        if name := _ATTRIBUTES.get(element.qualifier):
            day = read_date(element.value, "YYMM00") if element.qualifier in _DATES else None
            draft.attributes[name] = day.isoformat() if day else element.value


def check_element(element: Element) -> None:
    """Raise Unreadable for a value that its application identifier does not allow."""
    qualifier, value = element
    known = identifier_at(qualifier)
    if known is None or known.ai != qualifier:
        raise Unreadable("unknown_field")
    if not value:
        raise Unreadable("empty_value", qualifier=qualifier)
    if not re.fullmatch(known.pattern, qualifier + value, re.ASCII):
        raise Unreadable(_why_not(known, value), qualifier=qualifier)
    if qualifier in _DATES and read_date(value, "YYMM00") is None:
        raise Unreadable("bad_date", qualifier=qualifier)
    # The library takes a component serial with leading zeros; the syntax dictionary does not.
    if qualifier == "8011" and value.startswith("0"):
        raise Unreadable("field_form", qualifier=qualifier)
    if digits := _CHECKED.get(qualifier):
        _refuse_wrong_digit(qualifier, value[:digits])
    _ask_library(element)


def _why_not(known: Any, value: str) -> str:
    """Which refusal tells best why a value does not fit the pattern of its identifier."""
    if len(value) > _longest(known):
        return "value_too_long"
    letters = re.findall(r"([NXYZ])(?:\.\.)?[0-9]+", known.format)[1:]
    if not any(_CHARACTERS[letter].fullmatch(value) for letter in letters):
        return "charset"
    return "bad_date" if known.ai in _DATES and len(value) == 6 else "field_form"


def _ask_library(element: Element) -> None:
    """A second opinion: what is left for the library to find is a date or a time that does not exist."""
    from biip import ParseError
    from biip.gs1_element_strings import GS1ElementString

    try:
        parsed = GS1ElementString.parse(element.qualifier + element.value)
    except ParseError:
        raise Unreadable("bad_date", qualifier=element.qualifier) from None
    # The library calls an element good whose check digit is wrong, and says so only here.
    if parsed.gtin_error or parsed.sscc_error or parsed.gln_error:
        raise Unreadable("field_form", qualifier=element.qualifier)


def separator_may_be_lost(data: str, elements: list[Element]) -> bool:
    """Whether the last value may have swallowed a field: no separator was seen, and a field fits its end.

    A field that the label has already is not looked for, since none appears twice.
    """
    if GS in data or not elements or not identifier_at(elements[-1].qualifier).separator_required:
        return False
    value = elements[-1].value
    present = {element.qualifier for element in elements}
    patterns = [identifier_at(ai).pattern for ai in _OFTEN_NEXT if ai not in present]
    return any(re.fullmatch(pattern, value[start:]) for pattern in patterns for start in range(len(value)))


def read_brackets(text: str) -> list[Element] | None:
    """Elements of the printed form `(01)…(21)…`, or None when the text does not open with a known identifier.

    GS1 values never hold a space, so spaces beside the brackets are layout and are left out.
    """
    opening = _BRACKETED.match(text)
    if opening is None or not _is_identifier(opening[1]):
        return None
    pieces = _BRACKETED.split(text)[1:]
    return [Element(ai, value.strip(" ")) for ai, value in zip(pieces[::2], pieces[1::2], strict=True)]


def _is_identifier(digits: str) -> bool:
    known = identifier_at(digits)
    return known is not None and known.ai == digits
