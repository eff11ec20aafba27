"""Fixtures of the doors, shared by the folders that come through them.

`doors` is the furnished registry of tests/cast.py with its doors open; `lived` the one that has been lived in
(tests/web/lived.py), in which every act has a lawful example (tests/acts/examples.py). `untouched` is the latter,
shared by the tests of one module, which may change nothing of the record.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from flask import Flask

from registry import entering, passwords
from registry.app import create_app
from registry.config import Settings
from registry.instance import Instance
from registry.models.database import Database
from tests.cast import World
from tests.lived import lived_in
from tests.once import file_once_a_run
from tests.samples import LIVED, laid_out
from tests.web.doors import CHEAP, EVERYBODY, Doors, give_secrets

NAMES = (
    "app",
    "doors",
    "doors_file",
    "doors_on_postgres",
    "house",
    "house_of_the_untouched",
    "lived",
    "lived_file_of_doors",
    "untouched",
)
__all__ = [*NAMES]


class Made(NamedTuple):
    """A database file that is whole, and the world that tells what is in it."""

    path: Path
    world: World


class House(NamedTuple):
    """A folder whose database is laid anew for every test. Its engines stay: what they have compiled need not be again."""

    instance: Instance
    database: Database
    app: Flask

    @classmethod
    def built(cls, home: Path, app: Flask) -> "House":
        instance = Instance(Settings.read({"PAIRBOOK_HOME": str(home)}))
        database = Database(instance.settings.database_url)
        vars(instance)["database"] = database  # one for the world and its doors: to read a schema takes a while
        return cls(instance, database, app)

    def open(self, made: Made, monkeypatch: pytest.MonkeyPatch) -> Doors:
        self.shut()
        path = self.instance.home / "registry.sqlite3"
        for suffix in ("", "-wal", "-shm"):  # taken away and not overwritten: somebody may still have the old one open
            path.with_name(path.name + suffix).unlink(missing_ok=True)
        shutil.copy(made.path, path)
        laid_out(self.instance.home, LIVED if "photo" in made.world.ids else ())
        world = World(self.database, made.world.now, dict(made.world.ids), files=self.instance.files)
        world.dice.setstate(made.world.dice.getstate())
        for name, value in (("", self.instance), ("_clock", lambda: world.now), ("_dice", world.dice)):
            monkeypatch.setitem(self.app.extensions, f"pairbook{name}", value)
        monkeypatch.setattr(passwords, "hasher", lambda: CHEAP)
        monkeypatch.setattr(entering, "PATIENCE_S", 60.0)  # a busy machine is no reason to be told how far it is
        return Doors(world, self.instance, self.app, monkeypatch)

    def shut(self) -> None:
        self.database.dispose()


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """One application for the whole run: every test hands it a registry of its own."""
    home = tmp_path_factory.mktemp("app")
    return create_app(Instance(Settings.read({"PAIRBOOK_HOME": str(home)})))


@pytest.fixture(scope="session")
def house(app: Flask, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    built = House.built(tmp_path_factory.mktemp("house"), app)
    yield built
    built.shut()


@pytest.fixture(scope="session")
def house_of_the_untouched(app: Flask, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    built = House.built(tmp_path_factory.mktemp("untouched"), app)
    yield built
    built.shut()


def _with_the_doors_open(world: World) -> None:
    for who in ("ida", "yusuf"):
        world.ids[f"{who} signed"] = world.sign(who, "20 08:00").entry.id
    give_secrets(world, EVERYBODY)


def _lived_in(world: World) -> None:
    lived_in(world)
    give_secrets(world, EVERYBODY)


@pytest.fixture(scope="session")
def doors_file(furnished_file: tuple[Path, World], tmp_path_factory: pytest.TempPathFactory) -> Made:
    return Made(*file_once_a_run(tmp_path_factory, "doors", furnished_file, _with_the_doors_open))


@pytest.fixture(scope="session")
def lived_file_of_doors(furnished_file: tuple[Path, World], tmp_path_factory: pytest.TempPathFactory) -> Made:
    return Made(*file_once_a_run(tmp_path_factory, "lived in behind doors", furnished_file, _lived_in))


@pytest.fixture
def doors(doors_file: Made, house: House, monkeypatch: pytest.MonkeyPatch) -> Iterator[Doors]:
    """The furnished registry with its doors open; ida and yusuf signed for ESD handling this morning
    (`ida signed`, `yusuf signed`)."""
    yield house.open(doors_file, monkeypatch)
    house.shut()


@pytest.fixture
def lived(lived_file_of_doors: Made, house: House, monkeypatch: pytest.MonkeyPatch) -> Iterator[Doors]:
    """The registry that has been lived in, with its doors open."""
    yield house.open(lived_file_of_doors, monkeypatch)
    house.shut()


@pytest.fixture(scope="module")
def untouched(lived_file_of_doors: Made, house_of_the_untouched: House) -> Iterator[Doors]:
    """The registry that has been lived in, shared by the tests of one module, which may change nothing of the record."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        opened = house_of_the_untouched.open(lived_file_of_doors, monkeypatch)
        before = opened.record()
        yield opened
        assert opened.record() == before, "a test of this module changed the record"
        house_of_the_untouched.shut()


@pytest.fixture
def doors_on_postgres(
    postgres_world: World, tmp_path: Path, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Doors]:
    """The furnished registry on PostgreSQL with its doors open, ida and yusuf signed this morning."""
    world, url = postgres_world, postgres_world.database.url.render_as_string(hide_password=False)
    instance = Instance(Settings.read({"PAIRBOOK_HOME": str(tmp_path), "PAIRBOOK_DATABASE_URL": url}))
    world.files = instance.files
    for name, value in (("", instance), ("_clock", lambda: world.now), ("_dice", world.dice)):
        monkeypatch.setitem(app.extensions, f"pairbook{name}", value)
    monkeypatch.setattr(passwords, "hasher", lambda: CHEAP)
    for who in ("ida", "yusuf"):
        world.ids[f"{who} signed"] = world.sign(who, "20 08:00").entry.id
    give_secrets(world, EVERYBODY)
    yield Doors(world, instance, app, monkeypatch)
    instance.database.dispose()
