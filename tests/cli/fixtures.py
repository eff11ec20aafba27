"""A registry at the shell: an empty folder, or the invented outfit, made once."""

import shutil
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from click.testing import Result

from registry import passwords
from tests import postgres
from tests.once import once_a_run
from tests.web.doors import CHEAP, Doors, environment, run_command

__all__ = ["ANCHOR", "Shell", "demo_home", "emptied", "of_postgres", "shell", "table_contents"]
ANCHOR = "2026-05-15"
NOON = datetime(2026, 5, 20, 12, tzinfo=UTC)


class Shell:
    """Commands over one instance folder."""

    def __init__(self, home: Path, monkeypatch: pytest.MonkeyPatch):
        self.home, self._monkeypatch = home, monkeypatch
        monkeypatch.setattr(passwords, "hasher", lambda: CHEAP)

    def __call__(self, *words: str, stdin: str | None = None, **env: str) -> Result:
        return run_command(self._monkeypatch, lambda: NOON, *words, stdin=stdin, **(environment(self.home) | env))

    @property
    def database(self) -> Path:
        return self.home / "registry.sqlite3"


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shell:
    """An instance folder that does not exist yet."""
    return Shell(tmp_path / "instance", monkeypatch)


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented outfit, its history ending on a fixed day. To be copied before anything is done in it. It is made once
    a run: whichever worker comes first makes it, and the others wait for it or find it there."""

    def make(folder: Path) -> None:
        with pytest.MonkeyPatch.context() as monkeypatch:
            result = Shell(folder / "instance", monkeypatch)("demo", "--anchor", ANCHOR)
        assert result.exit_code == 0, result.output
        (folder / "instance" / "said.txt").write_text(result.stdout, encoding="utf-8")

    return once_a_run(tmp_path_factory, "demo", make) / "instance"


@pytest.fixture
def demo(demo_home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shell:
    """The invented outfit, a copy of one's own."""
    shutil.copytree(demo_home, tmp_path / "instance")
    return Shell(tmp_path / "instance", monkeypatch)


def table_contents(path: Path) -> dict[str, list[Any]]:
    """Every row of every table, read by nothing of the program."""
    db = sqlite3.connect(path)
    try:
        names = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        return {name: sorted(map(repr, db.execute(f"SELECT * FROM {name}"))) for name in names}
    finally:
        db.close()


Told = Callable[..., Result]


def of_postgres(doors: Doors) -> dict[str, str]:
    """The settings of a registry on PostgreSQL, for commands that call the server's own tools."""
    url = doors.world.database.url
    return {
        "PAIRBOOK_DATABASE_URL": url.render_as_string(hide_password=False),
        "PAIRBOOK_OWNER_URL": url.set(username=postgres.OWNER).render_as_string(hide_password=False),
        "PAIRBOOK_PG_BIN": str(postgres.wheel_binaries()),
    }


def emptied(settings: dict[str, str], server: postgres.Server) -> dict[str, str]:
    """The settings of another, empty database on the same server."""
    name = server.new_database()
    urls = {
        key: sa.make_url(url).set(database=name).render_as_string(hide_password=False)
        for key, url in settings.items()
        if key.endswith("URL")
    }
    return settings | urls
