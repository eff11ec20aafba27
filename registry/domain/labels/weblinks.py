"""Web addresses: our own, GS1 Digital Link, and the rest, which are never opened.

Digital Link: GS1 Digital Link URI syntax, uncompressed, with numeric identifiers: a key, then its qualifiers in
order, each followed by its value; other data may stand in the query.
"""

import re
from urllib.parse import unquote

from registry.domain.labels.gs1 import check_elements, identifier_at, read_gtin
from registry.domain.labels.label import Draft, Element
from registry.domain.labels.sayings import Unreadable

_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]*://|www\.", re.IGNORECASE | re.ASCII)
_WEB = re.compile(r"https?://([^/?#]+)([^?#]*)(?:\?([^#]*))?(?:#.*)?", re.IGNORECASE | re.ASCII)
#: Keys that can name a unit, what their values begin with (eight digits or more, or a company prefix), and the
#: qualifiers that may follow, in their order.
_KEYS = {
    "01": (re.compile(r"[0-9]{8}(?:[0-9]{4,6})?", re.ASCII), ("22", "10", "21")),
    "8004": (re.compile(r"[0-9]{4}.+", re.ASCII), ("7040",)),
    "8010": (re.compile(r"[0-9]{4}.+", re.ASCII), ("8011",)),
}
_GTIN_EXTENSION = ("235",)
_BAD_PERCENT = re.compile(r"%(?![0-9A-Fa-f]{2})")


def is_address(text: str) -> bool:
    return bool(_ADDRESS.match(text))


def read_digital_link(text: str, draft: Draft) -> bool:
    """Read the elements of a Digital Link address into the draft; False when the address is none.

    Raises Unreadable for an address that has a key but is out of order, or holds a value that is not allowed.
    """
    match = _WEB.fullmatch(text)
    if match is None:
        return False
    segments = match[2].removesuffix("/").split("/")[1:]
    start = next((place for place, key in enumerate(segments[:-1]) if _is_key(key, segments[place + 1])), None)
    if start is None:
        return False
    draft.syntax = "gs1-digital-link"
    draft.elements = _path_elements(segments[start:]) + _query_elements(match[3] or "")
    _store_fourteen_digits(draft)
    check_elements(draft)
    return True


def _is_key(key: str, value: str) -> bool:
    return key in _KEYS and bool(_KEYS[key][0].fullmatch(value))


def _path_elements(segments: list[str]) -> list[Element]:
    key, *qualifiers = segments[::2]
    extended = key == "01" and tuple(qualifiers) == _GTIN_EXTENSION
    if len(segments) % 2 or not (extended or _in_order(qualifiers, _KEYS[key][1])):
        raise Unreadable("qualifier_order")
    return [Element(ai, _decode(ai, value)) for ai, value in zip(segments[::2], segments[1::2], strict=True)]


def _in_order(found: list[str], allowed: tuple[str, ...]) -> bool:
    rest = iter(allowed)
    return all(ai in rest for ai in found)


def _query_elements(query: str) -> list[Element]:
    """Fields in the query. A name that is no application identifier belongs to the site and is left alone."""
    pairs = (pair.partition("=") for pair in re.split("[&;]", query))
    return [Element(name, _decode(name, value)) for name, _, value in pairs if _is_field(name)]


def _is_field(name: str) -> bool:
    known = identifier_at(name)
    return known is not None and known.ai == name


def _decode(qualifier: str, value: str) -> str:
    """Percent-decode one part, after the split, so that an encoded slash stays inside its value."""
    if _BAD_PERCENT.search(value):
        raise Unreadable("charset", qualifier=qualifier)
    return unquote(value)


def _store_fourteen_digits(draft: Draft) -> None:
    key, value = draft.elements[0]
    if key == "01" and len(value) < 14:
        draft.elements[0] = Element(key, read_gtin(value))
        draft.warn("gtin_padded")
