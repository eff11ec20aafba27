"""Our own label code: eight characters, the first the origin that drew it, the last a check character over GF(32).

Method: a weighted sum over the field GF(32) = GF(2)[x] / (x^5 + x^3 + x^2 + x + 1). The character at position i,
counted from the left and from 0, is weighted by x^i; x generates all 31 elements other than zero, so the eight
weights differ and none is zero. One wrong character changes the sum by w(a - b), two swapped ones by
(w - v)(a - b); neither can be zero. The sum of a good code is a constant other than zero, so that a row of
zeros, which is what broken readers tend to send, is never a code.
"""

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 8
NARROW_NO_BREAK_SPACE = "\u202f"
#: Copies of one label are numbered from 1 to this; the label on the part itself has no number.
MOST_COPIES = 99

_VALUES = {character: value for value, character in enumerate(ALPHABET)}
_FIELD = 0b101111
_SUM = 26
#: What people put between the groups: spaces, and the hyphens that phones make of a typed one.
_GAP = "[ \u00a0\u2009\u202f\u2010\u2011\u2012\u2013-]"
_GROUPED = re.compile(rf"([^\s-]{{4}}){_GAP}+([^\s-]{{4}})")
_ENDS = " \t\r\n\u00a0\u202f"
_TAKEN_FOR = {"I": "a one", "L": "a one", "O": "a zero", "U": "a V"}
_OWN_ADDRESS = re.compile(r"(https?)://([^/?#\s]+)/i/([^/?#\s]+)(?:/([^/?#\s]+))?", re.IGNORECASE | re.ASCII)
_COPY = re.compile(r"[1-9][0-9]?", re.ASCII)
_HOST = re.compile(r"[A-Z0-9][A-Z0-9.-]*(?::[0-9]{1,5})?", re.ASCII)
_STANDARD_PORTS = {"http": ":80", "https": ":443"}


class Marked(NamedTuple):
    """What one of our symbols says. `copy` is 0 on the part's own label; a numbered copy is no evidence of place."""

    code: str
    copy: int = 0


def _times_x(value: int) -> int:
    value <<= 1
    return value ^ _FIELD if value & 32 else value


def _weighted_sum(code: str) -> int:
    """Horner's rule from the right, which gives the leftmost character the weight 1."""
    total = 0
    for character in reversed(code):
        total = _times_x(total) ^ _VALUES[character]
    return total


def check_character(body: str) -> str:
    """The eighth character that belongs after seven others. Raises KeyError for one outside the alphabet."""
    return next(last for last in ALPHABET if _weighted_sum(body + last) == _SUM)


def draw_code(origin: str, randbelow: Callable[[int], int]) -> str:
    """A new code of the registry whose letter is `origin`; `randbelow(n)` gives a number from 0 to n - 1.

    Two origins can never draw the same code; within one, 32^6 codes exist and the caller sees to it that a code
    is drawn once. Raises ValueError when `origin` is not one character of the alphabet.
    """
    if len(origin) != 1 or origin not in _VALUES:
        raise ValueError(f"{origin!r} is not an origin. Give one character of {ALPHABET}.")
    body = origin + "".join(ALPHABET[randbelow(len(ALPHABET))] for _ in range(LENGTH - 2))
    return body + check_character(body)


def looks_like_code(text: str) -> bool:
    """Whether `text` has the form of a code, as typed or printed: then `read_code` reads it or says what is wrong.

    Form only: many serial numbers have it too, and a misread code keeps it.
    """
    characters = _characters(text)
    return len(characters) == LENGTH and characters.isascii() and characters.isalnum()


def read_code(text: str) -> str:
    """The eight capital characters of a code, typed or printed.

    Lower case is accepted, and spaces or hyphens between the two groups of four. Raises ValueError with a
    sentence for the operator; a misread character is never corrected.
    """
    characters = _characters(text)
    if not characters:
        raise ValueError("Nothing was read. Scan again.")
    if len(characters) != LENGTH:
        raise ValueError(f"Our codes have {LENGTH} characters; this text has {len(characters)}. Scan again.")
    # Only ASCII letters are raised: other alphabets hold letters whose capitals look like ours and are not.
    code = "".join(c.upper() if c.isascii() else c for c in characters)
    for character in code:
        if character in _TAKEN_FOR:
            taken_for = _TAKEN_FOR[character]
            raise ValueError(f"{character} is never in one of our codes; is it {taken_for}? Scan again.")
        if character not in _VALUES:
            shown = character if character.isprintable() else "A control character"
            raise ValueError(f"{shown} is never in one of our codes, which hold capitals and digits. Scan again.")
    if _weighted_sum(code) != _SUM:
        raise ValueError(f"{say_code(code)} fails its check character: one letter was misread. Scan again.")
    return code


def _characters(text: str) -> str:
    text = text.strip(_ENDS)
    grouped = _GROUPED.fullmatch(text)
    return grouped[1] + grouped[2] if grouped else text


def say_code(code: str) -> str:
    """Two groups of four, held together by a narrow no-break space."""
    return code[:4] + NARROW_NO_BREAK_SPACE + code[4:]


def is_host(text: str) -> bool:
    """Whether a host can be printed in the address on a label."""
    return bool(_HOST.fullmatch(text.upper()))


def code_url(host: str, code: str, copy: int = 0) -> str:
    """The text of our symbol: `HTTPS://HOST/I/XXXXXXXX`, or `…/2` for the second numbered copy.

    Capitals, digits and `:/.-` alone, so that a QR symbol holds it in alphanumeric mode. Raises ValueError for a
    host, a code or a copy number that cannot be printed so.
    """
    if not is_host(host):
        raise ValueError(f"{host!r} cannot stand on a label. Give the host in plain letters, like pairs.example.org.")
    if not 0 <= copy <= MOST_COPIES:
        raise ValueError(f"Copies are numbered from 1 to {MOST_COPIES}; {copy} is none of them.")
    return f"HTTPS://{host.upper()}/I/{read_code(code)}" + (f"/{copy}" if copy else "")


def code_in_url(text: str, hosts: Iterable[str]) -> Marked | None:
    """The code and copy number in one of our addresses, or None when the address is not one of ours.

    Scheme, host and path are read in either case, because phone browsers lower the host. An address is ours when
    its host is one of `hosts` (list former hosts there, so that old labels keep reading): the path alone proves
    nothing, since other sites may use it. The network is never asked. Raises ValueError with the sentence of
    `read_code` when the address is ours and the code in it was misread.
    """
    match = _OWN_ADDRESS.fullmatch(text)
    if match is None:
        return None
    scheme, host, code, copy = match.groups()
    host = host.lower().removesuffix(_STANDARD_PORTS[scheme.lower()])
    if host not in {known.lower() for known in hosts}:
        return None
    if copy is not None and not _COPY.fullmatch(copy):
        return None
    return Marked(read_code(code), int(copy or 0))
