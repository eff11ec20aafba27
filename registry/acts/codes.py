"""Label codes: which thing bears one, and drawing one that nothing bears yet."""

from collections.abc import Callable

import sqlalchemy as sa
from sqlalchemy import bindparam, literal, select

from registry.domain.codes import draw_code
from registry.models.fleet import bay, vehicle
from registry.models.people import person
from registry.models.sites import site, station
from registry.models.units import half

BEARERS = (half, bay, vehicle, station, person, site)
_bearer = sa.union_all(*(select(literal(t.name).label("kind"), t.c.id).where(t.c.code == bindparam("code")) for t in BEARERS))


def bearer(db: sa.Connection, code: str) -> tuple[str, str] | None:
    """(kind, id) of the thing that bears this code."""
    row = db.execute(_bearer, {"code": code}).first()
    return (row.kind, row.id) if row else None


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
