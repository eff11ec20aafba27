"""The disc: the project's sign for what two halves are to each other. Always beside its word."""

import re
from functools import cache

from markupsafe import Markup

from registry.paths import TEMPLATES

WORDS = {
    "whole": "Whole", "mixed": "Mixed", "former": "Were a pair once", "alone-s": "Sensor half alone", "alone-e": "Electronics half alone",
    "same-s": "Two sensor halves", "same-e": "Two electronics halves", "hold": "On hold", "empty": "Empty bay", "await": "Waiting for a scan",
    "unknown": "Not in the registry", "sealed": "Sealed", "half-s": "Sensor half", "half-e": "Electronics half", "out": "Out of the bay", "in": "Into the bay",
}  # fmt: skip
#: From this size on the two signs that have one are drawn large.
LARGE_PX = 64
_HAS_LARGE = ("whole", "mixed")
_SYMBOL = re.compile(r'<symbol id="([a-z-]+)".*?</symbol>', re.DOTALL)


@cache
def symbols() -> dict[str, str]:
    """Name -> the symbol's drawing."""
    text = (TEMPLATES / "signs.svg").read_text(encoding="utf-8")
    return {match[1]: match[0] for match in _SYMBOL.finditer(text)}


def symbol_name(name: str, px: int = 24) -> str:
    return f"{name}-l" if px >= LARGE_PX and name in _HAS_LARGE else name


def disc(name: str, px: int = 24, *, alone: bool = False) -> Markup:
    """The sign `name` at a size of the scale. `alone` says that no word stands beside it: then it names itself."""
    size = "" if px == 24 else f" d{px}"
    said = Markup('role="img" aria-label="{}"').format(WORDS[name]) if alone else Markup('aria-hidden="true"')
    return Markup('<svg class="disc{}" {}><use href="#{}"/></svg>').format(size, said, symbol_name(name, px))


def sprite(names: set[str]) -> Markup:
    """The symbols a page uses, once."""
    drawn = "".join(symbols()[name] for name in sorted(names))
    return Markup(f'<svg class="signs" aria-hidden="true" focusable="false">{drawn}</svg>')
