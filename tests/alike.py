"""What comes out alike for every registry is worked out once a worker, however many registries its tests open.

The program opens one registry in a process, the tests hundreds. Each still has its own file, connections, locks and
authorizer; what they share is how a statement is spelt for an engine, and how a definition of the schema reads.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import sqlalchemy as sa

from registry.models import database, schema

#: Name of the engine -> one that has been connected, whose dialect knows the server therefore.
_CONNECTED: dict[str, sa.Engine] = {}


def _spelling_alike(make: Callable[..., sa.Engine]) -> Callable[..., sa.Engine]:
    def made(*told: Any) -> sa.Engine:
        engine = make(*told)
        if known := _CONNECTED.get(engine.name):
            engine.dialect, engine._compiled_cache = known.dialect, known._compiled_cache
        else:
            sa.event.listen(engine, "engine_connect", _connected)
        return engine

    return made


def _connected(db: sa.Connection) -> None:
    known = _CONNECTED.setdefault(db.engine.name, db.engine)
    known._compiled_cache.capacity = 20_000  # all that any test asks stays, of every registry


def shared() -> None:
    """To be called once, before the first test."""
    database._sqlite_engine = _spelling_alike(database._sqlite_engine)
    database._postgres_engine = _spelling_alike(database._postgres_engine)
    schema._plain = lru_cache(maxsize=20_000)(schema._plain)
