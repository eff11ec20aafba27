"""What the database refuses by itself, whoever writes: the guards of every table, and how each engine is told.

A guard is one condition on OLD and NEW. The two engines differ only in how "same, NULL included" is spelt and in how a
trigger is wrapped, so each rule stands once. Guards are dropped before a migration runs and made again at its end,
never inside one: a SQLite batch rebuild silently loses triggers.
"""

from collections.abc import Iterable, Iterator

import sqlalchemy as sa

from registry.models.base import Guard, Stay, closing_columns, folded_tables, guards, metadata

HEAD = "(SELECT size FROM log_head WHERE writing = 1)"


def same(engine: str, a: str, b: str) -> str:
    return f"{a} IS {b}" if engine == "sqlite" else f"{a} IS NOT DISTINCT FROM {b}"


def all_guards(engine: str) -> Iterator[Guard]:
    """Generated guards of every folded table, then those the feature modules declare."""
    for table in folded_tables():
        yield _by_act(engine, table)
        yield Guard(f"{table.name}_stays", table.name, "DELETE", "1 = 1", "The record is never deleted.")
        yield _changes(engine, table)
        stay: Stay | None = table.info["stay"]
        for keys in stay.apart if stay else ():
            yield _apart(table.name, stay, keys.split())
    for table in metadata.sorted_tables:
        # Nothing outside the fold is deleted either: REPLACE would evict a row where there is no right to delete.
        if "folded" not in table.info:
            yield Guard(
                f"{table.name}_stays", table.name, "DELETE", "1 = 1", "What the registry keeps is never deleted."
            )
    yield from guards


def _by_act(engine: str, table: sa.Table) -> Guard:
    """No row without an entry, none evicted by a REPLACE, none born closed by or voided by another entry."""
    born = ""
    if "closed_seq" in table.c:
        born += " OR (NEW.closed_seq IS NOT NULL AND NEW.closed_seq <> NEW.seq)"
    if "voided_seq" in table.c:
        born += " OR NEW.voided_seq IS NOT NULL"
    when = (
        f"NOT ({same(engine, 'NEW.seq', HEAD)}) OR NEW.seq IS NULL"
        f" OR EXISTS (SELECT 1 FROM {table.name} t WHERE t.id = NEW.id){born}"
    )
    return Guard(f"{table.name}_by_act", table.name, "INSERT", when, "The record is written only by an act.")


def _changes(engine: str, table: sa.Table) -> Guard:
    if table.info["folded"] == "nothing":
        return Guard(f"{table.name}_fixed", table.name, "UPDATE", "1 = 1", "What is recorded is never changed.")
    closing = closing_columns(table) if table.info["folded"] == "closes" else []
    loose = {*closing, "closed_seq", "voided_seq"}
    still = [same(engine, f"OLD.{c.name}", f"NEW.{c.name}") for c in table.c if c.name not in loose]
    voids = (
        f"({same(engine, 'OLD.voided_seq', 'NEW.voided_seq')}"
        f" OR (OLD.voided_seq IS NULL AND {same(engine, 'NEW.voided_seq', HEAD)}))"
    )
    allowed = [*still, voids]
    if "closed_seq" in table.c:
        untouched = " AND ".join(same(engine, f"OLD.{name}", f"NEW.{name}") for name in [*closing, "closed_seq"])
        closes = (
            "OLD.closed_seq IS NULL AND OLD.voided_seq IS NULL AND NEW.voided_seq IS NULL"
            f" AND NEW.closed_seq IS NOT NULL AND {same(engine, 'NEW.closed_seq', HEAD)}"
        )
        allowed.append(f"(({untouched}) OR ({closes}))")
    when = f"NOT ({' AND '.join(allowed)})"
    return Guard(
        f"{table.name}_changes_once", table.name, "UPDATE", when,
        "What is recorded is closed once or voided once, and never changed otherwise.",
    )  # fmt: skip


def _apart(table: str, stay: Stay, keys: list[str]) -> Guard:
    """Two neighbour seeks instead of a search: the row that began last before this one, and the next to begin."""
    since, until = stay.since, stay.until
    mine = " AND ".join(f"{key} = NEW.{key}" for key in keys)
    when = (
        f"EXISTS (SELECT 1 FROM (SELECT {until} AS till FROM {table} WHERE {mine} AND voided_seq IS NULL"
        f" AND {since} <= NEW.{since} ORDER BY {since} DESC LIMIT 1) p WHERE p.till IS NULL OR p.till > NEW.{since})"
        f" OR EXISTS (SELECT 1 FROM (SELECT {since} AS frm FROM {table} WHERE {mine} AND voided_seq IS NULL"
        f" AND {since} > NEW.{since} ORDER BY {since} LIMIT 1) n WHERE NEW.{until} IS NULL OR n.frm < NEW.{until})"
    )
    name = f"{table}_apart_by_{'_'.join(keys)}"
    return Guard(
        name, table, "INSERT", when, f"Two stays in the record would overlap ({', '.join(keys)}).", "overlaps_history"
    )


def create_guards(db: sa.Connection) -> None:
    if db.dialect.name == "postgresql":
        # Rows of this very transaction may wait for a deferred check; no trigger can be made until it was.
        db.exec_driver_sql("SET CONSTRAINTS ALL IMMEDIATE")
    _run(db, guard_statements(db.dialect.name))


def _run(db: sa.Connection, statements: Iterable[str]) -> None:
    """PostgreSQL is sent all of them at once: thousands of answers, one by one, take seconds."""
    for statement in [";\n".join(statements)] if db.dialect.name == "postgresql" else statements:
        db.exec_driver_sql(statement)


def guard_statements(engine: str) -> list[str]:
    if engine == "sqlite":
        return [_sqlite_trigger(guard) for guard in all_guards(engine)]
    statements = [part for guard in all_guards(engine) for part in _postgres_trigger(guard)]
    return statements + _postgres_exclusions() + _postgres_truncations()


def drop_guards(db: sa.Connection) -> None:
    """Drop whatever guards are there, also those of an older release."""
    if db.dialect.name == "sqlite":
        found = db.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'").scalars().all()
        for name in found:
            db.exec_driver_sql(f'DROP TRIGGER "{name}"')
        return
    found = db.exec_driver_sql(
        "SELECT 'ALTER TABLE ' || quote_ident(c.relname) || ' DROP CONSTRAINT ' || quote_ident(k.conname) FROM pg_constraint k"
        " JOIN pg_class c ON c.oid = k.conrelid WHERE k.contype = 'x' AND c.relnamespace = current_schema()::regnamespace"
        " UNION ALL SELECT 'DROP FUNCTION ' || quote_ident(proname) || '() CASCADE' FROM pg_proc"
        " WHERE pronamespace = current_schema()::regnamespace AND prorettype = 'trigger'::regtype"
    ).scalars().all()  # fmt: skip
    _run(db, found)


def _sqlite_trigger(g: Guard) -> str:
    return (
        f"CREATE TRIGGER {g.name} BEFORE {g.on} ON {g.table} WHEN {g.when}"
        f" BEGIN SELECT RAISE(ABORT, 'guard:{g.name}'); END"
    )


def _postgres_trigger(g: Guard) -> list[str]:
    row = "OLD" if g.on == "DELETE" else "NEW"
    # search_path is pinned, temporary tables last: one named log_head must not stand in for the real one.
    return [
        f"CREATE FUNCTION {g.name}() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$"
        f" BEGIN IF {g.when} THEN RAISE EXCEPTION 'guard:{g.name}' USING ERRCODE = 'integrity_constraint_violation';"
        f" END IF; RETURN {row}; END $$",
        f"CREATE TRIGGER {g.name} BEFORE {g.on} ON {g.table} FOR EACH ROW EXECUTE FUNCTION {g.name}()",
        f"ALTER TABLE {g.table} ENABLE ALWAYS TRIGGER {g.name}",
    ]


def _postgres_exclusions() -> list[str]:
    statements = []
    for table in folded_tables():
        stay: Stay | None = table.info["stay"]
        for keys in stay.apart if stay else ():
            same_keys = ", ".join(f"{key} WITH =" for key in keys.split())
            statements.append(
                f"ALTER TABLE {table.name} ADD CONSTRAINT {table.name}_excluded_by_{keys.replace(' ', '_')} EXCLUDE USING gist"
                f" ({same_keys}, tstzrange({stay.since}, {stay.until}) WITH &&) WHERE (voided_seq IS NULL)"
            )
    return statements


def _postgres_truncations() -> list[str]:
    """TRUNCATE fires no row trigger."""
    names = [table.name for table in metadata.sorted_tables]
    make = (
        "CREATE FUNCTION nothing_is_truncated() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN"
        " RAISE EXCEPTION 'guard:nothing_is_truncated' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    return [make] + [
        statement
        for name in names
        for statement in (
            f"CREATE TRIGGER {name}_not_truncated BEFORE TRUNCATE ON {name} EXECUTE FUNCTION nothing_is_truncated()",
            f"ALTER TABLE {name} ENABLE ALWAYS TRIGGER {name}_not_truncated",
        )
    ]
