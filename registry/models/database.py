"""Connections: `reading()` sees one moment and can change nothing; `writing()` is one transaction, all or nothing."""

import sqlite3
import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite

from registry.errors import Reason, Refused
from registry.models import rights
from registry.models.refusals import translated

#: WAL with FULL: NORMAL loses acknowledged acts when the power goes.
PRAGMAS = (
    "journal_mode = WAL",
    "synchronous = FULL",
    "foreign_keys = ON",
    "recursive_triggers = ON",  # makes REPLACE fire the DELETE triggers of the rows it evicts
    "busy_timeout = 10000",
    "trusted_schema = OFF",
    "wal_autocheckpoint = 10000",
    "cache_size = -65536",
    "mmap_size = 268435456",
)
PATIENCE_S = 30


class Turns:
    """A lock that is handed on in order of arrival: waiting writers are served first come, first served."""

    def __init__(self) -> None:
        self._mutex = threading.Lock()
        self._waiting: deque[threading.Lock] = deque()
        self._taken = False

    @contextmanager
    def __call__(self) -> Iterator[None]:
        self._take()
        try:
            yield
        finally:
            self._hand_on()

    def _take(self) -> None:
        with self._mutex:
            if not self._taken:
                self._taken = True
                return
            mine = threading.Lock()
            mine.acquire()
            self._waiting.append(mine)
        if mine.acquire(timeout=PATIENCE_S):
            return
        with self._mutex:
            if mine in self._waiting:
                self._waiting.remove(mine)
                raise Refused(Reason("busy", "Others have been writing for half a minute.", next="Send it again."))
        # The turn was handed over in the instant the patience ran out: it is ours after all.

    def _hand_on(self) -> None:
        with self._mutex:
            if self._waiting:
                self._waiting.popleft().release()
            else:
                self._taken = False


class Database:
    """One registry's database, over an application connection that may do no more than the work needs."""

    def __init__(self, url: str):
        self.url = sa.make_url(url)
        self.engine_name = self.url.get_backend_name()
        if self.engine_name == "sqlite":
            require_sqlite()
            self._writer = _sqlite_engine(self.url, rights.may_write, "BEGIN IMMEDIATE", 1)
            self._reader = _sqlite_engine(self.url, rights.may_read, "BEGIN", 8)
        elif self.engine_name == "postgresql":
            self._writer = self._reader = _postgres_engine(self.url)
        else:
            raise ValueError(f"Pairbook keeps its record in SQLite or PostgreSQL; {self.engine_name} is neither.")
        self._turns = Turns()

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """One consistent moment of the record; anything written through it is refused by the database."""
        with self._reader.connect() as db:
            if self.engine_name == "postgresql":
                db = db.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with db.begin():
                yield db

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """One transaction, committed when the block ends. A constraint that refuses becomes `Refused`."""
        if self.engine_name == "postgresql":
            # The row lock on log_head makes writers queue there; READ COMMITTED, so that nobody has to try again.
            with translated(), self._writer.begin() as db:
                yield db
        else:
            with self._turns(), translated(), self._writer.begin() as db:
                yield db

    def dispose(self) -> None:
        self._writer.dispose()
        self._reader.dispose()


def add_if_missing(db: sa.Connection, table: sa.Table, row: dict[str, Any]) -> None:
    """Add a row of a table outside the fold unless its key is there, also while another writer adds it."""
    insert = postgresql.insert if db.dialect.name == "postgresql" else sqlite.insert
    db.execute(insert(table).values(row).on_conflict_do_nothing())


def owner_engine(url: str | sa.URL) -> sa.Engine:
    """An engine that may change the schema: for migrations, backup and tests, never for requests."""
    url = sa.make_url(url)
    return (
        _sqlite_engine(url, None, "BEGIN IMMEDIATE", 1) if url.get_backend_name() == "sqlite" else _postgres_engine(url)
    )


def checkpoint_wal(url: str) -> None:
    """Move SQLite's write-ahead log into the database file, over a connection of its own; waits for nobody."""
    path = sa.make_url(url).database or ""
    raw = sqlite3.connect(path, timeout=0.5)
    try:
        raw.execute("PRAGMA wal_checkpoint(PASSIVE)")
    except sqlite3.OperationalError:
        pass  # somebody is at it already; the next turn comes soon
    finally:
        raw.close()


def require_sqlite() -> None:
    if sqlite3.sqlite_version_info < (3, 37):
        raise RuntimeError(
            f"Pairbook needs SQLite 3.37 or newer for strict tables; this Python brings {sqlite3.sqlite_version}."
        )


def _sqlite_engine(url: sa.URL, authorizer: Callable[..., int] | None, begin: str, size: int) -> sa.Engine:
    engine = sa.create_engine(
        url, poolclass=sa.pool.QueuePool, pool_size=size, max_overflow=0 if size == 1 else 8,
        connect_args={"check_same_thread": False, "cached_statements": 512}, query_cache_size=1200,
    )  # fmt: skip

    @sa.event.listens_for(engine, "connect")
    def set_up(raw: sqlite3.Connection, _record: Any) -> None:
        raw.isolation_level = None
        for pragma in PRAGMAS:
            raw.execute(f"PRAGMA {pragma}")
        if authorizer is rights.may_read:
            raw.execute("PRAGMA query_only = ON")
        raw.set_authorizer(authorizer)

    @sa.event.listens_for(engine, "begin")
    def begin_as_told(db: sa.Connection) -> None:
        db.exec_driver_sql(begin)

    return engine


def _postgres_engine(url: sa.URL) -> sa.Engine:
    return sa.create_engine(
        url.set(drivername="postgresql+psycopg"), pool_size=8, max_overflow=24, isolation_level="READ COMMITTED",
        connect_args={"options": "-c timezone=UTC -c lock_timeout=30s -c search_path=public"}, query_cache_size=1200,
    )  # fmt: skip
