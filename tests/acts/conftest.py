"""Acts are tried on stage (stage.py): on the outfit as it is furnished, or on the record that has been lived in."""

import shutil
from collections.abc import Iterator

import pytest

from registry.models.database import Database
from tests import postgres
from tests.acts.stage import Stage, staged
from tests.cast import World
from tests.models.conftest import (  # noqa: F401
    ENGINES,
    copied,
    lived,
    lived_file,
    lived_postgres,
    lived_sqlite,
    lived_template,
    owner_of,
)
from tests.models.lived import over


@pytest.fixture(scope="session")
def lived_theatre_sqlite(request) -> World:
    return copied(request, "sqlite")


@pytest.fixture(scope="session")
def lived_theatre_postgresql(request) -> World:
    return copied(request, "postgresql")


@pytest.fixture(scope="session")
def theatre_sqlite(furnished_file, tmp_path_factory) -> Iterator[World]:
    path = tmp_path_factory.mktemp("theatre") / "registry.sqlite3"
    shutil.copy(furnished_file[0], path)
    database = Database(f"sqlite:///{path}")
    yield over(furnished_file[1], database)
    database.dispose()


@pytest.fixture(scope="session")
def theatre_postgresql(server, furnished_template) -> Iterator[World]:
    database = Database(str(server.url(server.new_database(furnished_template[0]), postgres.APPLICATION)))
    yield over(furnished_template[1], database)
    database.dispose()


def _signed_on(world: World) -> World:
    """Ida has a sign-off of her own at every hour from 1 to 12 May: tests of other rules need not think of it."""
    for day in range(1, 13):
        for hour in ("00:00", "12:00"):
            world.sign("ida", f"{day} {hour}")
    return world


@pytest.fixture(scope="session")
def signed_on_sqlite(furnished_file, tmp_path_factory) -> Iterator[World]:
    path = tmp_path_factory.mktemp("signed-on") / "registry.sqlite3"
    shutil.copy(furnished_file[0], path)
    database = Database(f"sqlite:///{path}")
    yield _signed_on(over(furnished_file[1], database))
    database.dispose()


@pytest.fixture(scope="session")
def signed_on_postgresql(server, furnished_template) -> Iterator[World]:
    database = Database(str(server.url(server.new_database(furnished_template[0]), postgres.APPLICATION)))
    yield _signed_on(over(furnished_template[1], database))
    database.dispose()


def _on(world: World) -> Iterator[Stage]:
    with world.database._writer.connect() as db, db.begin() as whole:
        yield staged(world, db)
        whole.rollback()


@pytest.fixture
def stage(request) -> Iterator[Stage]:
    """The outfit as it is furnished: p1 to p4 on a shelf, Ida and Yusuf signed on at the bench on the 10th at 8."""
    yield from _on(request.getfixturevalue("theatre_sqlite"))


@pytest.fixture(params=ENGINES)
def stages(request) -> Iterator[Stage]:
    """The same on each engine in turn."""
    yield from _on(request.getfixturevalue(f"theatre_{request.param}"))


@pytest.fixture
def lived_stage(request) -> Iterator[Stage]:
    """The record that has been lived in."""
    yield from _on(request.getfixturevalue("lived_theatre_sqlite"))


@pytest.fixture
def lived_on(engine: str, request) -> Iterator[Stage]:
    """The same on an engine that the test names."""
    yield from _on(request.getfixturevalue(f"lived_theatre_{engine}"))
