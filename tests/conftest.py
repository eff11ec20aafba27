"""Fixtures: one migrated schema per engine and run, a fresh copy of it for every test.

`world` is a furnished registry on SQLite; tests that must hold on both engines ask for `either`, which runs them on
SQLite and on a real PostgreSQL.
"""

import gc
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from registry.models.database import Database, owner_engine
from registry.models.schema import migrate
from tests import alike, postgres
from tests.cast import World, furnish, furnished
from tests.once import file_once_a_run, once_a_run

alike.shared()


#: Files of these folders are few and take long: they begin first, so that none is left to one core at the end.
LONGEST = ("journeys", "faults", "migrations", "cli", "web")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: LONGEST.index(folder) if (folder := item.path.parent.name) in LONGEST else len(LONGEST))


def pytest_collection_finish() -> None:
    """What has been collected stays to the end: the collector of garbage need not look through it again and again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def migrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file at head, made by the migrations."""

    def make(folder: Path) -> None:
        engine = owner_engine(f"sqlite:///{folder / 'registry.sqlite3'}")
        migrate(engine)
        engine.dispose()

    return once_a_run(tmp_path_factory, "schema", make) / "registry.sqlite3"


@pytest.fixture(scope="session")
def furnished_file(migrated: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, World]:
    return file_once_a_run(tmp_path_factory, "furnished", (migrated, None), furnish)


@pytest.fixture(scope="session")
def server() -> Iterator[postgres.Server]:
    with postgres.server(postgres.wheel_binaries()) as running:
        yield running


@pytest.fixture(scope="session")
def postgres_template(server: postgres.Server) -> str:
    """A PostgreSQL database at head, made by the migrations as its owner."""
    name = server.new_database()
    engine = owner_engine(server.url(name, postgres.OWNER))
    migrate(engine, application=postgres.APPLICATION)
    engine.dispose()
    return name


@pytest.fixture(scope="session")
def furnished_template(server: postgres.Server, postgres_template: str) -> tuple[str, World]:
    name = server.new_database(postgres_template)
    database = Database(str(server.url(name, postgres.APPLICATION)))
    world = furnished(database)
    database.dispose()
    return name, world


def _copy_of(world: World, database: Database) -> World:
    copy = World(database, world.now, dict(world.ids))
    copy.dice.setstate(world.dice.getstate())
    return copy


@pytest.fixture
def empty(migrated: Path, tmp_path: Path) -> Iterator[World]:
    """A migrated SQLite registry that nobody has founded."""
    path = tmp_path / "registry.sqlite3"
    shutil.copy(migrated, path)
    database = Database(f"sqlite:///{path}")
    yield World(database)
    database.dispose()


@pytest.fixture
def world(furnished_file: tuple[Path, World], tmp_path: Path) -> Iterator[World]:
    """A furnished registry on SQLite."""
    source, made = furnished_file
    path = tmp_path / "registry.sqlite3"
    shutil.copy(source, path)
    database = Database(f"sqlite:///{path}")
    yield _copy_of(made, database)
    database.dispose()


@pytest.fixture
def postgres_world(server: postgres.Server, furnished_template: tuple[str, World]) -> Iterator[World]:
    """A furnished registry on PostgreSQL, over the application role."""
    template, made = furnished_template
    name = server.new_database(template)
    database = Database(str(server.url(name, postgres.APPLICATION)))
    yield _copy_of(made, database)
    database.dispose()
    server.run(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def either(request: pytest.FixtureRequest) -> World:
    """A furnished registry on each engine in turn."""
    return request.getfixturevalue("world" if request.param == "sqlite" else "postgres_world")


@pytest.fixture
def owner(server_url_of_owner: Callable[[World], sa.URL]) -> Iterator[Callable[[World], sa.Engine]]:
    """Gives an engine that may change the schema of a world's database: for breaking guards on purpose."""
    engines: list[sa.Engine] = []

    def engine_for(world: World) -> sa.Engine:
        engine = owner_engine(server_url_of_owner(world))
        engines.append(engine)
        return engine

    yield engine_for
    for engine in engines:
        engine.dispose()


@pytest.fixture
def server_url_of_owner() -> Callable[[World], sa.URL]:
    def url_for(world: World) -> sa.URL:
        url = world.database.url
        return url.set(username=postgres.OWNER) if url.get_backend_name() == "postgresql" else url

    return url_for
