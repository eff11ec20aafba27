"""What an application connection may do is exactly what the tables declare, on both engines; and the role owns nothing."""

import psycopg
import pytest
import sqlalchemy as sa

from registry.models.base import metadata
from registry.models.database import Database
from registry.models.rights import insertable, updatable
from tests import postgres
from tests.models.attacks import BOTH, NO_RIGHT
from tests.models.hand import told

TABLES = [
    pytest.param(
        table.name, engine, id=f"{table.name} [{engine}]", marks=[pytest.mark.postgres] * (engine == "postgresql")
    )
    for engine in BOTH
    for table in metadata.sorted_tables
]


def _may(database: Database, statement: str) -> bool:
    """Whether the connection may do it; nothing is done, since no row is meant. Rolled back all the same."""
    try:
        with database.writing() as db, db.begin_nested() as tried:
            db.exec_driver_sql(statement)
            tried.rollback()
    except sa.exc.DBAPIError as problem:
        assert any(word in told(problem) for word in NO_RIGHT.split("|")), told(problem)
        return False
    return True


@pytest.mark.parametrize(("name", "engine"), TABLES)
def test_a_table_is_open_to_what_it_declares_and_no_more(name: str, engine: str, besieged):
    database, table = besieged.database, metadata.tables[name]
    columns = ", ".join(column.name for column in table.c)
    assert _may(database, f"INSERT INTO {name} ({columns}) SELECT {columns} FROM {name} WHERE 1 = 0") == (
        name in insertable()
    )
    for column in table.c:
        allowed = column.name in updatable().get(name, ())
        assert _may(database, f"UPDATE {name} SET {column.name} = {column.name} WHERE 1 = 0") == allowed, column.name
    assert not _may(database, f"DELETE FROM {name} WHERE 1 = 0")


def test_no_table_can_be_written_that_the_declarations_leave_out():
    """Every table says what may be done to it: `folded` or `rights`."""
    for table in metadata.sorted_tables:
        assert ("folded" in table.info) != ("rights" in table.info), table.name
    assert not any("delete" in table.info.get("rights", ()) for table in metadata.sorted_tables)


def test_a_column_that_names_what_a_row_is_about_is_never_written_again():
    for name, columns in updatable().items():
        table = metadata.tables[name]
        assert not columns & {column.name for column in table.primary_key.columns}
        if "folded" in table.info:
            assert all(table.c[column].nullable for column in columns), (
                f"{name}: only what is still empty can be filled in"
            )


@pytest.mark.parametrize("engine", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_a_reading_connection_writes_nothing(engine: str, besieged):
    for statement in (
        "INSERT INTO site SELECT * FROM site WHERE 1 = 0",
        "UPDATE log_head SET writing = 0",
        "DELETE FROM site",
        "DROP TABLE site",
        "CREATE TABLE mine (id integer)",
    ):
        with pytest.raises(sa.exc.DBAPIError), besieged.database.reading() as db:
            db.exec_driver_sql(statement)


@pytest.fixture(scope="module")
def rows_of_postgres(server, postgres_template):
    """Runs a query as the superuser on the database that the migrations made."""

    def rows(query: str):
        with psycopg.connect(host=str(server.folder), user="postgres", dbname=postgres_template) as db:
            return db.execute(query, {"role": postgres.APPLICATION}).fetchall()

    return rows


@pytest.mark.postgres
def test_the_application_role_owns_nothing_and_is_nobody(rows_of_postgres):
    assert rows_of_postgres(
        "SELECT count(*) FROM pg_shdepend WHERE deptype = 'o' AND refobjid = %(role)s::regrole"
    ) == [(0,)]
    assert rows_of_postgres(
        "SELECT rolsuper, rolcreaterole, rolcreatedb, rolreplication, rolbypassrls FROM pg_roles WHERE rolname = %(role)s"
    ) == [(False,) * 5]
    assert rows_of_postgres("SELECT count(*) FROM pg_auth_members WHERE member = %(role)s::regrole") == [(0,)]


@pytest.mark.postgres
def test_the_application_role_can_make_nothing(rows_of_postgres):
    assert rows_of_postgres(
        "SELECT has_schema_privilege(%(role)s, 'public', 'CREATE'), has_database_privilege(%(role)s, current_database(), 'CREATE'), has_database_privilege(%(role)s, current_database(), 'TEMPORARY')"
    ) == [(False, False, False)]


@pytest.mark.postgres
def test_grants_are_exactly_those_declared(rows_of_postgres):
    found = set(
        rows_of_postgres(
            "SELECT privilege_type, table_name FROM information_schema.role_table_grants WHERE grantee IN (%(role)s, 'PUBLIC') AND table_schema = 'public'"
        )
    )
    names = {table.name for table in metadata.sorted_tables}
    assert found == {("SELECT", name) for name in names | {"alembic_version"}} | {
        ("INSERT", name) for name in insertable()
    }
    columns = set(
        rows_of_postgres(
            "SELECT table_name, column_name FROM information_schema.role_column_grants WHERE grantee = %(role)s AND table_schema = 'public' AND privilege_type = 'UPDATE'"
        )
    )
    assert columns == {(name, column) for name, allowed in updatable().items() for column in allowed}


@pytest.mark.postgres
def test_a_temporary_head_would_deceive_no_guard(lived_postgres, owner_of, server):
    """Were the role allowed temporary tables after all: the guards look into `public` first."""
    server.run(f"GRANT TEMPORARY ON DATABASE {lived_postgres.database.url.database} TO {postgres.APPLICATION}")
    with pytest.raises(Exception) as caught, lived_postgres.database.writing() as db:
        db.exec_driver_sql(
            "CREATE TEMP TABLE log_head AS SELECT 1 AS one, size, recorded_at, 1 AS writing FROM public.log_head"
        )
        db.exec_driver_sql("SET search_path = pg_temp, public")
        db.exec_driver_sql(
            "INSERT INTO public.site (id, code, name, kind, offset_min, seq) SELECT gen_random_uuid(), 'x', 'x', 'shore', 0, size FROM log_head"
        )
    assert "guard:site_by_act" in told(caught.value)
