"""A sitting: acts entered one after the other in one transaction, which holds the head of the log from the first on.

Nobody else enters anything meanwhile. So what a sitting has read stays as it is until an act of its own writes to one of
the tables it was read from; asked again, it is answered from memory. Every act is decided by its own rules all the same.
"""

import re
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

import sqlalchemy as sa

from registry.acts import log
from registry.acts.codes import drawn
from registry.acts.entry import Entry
from registry.models.base import metadata

#: Answers that are kept; beyond that all are forgotten, and memory stays small however long the sitting is.
_MOST_KEPT = 4000
_WORD = re.compile(r"\w+")


class _Kept(NamedTuple):
    """An answer, and the statement that it answers: while that is held, its id stands for no other."""

    statement: Any
    tables: frozenset[str]
    answer: sa.FrozenResult[Any]


class Remembering:
    """A connection that asks nothing twice while nothing of it can have changed. For writers who hold the head alone."""

    def __init__(self, db: sa.Connection):
        self._db = db
        self._kept: dict[tuple[int, Any], _Kept] = {}
        self._tables: dict[int, tuple[Any, frozenset[str]]] = {}
        self._written: set[str] = set()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._db, name)

    def execute(self, statement: Any, parameters: Any = None, **more: Any) -> Any:
        if isinstance(statement, (sa.Select, sa.CompoundSelect)):
            return self._asked(statement, parameters, more)
        table = getattr(statement, "table", None)
        self._was_written([table.name] if table is not None else metadata.tables)
        return self._db.execute(statement, parameters, **more)

    def _was_written(self, names: Iterable[str]) -> None:
        """A table that the sitting wrote to is read from the database from now on."""
        if new := set(names) - self._written:
            self._written |= new
            self._kept = {key: kept for key, kept in self._kept.items() if not kept.tables & new}

    def _asked(self, statement: Any, parameters: Any, more: dict[str, Any]) -> Any:
        known = self._tables.get(id(statement))
        key = (id(statement), _hashable(parameters))
        if more or statement._for_update_arg is not None or (known and not known[1].isdisjoint(self._written)):
            return self._db.execute(statement, parameters, **more)
        if key in self._kept:
            return self._kept[key].answer()
        result = self._db.execute(statement, parameters)
        if known is None:
            # Every word of the statement that is the name of a table: one too many costs a reading, no more.
            words = frozenset(_WORD.findall(result.context.statement)) & metadata.tables.keys()
            known = (statement, frozenset(words))
        if not known[1].isdisjoint(self._written):
            self._tables[id(statement)] = known
            return result
        if len(self._kept) >= _MOST_KEPT or len(self._tables) >= _MOST_KEPT:
            self._kept, self._tables = {}, {}
        self._tables[id(statement)] = known
        answer = result.freeze()
        self._kept[key] = _Kept(statement, known[1], answer)
        return answer()


def _hashable(parameters: Any) -> Any:
    if not parameters:
        return None
    told = sorted(parameters.items())
    return tuple((name, tuple(value) if isinstance(value, (list, tuple)) else value) for name, value in told)


class Sitting:
    """The transaction, the head of the log as it moves, and what the next act needs of both.

    `at_once` label codes are looked up together; one act draws one.
    """

    def __init__(self, db: Any, randbelow: Callable[[int], int], at_once: int = 1):
        self.db = db
        self.head = log.lock(db)
        self._randbelow, self._at_once = randbelow, at_once
        self._new: set[str] = set()
        self._newest: dict[int, tuple[int, bytes]] = {}
        self._draw: Callable[..., str] | None = None

    def draw(self, origin: str | None = None) -> str:
        if self._draw is None:
            self._draw = drawn(self.db, self.head.origin, self._randbelow, self._at_once)
        return self._draw(origin) if origin else self._draw()

    def look_up(self, act_ids: list[str]) -> None:
        """Ask together which of these acts are in the log: those that are not need no asking when their turn comes."""
        self._new |= set(act_ids) - log.stored_of(self.db, act_ids)

    def stored(self, act_id: str) -> Entry | None:
        return None if act_id in self._new else log.stored(self.db, act_id)

    def append(self, entry: Entry, raw: bytes) -> None:
        """The entry at the end of the log, its head open for the rows of the entry; `close` follows them."""
        self._new.discard(entry.id)
        for level, ix, hash_ in log.append(self.db, entry, raw, self._node):
            self._newest[level] = (ix, hash_)

    def close(self, entry: Entry) -> None:
        log.close_head(self.db)
        self.head = log.Head(entry.seq, entry.recorded_at, self.head.origin or entry.origin)

    def undone(self, head: log.Head) -> None:
        """What followed this head was rolled back."""
        self.head = head

    def _node(self, level: int, ix: int) -> bytes:
        """The newest subtree of each level, which the next entry joins, is remembered."""
        newest = self._newest.get(level)
        return newest[1] if newest and newest[0] == ix else log.node_reader(self.db)(level, ix)
