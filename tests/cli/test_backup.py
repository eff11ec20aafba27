"""Backup and restore: copied while it runs, verified, never put over anything in silence, refused when tampered with."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from tests.cli.fixtures import Shell, table_contents
from tests.cli.test_log import rewritten, tampered
from tests.web.doors import Doors
from tests.web.fixtures import House


@pytest.fixture
def kept(doors: Doors, tmp_path: Path) -> Path:
    """A backup of the furnished registry, without its keys."""
    doors.cli("checkpoint")  # the log key is made on first use
    result = doors.cli("backup", str(tmp_path / "kept"))
    assert result.exit_code == 0, result.stderr
    return tmp_path / "kept"


def other(doors: Doors, home: Path) -> dict[str, str]:
    """The settings of another, empty instance folder."""
    return {"PAIRBOOK_HOME": str(home), "PAIRBOOK_DATABASE_URL": f"sqlite:///{home / 'registry.sqlite3'}"}


def test_a_backup_says_that_it_was_verified_and_holds_no_keys(doors: Doors, kept: Path):
    assert sorted(path.name for path in kept.iterdir()) == ["checkpoint.txt", "log.pub", "registry.sqlite3"]
    assert table_contents(kept / "registry.sqlite3") == table_contents(doors.instance.home / "registry.sqlite3")
    assert kept.stat().st_mode & 0o077 == 0


def test_keys_are_copied_only_when_asked_for(doors: Doors, tmp_path: Path):
    doors.cli("checkpoint")
    _ = doors.instance.session_secret
    result = doors.cli("backup", str(tmp_path / "kept"), "--with-keys")
    assert result.exit_code == 0
    assert {"log.key", "session.key"} <= {path.name for path in (tmp_path / "kept").iterdir()}
    assert result.stdout.startswith(f"Backed up to {tmp_path / 'kept'} and verified: {doors.size()} entries")


def test_a_folder_that_is_there_is_left_alone(doors: Doors, kept: Path):
    before = table_contents(kept / "registry.sqlite3")
    doors.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    result = doors.cli("backup", str(kept))
    assert (result.exit_code, "Name a folder that is not there yet." in result.stderr) == (1, True)
    assert table_contents(kept / "registry.sqlite3") == before


def test_a_backup_of_a_registry_that_does_not_verify_leaves_nothing_behind(doors: Doors, tmp_path: Path):
    tampered(doors, "UPDATE person_role SET role = 'keeper' WHERE role = 'auditor'")
    result = doors.cli("backup", str(tmp_path / "kept"))
    assert (result.exit_code, "The copy does not verify:" in result.stderr) == (1, True)
    assert list(tmp_path.iterdir()) == []


def test_a_backup_is_restored_into_an_empty_folder_and_verifies(doors: Doors, kept: Path, tmp_path: Path):
    env = other(doors, tmp_path / "other")
    result = doors.cli("restore", str(kept), **env)
    assert result.exit_code == 0, result.stderr
    assert result.stdout.startswith("Restored and verified:")
    assert table_contents(tmp_path / "other" / "registry.sqlite3") == table_contents(kept / "registry.sqlite3")
    assert doors.cli("verify", **env).exit_code == 0
    assert doors.cli("where", "p1", **env).exit_code == 0


def test_a_registry_that_is_there_is_never_replaced_in_silence(doors: Doors, kept: Path):
    doors.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    size = doors.size()
    refused = doors.cli("restore", str(kept))
    assert (refused.exit_code, "Say --replace to move it aside" in refused.stderr) == (1, True)
    assert doors.size() == size


def test_what_was_there_is_moved_aside_and_not_lost(doors: Doors, kept: Path, house: House):
    doors.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    size = doors.size()
    house.shut()
    result = doors.cli("restore", str(kept), "--replace")
    assert result.exit_code == 0, result.stderr
    assert doors.size() == size - 1
    aside = list(doors.instance.home.glob("registry-before-restore-*.sqlite3"))
    assert len(aside) == 1
    db = sqlite3.connect(aside[0])
    assert db.execute("SELECT size FROM log_head").fetchone() == (size,)
    db.close()
    for path in doors.instance.home.glob("registry-before-restore-*"):
        path.unlink()


SPOILT = [
    ("a row", "UPDATE person_role SET role = 'keeper' WHERE role = 'auditor'"),
    (
        "an entry",
        "UPDATE log_entry SET entry = CAST(replace(CAST(entry AS TEXT), 'North', 'South') AS BLOB) WHERE act = 'add_site'",
    ),
    ("the end", "DELETE FROM log_entry WHERE seq = (SELECT size FROM log_head)"),
]


@pytest.mark.parametrize(("what", "statement"), SPOILT)
def test_a_backup_that_was_tampered_with_is_refused(
    what: str, statement: str, doors: Doors, kept: Path, tmp_path: Path
):
    rewritten(kept / "registry.sqlite3", statement)
    result = doors.cli("restore", str(kept), **other(doors, tmp_path / "other"))
    assert (result.exit_code, "The copy does not verify:" in result.stderr) == (1, True)
    assert not (tmp_path / "other" / "registry.sqlite3").exists()


@pytest.mark.parametrize("names", [("registry.sqlite3",), ("checkpoint.txt", "log.pub")])
def test_a_backup_of_which_a_part_is_another_s_is_refused(
    names: tuple[str, ...], doors: Doors, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """The checkpoint, the key and the copy must be of one log."""
    shell = Shell(tmp_path / "stranger", monkeypatch)
    shell(
        "init",
        "--outfit",
        "Other",
        "--keeper",
        "Zoe",
        stdin="three unrelated words\nthree unrelated words\n2846\n2846\n",
    )
    assert shell("backup", str(tmp_path / "theirs")).exit_code == 0
    for name in names:
        shutil.copy(tmp_path / "theirs" / name, kept / name)
    result = doors.cli("restore", str(kept), **other(doors, tmp_path / "other"))
    assert result.exit_code == 1
    assert not (tmp_path / "other" / "registry.sqlite3").exists()


def test_a_folder_that_is_no_backup_is_refused(doors: Doors, tmp_path: Path):
    (tmp_path / "empty").mkdir()
    result = doors.cli("restore", str(tmp_path / "empty"), **other(doors, tmp_path / "other"))
    assert (result.exit_code, "Give a folder that `pairbook backup` made. (not_found [folder])" in result.stderr) == (
        1,
        True,
    )
    assert doors.cli("restore", str(tmp_path / "nothing")).exit_code == 2


def test_a_backup_taken_while_others_write_is_one_moment(doors: Doors, tmp_path: Path):
    """Acts arrive between the pages of the copy: what is copied verifies, whatever moment it is."""
    import threading

    doors.cli("checkpoint")
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            doors.world.do("note_fault", "18 09:00", half="p1 s", words=f"hums {number}")

    writer = threading.Thread(target=write)
    writer.start()
    try:
        results = [doors.cli("backup", str(tmp_path / f"kept {number}")) for number in range(3)]
    finally:
        stop.set()
        writer.join()
    assert [result.exit_code for result in results] == [0, 0, 0], [result.stderr for result in results]


@pytest.mark.parametrize("name", ["checkpoint.txt", "log.pub"])
@pytest.mark.parametrize("text", [None, "", "nonsense", "a+b+c"])
def test_a_backup_whose_checkpoint_or_key_is_no_longer_one_is_refused(
    name: str, text: str | None, doors: Doors, tmp_path: Path
):
    doors.cli("checkpoint")
    assert doors.cli("backup", str(tmp_path / "kept")).exit_code == 0
    if text is None:
        (tmp_path / "kept" / name).unlink()
    else:
        (tmp_path / "kept" / name).write_text(text, encoding="utf-8")
    home = tmp_path / "other"
    result = doors.cli(
        "restore",
        str(tmp_path / "kept"),
        PAIRBOOK_HOME=str(home),
        PAIRBOOK_DATABASE_URL=f"sqlite:///{home}/registry.sqlite3",
    )
    assert (result.exit_code, result.stderr.startswith("Refused.")) == (1, True)
