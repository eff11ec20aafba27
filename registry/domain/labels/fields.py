"""Data identifiers (ISO/IEC 15418, ANS MH10.8.2) and text element identifiers: names, meanings and forms.

Meanings come through public documents, whose names stand beside the vectors in tests/outside. Fields outside the
table are kept and shown, and used for nothing.
"""

import re
from collections.abc import Callable
from typing import NamedTuple

from registry.domain.labels.dates import read_date, week_exists
from registry.domain.labels.label import Draft, Element
from registry.domain.labels.sayings import Unreadable
from registry.domain.labels.wedge import GS

_DATA = re.compile(r"([0-9]{0,3}[A-Z])(.*)", re.DOTALL)
_DATA_LOWER = re.compile(r"[0-9]{0,3}[a-z]")
_TEXT = re.compile(r"([A-Z]{3}) (.*)", re.DOTALL)
_TEXT_WITHOUT_SPACE = re.compile(r"([A-Z]{3})(.*)", re.DOTALL)
_TEXT_LOWER = re.compile(r"[a-z]{3}")
_CAGE_LENGTH = 5
_CAGE_FIELDS = frozenset(("MFR", "CAG"))


class Known(NamedTuple):
    """What a data identifier means, the form of its value, and the attribute it gives (or an empty string)."""

    meaning: str
    form: str
    check: Callable[[str], list[str]] = lambda value: []
    attribute: str = ""


def _day(form: str) -> Callable[[str], list[str]]:
    return lambda value: [] if read_date(value, form) else ["bad_date"]


def _week(digits_of_year: int) -> Callable[[str], list[str]]:
    return lambda value: [] if week_exists(value, digits_of_year) else ["bad_week"]


def _matches(pattern: str, warning: str) -> Callable[[str], list[str]]:
    compiled = re.compile(pattern, re.ASCII)
    return lambda value: [] if compiled.fullmatch(value) else [warning]


def check_cage(value: str) -> list[str]:
    """Warnings about a CAGE code: five characters, never I or O (a letter O is never corrected to a zero)."""
    length = [] if len(value) == _CAGE_LENGTH else ["cage_length"]
    return length + (["cage_letter"] if set(value) & set("IOio") else [])


DATA_IDENTIFIERS: dict[str, Known] = {
    "P": Known("part number assigned by the customer", "an", attribute="customer_part"),
    "1P": Known("part number assigned by the supplier", "an"),
    "2P": Known("revision", "an", attribute="revision"),
    "25P": Known("agency code + company + part number, unique within the company", "an"),
    "26P": Known("part number of the next higher assembly", "an"),
    "30P": Known("current part number, kept out of the identity", "an", attribute="current_part"),
    "S": Known("serial number", "an"),
    "15S": Known("serial assigned by the vendor entity, only with 13V", "an"),
    "16S": Known("version number, e.g. software", "an"),
    "18S": Known("CAGE code + serial number", "an", lambda value: check_cage(value[:_CAGE_LENGTH])),
    "20S": Known("traceability code assigned by the customer", "an"),
    "22S": Known("identity of a mobile telephone", "an"),
    "25S": Known("agency code + company + serial", "an"),
    "37S": Known('agency code + company + part "+" serial', "an with one +"),
    "42S": Known("two-digit serial length, then a 25S value", "n2+an"),
    "3V": Known("GS1 company prefix", "n"),
    "12V": Known("DUNS number", "n9", _matches("[0-9]{9}", "duns_form")),
    "17V": Known("CAGE code", "an5", check_cage),
    "18V": Known("agency code + company number", "an"),
    "7L": Known("DoDAAC of the activity", "an"),
    "1T": Known("lot assigned by the supplier", "an", attribute="lot"),
    "30T": Known("traceability number kept out of the UII", "an"),
    "D": Known("date YYMMDD", "n6", _day("YYMMDD"), "date"),
    "6D": Known("date with an ANSI X12 qualifier suffix: YYYYMMDD + 3", "n8+n3", lambda v: _day("YYYYMMDD")(v[:8])),
    "9D": Known("date YYMMDD (see the standard before use)", "n6", _day("YYMMDD")),
    "10D": Known("date YYWW", "n4", _week(2), "week"),
    "11D": Known("date YYYYWW", "n6", _week(4), "week"),
    "12D": Known("date YYYYMMDD", "n8", _day("YYYYMMDD"), "date"),
    "16D": Known("production date YYYYMMDD", "n8", _day("YYYYMMDD"), "production_date"),
    "17D": Known("production date DDMMYYYY", "n8", _day("DDMMYYYY"), "production_date"),
    "20D": Known("inspection date DDMMYYYY", "n8", _day("DDMMYYYY"), "inspection_date"),
    "Q": Known("quantity", "n", _matches(r"[0-9]+(?:\.[0-9]+)?", "bad_quantity"), "quantity"),
    "4L": Known(
        "country of origin, ISO 3166 two letters; AA = mixed by agreement",
        "a2",
        _matches("[A-Z]{2}", "bad_country"),
        "country",
    ),
    "34L": Known("pointer to process URL", "URL"),
    "I": Known("vehicle identification number", "an17"),
}
_DATE_FORMS = {
    "D": "YYMMDD",
    "12D": "YYYYMMDD",
    "16D": "YYYYMMDD",
    "17D": "DDMMYYYY",
    "20D": "DDMMYYYY",
}


def read_data_element(text: str) -> Element:
    """Part one element of format 06: up to three digits and one capital at its start, then the value.

    Raises Unreadable; the value itself is not judged here.
    """
    if match := _DATA.fullmatch(text):
        return _with_value(Element(match[1], match[2]))
    # Caps Lock on the computer turns the values too, so nothing may be corrected.
    raise Unreadable("qualifier_lower_case" if _DATA_LOWER.match(text) else "unknown_field")


def _read_text_element(text: str) -> tuple[Element, list[str]]:
    if match := _TEXT.fullmatch(text):
        return _with_value(Element(match[1], match[2])), []
    if match := _TEXT_WITHOUT_SPACE.fullmatch(text):
        return _with_value(Element(match[1], match[2])), ["tei_without_space"]
    raise Unreadable("qualifier_lower_case" if _TEXT_LOWER.match(text) else "unknown_field")


def _with_value(element: Element) -> Element:
    if not element.value:
        raise Unreadable("empty_value", qualifier=element.qualifier)
    return element


def _without_last_separator(content: str) -> tuple[str, list[str]]:
    """The content of a format without one needless GS at its end, which loses nothing."""
    if content.endswith(GS) and content != GS:
        return content[:-1], ["needless_separator"]
    return content, []


def read_fields(content: str, draft: Draft, *, as_text: bool) -> None:
    """Read the elements of format 06, or of format 12 when `as_text`, into the draft, with warnings."""
    content, warnings = _without_last_separator(content)
    draft.warn(*warnings)
    for piece in content.split(GS):
        if not piece:
            raise Unreadable("empty_element")
        element, warnings = _read_text_element(piece) if as_text else (read_data_element(piece), [])
        draft.elements.append(element)
        draft.warn(*warnings, *check_value(element))
        if attribute := attribute_of(element):
            draft.attributes[attribute[0]] = attribute[1]


def check_value(element: Element) -> list[str]:
    """Warnings about a value; a value that does not have its form is kept as text and never blocks identity."""
    if element.qualifier in _CAGE_FIELDS:
        return check_cage(element.value)
    known = DATA_IDENTIFIERS.get(element.qualifier)
    return known.check(element.value) if known else []


def attribute_of(element: Element) -> tuple[str, str] | None:
    """The attribute a field gives: name and text, an existing date as YYYY-MM-DD."""
    known = DATA_IDENTIFIERS.get(element.qualifier)
    if known is None or not known.attribute:
        return None
    form = _DATE_FORMS.get(element.qualifier)
    day = read_date(element.value, form) if form else None
    return known.attribute, day.isoformat() if day else element.value
