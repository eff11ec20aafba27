"""One server over the invented outfit, and one browser, for all journeys. Each journey goes to things of its own."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from registry.models.database import Database
from tests.cli.fixtures import Shell
from tests.journeys.browser import Phone, running
from tests.journeys.server import Sea, serving
from tests.once import once_a_run

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.parent == HERE:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with running() as browser:
        yield browser


@pytest.fixture(scope="session")
def sea(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Sea]:
    """The outfit as it stands today, being served."""

    def make(folder: Path) -> None:
        with pytest.MonkeyPatch.context() as monkeypatch:
            assert Shell(folder / "instance", monkeypatch)("demo").exit_code == 0

    home = tmp_path_factory.mktemp("sea") / "instance"
    shutil.copytree(once_a_run(tmp_path_factory, "outfit of today", make) / "instance", home)
    database = Database(f"sqlite:///{home / 'registry.sqlite3'}")
    with serving(home) as url:
        yield Sea(url, home, database)
    database.dispose()


@pytest.fixture
def phone(chromium: Browser, sea: Sea) -> Iterator[Callable[..., Phone]]:
    """Gives somebody a browser: `phone("Ida Brekke", 360)`."""
    opened: list[Phone] = []

    def given(name: str, width: int = 360, *, script: bool = True) -> Phone:
        one = Phone(chromium, sea.url, width, script=script)
        opened.append(one)
        one.sign_in(name, "invented harbour lamp")
        return one

    yield given
    for one in opened:
        one.close()
