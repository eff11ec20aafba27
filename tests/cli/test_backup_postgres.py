"""Backup and restore on PostgreSQL, with the server's own tools."""

from pathlib import Path

import pytest

from tests import postgres
from tests.cli.fixtures import emptied, of_postgres
from tests.web.doors import Doors

pytestmark = pytest.mark.postgres
#: What else is done to a dump, beside bringing it back: one of the long runs.
AT_LENGTH = pytest.mark.long


@pytest.fixture
def settings(doors_on_postgres: Doors) -> dict[str, str]:
    return of_postgres(doors_on_postgres)


def test_a_dump_is_restored_into_an_empty_database_and_verifies(
    doors_on_postgres: Doors, settings: dict[str, str], server: postgres.Server, tmp_path: Path
):
    doors = doors_on_postgres
    made = doors.cli("backup", str(tmp_path / "kept"), **settings)
    assert made.exit_code == 0, made.stderr
    assert sorted(path.name for path in (tmp_path / "kept").iterdir()) == [
        "checkpoint.txt",
        "log.pub",
        "registry.pgdump",
    ]
    there = emptied(settings, server) | {"PAIRBOOK_HOME": str(tmp_path / "other")}
    result = doors.cli("restore", str(tmp_path / "kept"), **there)
    assert result.exit_code == 0, result.stderr
    assert doors.cli("verify", **there).exit_code == 0
    assert "Teasel" in doors.cli("fleet", **there).stdout


@AT_LENGTH
def test_a_database_that_holds_something_is_never_replaced_in_silence(
    doors_on_postgres: Doors, settings: dict[str, str], tmp_path: Path
):
    doors = doors_on_postgres
    doors.cli("backup", str(tmp_path / "kept"), **settings)
    doors.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    size = doors.size()
    refused = doors.cli("restore", str(tmp_path / "kept"), **settings)
    assert (refused.exit_code, "That database holds tables already." in refused.stderr) == (1, True)
    assert doors.size() == size
    replaced = doors.cli("restore", str(tmp_path / "kept"), "--replace", **settings)
    assert replaced.exit_code == 0, replaced.stderr
    assert doors.size() == size - 1


def test_without_the_server_s_tools_it_says_which_is_missing(
    doors_on_postgres: Doors, settings: dict[str, str], tmp_path: Path
):
    result = doors_on_postgres.cli("backup", str(tmp_path / "kept"), **(settings | {"PAIRBOOK_PG_BIN": str(tmp_path)}))
    assert result.exit_code == 1
    assert (
        "pg_dump is not on this machine. Install PostgreSQL’s client tools, or set PAIRBOOK_PG_BIN to the folder with pg_dump."
        in result.stderr
    )
    assert list(tmp_path.iterdir()) == [] or not (tmp_path / "kept").exists()


@pytest.mark.parametrize("spoil", ["cut", pytest.param("bits", marks=AT_LENGTH)])
def test_a_dump_that_was_spoilt_is_refused(
    spoil: str, doors_on_postgres: Doors, settings: dict[str, str], server: postgres.Server, tmp_path: Path
):
    doors = doors_on_postgres
    doors.cli("backup", str(tmp_path / "kept"), **settings)
    dump = tmp_path / "kept" / "registry.pgdump"
    raw = dump.read_bytes()
    dump.write_bytes(
        raw[: len(raw) // 2] if spoil == "cut" else raw[:-4000] + bytes(byte ^ 0xFF for byte in raw[-4000:])
    )
    there = emptied(settings, server) | {"PAIRBOOK_HOME": str(tmp_path / "other")}
    result = doors.cli("restore", str(tmp_path / "kept"), **there)
    assert (result.exit_code, result.stdout) == (1, "")
    assert "pg_restore gave up:" in result.stderr


@pytest.mark.postgres
@AT_LENGTH
def test_a_spoilt_dump_leaves_the_database_that_is_there_as_it_is(
    settings: dict[str, str], doors_on_postgres: Doors, tmp_path: Path
):
    doors = doors_on_postgres
    assert doors.cli("backup", str(tmp_path / "kept"), **settings).exit_code == 0
    dump = tmp_path / "kept" / "registry.pgdump"
    dump.write_bytes(dump.read_bytes()[:-9000])
    before = doors.record()
    assert doors.cli("restore", str(tmp_path / "kept"), "--replace", **settings).exit_code == 1
    assert doors.record() == before
