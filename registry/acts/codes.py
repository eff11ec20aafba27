"""Drawing label codes that nothing bears yet."""

from collections.abc import Callable

import sqlalchemy as sa

from registry.domain.codes import draw_code
from registry.models.lookups import borne


def drawn(db: sa.Connection, letter: str, randbelow: Callable[[int], int], at_once: int = 1) -> Callable[..., str]:
    """A drawer of codes: never one that is in use, never the same twice. `at_once` are drawn and looked up together, by
    those who hold the head of the log for many acts."""
    given: set[str] = set()
    waiting: dict[str, list[str]] = {}

    def draw(origin: str = letter) -> str:
        left = waiting.setdefault(origin, [])
        while not left:
            codes = [
                code
                for code in dict.fromkeys(draw_code(origin, randbelow) for _ in range(at_once))
                if code not in given
            ]
            given.update(codes)
            taken = borne(db, codes)
            left += [code for code in codes if code not in taken]
        return left.pop()

    return draw
