"""What an application connection may do: by an authorizer on SQLite, by a role that owns nothing on PostgreSQL.

Both are read off the tables' own declarations: insert into folded tables, fill in the closing columns, and what
`rights` says of the tables outside the fold. Nothing else; in particular no DELETE, no DDL and no PRAGMA.
"""

import sqlite3
from collections.abc import Iterator
from functools import cache

from registry.models.base import closing_columns, metadata


@cache
def insertable() -> frozenset[str]:
    return frozenset(t.name for t in metadata.sorted_tables if "folded" in t.info or "insert" in t.info["rights"])


@cache
def updatable() -> dict[str, frozenset[str]]:
    """Table -> the columns an application may write again."""
    found: dict[str, frozenset[str]] = {}
    for table in metadata.sorted_tables:
        changes = table.info.get("folded")
        if changes == "closes":
            found[table.name] = frozenset([*closing_columns(table), "closed_seq", "voided_seq"])
        elif changes == "voids":
            found[table.name] = frozenset(["voided_seq"])
        elif "update" in table.info.get("rights", ()):
            found[table.name] = frozenset(c.name for c in table.c if not c.primary_key)
    return found


_HARMLESS = {
    sqlite3.SQLITE_SELECT,
    sqlite3.SQLITE_READ,
    sqlite3.SQLITE_TRANSACTION,
    sqlite3.SQLITE_SAVEPOINT,
    sqlite3.SQLITE_RECURSIVE,
}
# SQLAlchemy asks for the isolation level once a connection, `verify` for broken references: asking changes nothing.
_ASKED = {"read_uncommitted", "foreign_key_check"}


def may_read(action: int, first: str | None, second: str | None, _database: str | None, _source: str | None) -> int:
    """sqlite3 authorizer of a reading connection."""
    if action in _HARMLESS:
        return sqlite3.SQLITE_OK
    if action == sqlite3.SQLITE_FUNCTION:
        return sqlite3.SQLITE_DENY if second == "load_extension" else sqlite3.SQLITE_OK
    if action == sqlite3.SQLITE_PRAGMA and second is None and first in _ASKED:
        return sqlite3.SQLITE_OK
    return sqlite3.SQLITE_DENY


def may_write(action: int, first: str | None, second: str | None, database: str | None, source: str | None) -> int:
    """sqlite3 authorizer of a writing connection."""
    if action == sqlite3.SQLITE_INSERT and first in insertable():
        return sqlite3.SQLITE_OK
    if action == sqlite3.SQLITE_UPDATE and second in updatable().get(first or "", ()):
        return sqlite3.SQLITE_OK
    return may_read(action, first, second, database, source)


def grants(role: str, database: str) -> Iterator[str]:
    """Statements that give a PostgreSQL role its rights and no others. Run by the owner of the tables."""
    who = '"' + role.replace('"', '""') + '"'
    where = '"' + database.replace('"', '""') + '"'
    yield f"REVOKE ALL ON ALL TABLES IN SCHEMA public FROM {who}"
    yield f"REVOKE CREATE ON SCHEMA public FROM {who}, PUBLIC"
    # A temporary table could stand in front of a real one for whoever forgets to pin the search path.
    yield f"REVOKE TEMPORARY ON DATABASE {where} FROM {who}, PUBLIC"
    yield f"GRANT USAGE ON SCHEMA public TO {who}"
    yield f"GRANT SELECT ON ALL TABLES IN SCHEMA public TO {who}"
    for table in sorted(insertable()):
        yield f"GRANT INSERT ON {table} TO {who}"
    for table, columns in updatable().items():
        yield f"GRANT UPDATE ({', '.join(sorted(columns))}) ON {table} TO {who}"
