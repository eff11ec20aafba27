"""What is made once a run: whichever worker comes first makes it, and the others wait for it or find it there."""

import fcntl
import os
import pickle
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from registry.models.database import Database, owner_engine
from tests.cast import World


def once_a_run(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """A folder of this name, filled by `make`. To be copied before anything is done in it."""
    base = factory.getbasetemp()
    run = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder, done = run / name, run / f"{name}.done"
    with (run / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not done.exists():
            folder.mkdir()
            make(folder)
            done.touch()
    return folder


def file_once_a_run(
    factory: pytest.TempPathFactory, name: str, source: tuple[Path, World | None], live: Callable[[World], object]
) -> tuple[Path, World]:
    """A SQLite file with a copy of `source` in which `live` was done, and the world that tells what is in it."""

    def make(folder: Path) -> None:
        path = folder / "registry.sqlite3"
        shutil.copy(source[0], path)
        world = told_by(path, source[1])
        live(world)
        world.database.dispose()
        _fold_in_the_log(path)
        (folder / "world").write_bytes(pickle.dumps((world.now, world.ids, world.dice.getstate())))

    folder = once_a_run(factory, name, make)
    world = World(Database(f"sqlite:///{folder / 'registry.sqlite3'}"))
    world.now, world.ids, dice = pickle.loads((folder / "world").read_bytes())
    world.dice.setstate(dice)
    return folder / "registry.sqlite3", world


def told_by(path: Path, world: World | None) -> World:
    """The same outfit over a copy of its file."""
    copy = World(Database(f"sqlite:///{path}"))
    if world:
        copy.now, copy.ids = world.now, dict(world.ids)
        copy.dice.setstate(world.dice.getstate())
    return copy


def _fold_in_the_log(path: Path) -> None:
    """Write-ahead log into the file, so that a copy of the file alone is whole."""
    engine = owner_engine(f"sqlite:///{path}")
    with engine.connect() as db:
        db.connection.driver_connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # type: ignore[union-attr]
    engine.dispose()
