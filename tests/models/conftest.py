"""Records worth attacking, one template an engine and a fresh copy a test; `besieged` is shared by a whole run."""

import shutil
from pathlib import Path

import pytest
import sqlalchemy as sa

from registry.models.database import Database, owner_engine
from tests import postgres
from tests.cast import World
from tests.models.lived import lived_in, over
from tests.once import file_once_a_run

ENGINES = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]
#: Folder of the server -> the database that has been lived in on it, and the world it tells of.
_LIVED_TEMPLATES: dict[Path, tuple[str, World]] = {}


@pytest.fixture(scope="session")
def lived_file(furnished_file, tmp_path_factory):
    """A SQLite file that has been lived in, and the world it tells of."""
    return file_once_a_run(tmp_path_factory, "lived in", furnished_file, lived_in)


@pytest.fixture(scope="session")
def lived_template(server, furnished_template):
    """A PostgreSQL database that has been lived in, and the world it tells of."""
    if server.folder not in _LIVED_TEMPLATES:  # several folders of tests ask for it, each by a fixture of its own
        name = server.new_database(furnished_template[0])
        database = Database(str(server.url(name, postgres.APPLICATION)))
        world = lived_in(over(furnished_template[1], database))
        database.dispose()
        _LIVED_TEMPLATES[server.folder] = name, world
    return _LIVED_TEMPLATES[server.folder]


def copied(request: pytest.FixtureRequest, engine: str) -> World:
    """A copy of the record on this engine, for as long as the requesting fixture lives."""
    if engine == "sqlite":
        source, world = request.getfixturevalue("lived_file")
        path = request.getfixturevalue("tmp_path_factory").mktemp("copy") / "registry.sqlite3"
        shutil.copy(source, path)
        database = Database(f"sqlite:///{path}")
    else:
        template, world = request.getfixturevalue("lived_template")
        server = request.getfixturevalue("server")
        name = server.new_database(template)
        # A copy of a database does not copy who may make temporary tables in it.
        server.run(f"REVOKE TEMPORARY ON DATABASE {name} FROM PUBLIC")
        database = Database(str(server.url(name, postgres.APPLICATION)))
        request.addfinalizer(lambda: server.run(f"DROP DATABASE {name} WITH (FORCE)"))
    request.addfinalizer(database.dispose)
    return over(world, database)


@pytest.fixture(params=ENGINES)
def lived(request) -> World:
    """A record that has been lived in, on each engine in turn."""
    return copied(request, request.param)


@pytest.fixture
def lived_sqlite(request) -> World:
    return copied(request, "sqlite")


@pytest.fixture
def lived_postgres(request) -> World:
    return copied(request, "postgresql")


@pytest.fixture(scope="session")
def besieged_sqlite(request) -> World:
    return copied(request, "sqlite")


@pytest.fixture(scope="session")
def besieged_postgresql(request) -> World:
    return copied(request, "postgresql")


@pytest.fixture
def besieged(request, engine) -> World:
    """One record an engine for the whole run: an attack that is refused leaves no trace, and the rest is rolled back."""
    return request.getfixturevalue(f"besieged_{engine}")


@pytest.fixture(scope="session")
def owner_of():
    """Gives an engine that owns a world's tables; the same one for the same world."""
    engines: dict[str, sa.Engine] = {}

    def engine_for(world: World) -> sa.Engine:
        url = world.database.url
        if world.database.engine_name == "postgresql":
            url = url.set(username=postgres.OWNER)
        return engines.setdefault(str(url), owner_engine(url))

    yield engine_for
    for engine in engines.values():
        engine.dispose()
