"""Drawing label codes that nothing bears yet."""

from collections.abc import Callable

import sqlalchemy as sa

from registry.domain.codes import draw_code
from registry.models.lookups import bearer


def drawn(db: sa.Connection, letter: str, randbelow: Callable[[int], int]) -> Callable[..., str]:
    """A drawer of codes for one act: never one that is in use, never the same twice."""
    given: set[str] = set()

    def draw(origin: str = letter) -> str:
        while True:
            code = draw_code(origin, randbelow)
            if code not in given and bearer(db, code) is None:
                given.add(code)
                return code

    return draw
