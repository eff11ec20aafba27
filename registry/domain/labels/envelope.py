"""The envelope of ISO/IEC 15434: `[)>` RS, then for each format two characters, GS, elements and RS; EOT at the end."""

import re
from typing import NamedTuple

from registry.domain.labels.aim import split_aim
from registry.domain.labels.sayings import Unreadable
from registry.domain.labels.wedge import EOT, GS, OPENING, RS

SUPPORTED = frozenset(("05", "06", "12", "DD"))

_FORMAT = re.compile(rf"([^{RS}{GS}{EOT}]{{2}}){GS}(.*)", re.DOTALL)


class Format(NamedTuple):
    """One format of a message: its indicator, and its elements still joined by GS."""

    indicator: str
    content: str


def split_message(text: str) -> tuple[list[Format], list[str]]:
    """The formats of a message whose separators are control characters, and warnings about its end.

    A message that lost EOT or the last RS, but not both, is complete and only warned about. Raises Unreadable
    when the end was not seen, when something follows it, and for formats that are no part labels.
    """
    body = text[len(OPENING + RS) :]
    # The first format is judged before the end: free text of another format may hold anything.
    _check_indicator(body[:2])
    body, warnings = _without_end(body)
    return [_read_format(part) for part in body.split(RS)], warnings


def _check_indicator(indicator: str) -> None:
    if indicator not in SUPPORTED:
        shown = "".join(c for c in indicator if c.isprintable())
        raise Unreadable("format_not_supported", format=shown)


def _read_format(part: str) -> Format:
    match = _FORMAT.fullmatch(part)
    if match is None:
        raise Unreadable("two_labels" if part.startswith(OPENING) else "trailer_order")
    _check_indicator(match[1])
    return Format(match[1], match[2])


def _without_end(body: str) -> tuple[str, list[str]]:
    body, eot, tail = body.partition(EOT)
    if tail:
        raise Unreadable(_what_follows(tail))
    if body.endswith(RS):
        return body[:-1], [] if eot else ["eot_missing"]
    if eot:
        return body, ["format_trailer_missing"]
    last = body.rpartition(RS)[2]
    if RS in body and not _FORMAT.match(last):
        raise Unreadable(_what_follows(last))
    raise Unreadable("end_not_seen")


def _what_follows(tail: str) -> str:
    """Why text after the end is refused: another label, a jumbled end, or anything else."""
    if not tail.strip(RS + EOT):
        return "trailer_order"
    following = split_aim(tail.lstrip(f"{RS}{EOT}\r\n\t ")).data
    return "two_labels" if following.startswith(OPENING) else "data_after_end"
