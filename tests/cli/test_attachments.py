"""Files at the command line: attached, verified, backed up and put back."""

import json
from pathlib import Path

import pytest

from tests import postgres
from tests.cli.fixtures import emptied, of_postgres
from tests.cli.test_backup import other
from tests.samples import (
    LIVED_HASHES,
    NOTE_GIVEN,
    PDF,
    PHOTO,
    PHOTO_GIVEN,
    SHEET_GIVEN,
    TEXT,
)
from tests.web.doors import PIN, Doors


@pytest.fixture
def papers(tmp_path: Path) -> Path:
    (tmp_path / "papers").mkdir()
    for name, content in (("photo.jpg", PHOTO), ("sheet.pdf", PDF), ("note.txt", TEXT)):
        (tmp_path / "papers" / name).write_bytes(content)
    return tmp_path / "papers"


@pytest.mark.parametrize(
    ("thing", "column"),
    [
        ("S-p1", "half_id"),
        ("p1", "pairing_id"),
        ("Teasel", "vehicle_id"),
        ("Teasel A", "bay_id"),
        ("{hold}", "hold_id"),
    ],
)
def test_files_are_attached_to_whatever_the_text_names(thing: str, column: str, lived: Doors, papers: Path):
    thing = thing.replace("{hold}", lived.world.ids["hold"])
    before = {row.id for row in lived.rows("attachment")}
    result = lived.cli("attach", thing, str(papers / "photo.jpg"), str(papers / "sheet.pdf"), "--shows", "both sides", who="ida")  # fmt: skip
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith(f"In the log as entry {lived.size()}: attach a file, ")
    rows = [row for row in lived.rows("attachment") if row.id not in before]
    assert {row.sha256 for row in rows} == {PHOTO_GIVEN["sha256"], SHEET_GIVEN["sha256"]}
    assert all(getattr(row, column) and row.words == "both sides" for row in rows)


def test_it_is_signed_by_name_and_pin_and_told_as_json(doors: Doors, papers: Path):
    words = ("attach", "p1", str(papers / "note.txt"), "--at", "2026-05-18T09:00:00Z", "--as", "Ida", "--json")
    result = doors.cli(*words, PAIRBOOK_PIN=PIN)
    assert result.exit_code == 0, result.stderr
    assert json.loads(result.stdout)["entry"]["body"]["files"] == [NOTE_GIVEN]


def test_what_cannot_be_attached_is_refused_with_a_way_out(doors: Doors, papers: Path):
    size = doors.size()
    (papers / "wrong.jpg").write_bytes(b"<html>")
    wrong = doors.cli("attach", "p1", str(papers / "wrong.jpg"), who="ida")
    assert (wrong.exit_code, "holds a page or drawing in markup." in wrong.stderr) == (1, True)
    nothing = doors.cli("attach", "nothing", str(papers / "note.txt"), who="ida")
    assert (nothing.exit_code, "(unknown_label" in nothing.stderr) == (1, True)
    assert doors.cli("attach", "p1", str(papers / "gone.txt"), who="ida").exit_code == 2
    assert doors.cli("attach", "p1", who="ida").exit_code == 2
    many = doors.cli("attach", "p1", *[str(papers / "note.txt")] * 5, who="ida")
    assert (many.exit_code, "At most 4 files can be attached at once." in many.stderr) == (2, True)
    assert doors.size() == size


def test_the_limit_is_a_setting(doors: Doors, papers: Path):
    (papers / "long.txt").write_bytes(b"x" * 1_000_001)
    result = doors.cli("attach", "p1", str(papers / "long.txt"), who="ida", PAIRBOOK_FILE_MB="1")
    assert (result.exit_code, "“long.txt” is larger than 1 MB" in result.stderr) == (1, True)
    assert doors.cli("attach", "p1", str(papers / "long.txt"), who="ida").exit_code == 0
    assert doors.cli("fleet", PAIRBOOK_FILE_MB="none").exit_code == 2


def test_verify_names_a_file_that_is_missing_and_counts_what_nothing_names(lived: Doors):
    lived.instance.files.path(PHOTO_GIVEN["sha256"]).unlink()
    loose = lived.instance.files.path("0" * 64)
    loose.parent.mkdir()
    loose.write_bytes(b"x")
    result = lived.cli("verify")
    assert result.exit_code == 1
    assert (
        result.stderr == f"The file “photo.jpg” ({PHOTO_GIVEN['sha256'][:12]}…) is missing from the instance folder.\n"
    )
    assert result.stdout == "1 file is named by no entry (1 byte); the server takes such files away after a day.\n"
    told = json.loads(lived.cli("verify", "--json").stdout)
    assert (told["holds"], len(told["faults"]), len(told["remarks"])) == (False, 1, 1)


def named(folder: Path) -> set[str]:
    return {path.name for path in (folder / "files").rglob("*") if path.is_file()}


def test_a_backup_holds_every_file_that_is_named_and_no_other(lived: Doors, tmp_path: Path):
    lived.cli("checkpoint")
    loose = lived.instance.files.path("0" * 64)
    loose.parent.mkdir()
    loose.write_bytes(b"x")
    assert lived.cli("backup", str(tmp_path / "kept")).exit_code == 0
    assert named(tmp_path / "kept") == LIVED_HASHES
    env = other(lived, tmp_path / "other")
    assert lived.cli("restore", str(tmp_path / "kept"), **env).exit_code == 0
    assert named(tmp_path / "other") == LIVED_HASHES
    result = lived.cli("verify", **env)
    assert (result.exit_code, result.stderr) == (0, "")


def test_a_restore_mends_what_is_missing_and_leaves_what_is_there(lived: Doors, tmp_path: Path):
    lived.cli("checkpoint")
    lived.cli("backup", str(tmp_path / "kept"))
    lived.instance.files.path(PHOTO_GIVEN["sha256"]).unlink()
    lived.instance.files.path(NOTE_GIVEN["sha256"]).write_bytes(b"changed")
    assert lived.cli("restore", str(tmp_path / "kept"), "--replace").exit_code == 0
    assert lived.cli("verify").exit_code == 0
    for path in lived.instance.home.glob("registry-before-restore-*"):
        path.unlink()


@pytest.mark.parametrize("damage", ["missing", "changed"])
def test_a_backup_of_a_damaged_file_is_refused_and_names_it(damage: str, lived: Doors, tmp_path: Path):
    lived.cli("checkpoint")
    path = lived.instance.files.path(PHOTO_GIVEN["sha256"])
    path.unlink() if damage == "missing" else path.write_bytes(PHOTO[:-1] + b"x")
    result = lived.cli("backup", str(tmp_path / "kept"))
    assert (result.exit_code, "The file “photo.jpg”" in result.stderr) == (1, True)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("damage", ["missing", "changed"])
def test_a_backup_whose_file_was_damaged_is_not_put_back(damage: str, lived: Doors, tmp_path: Path):
    lived.cli("checkpoint")
    lived.cli("backup", str(tmp_path / "kept"))
    [path] = (tmp_path / "kept" / "files").rglob(PHOTO_GIVEN["sha256"])
    path.unlink() if damage == "missing" else path.write_bytes(PHOTO[:-1] + b"x")
    result = lived.cli("restore", str(tmp_path / "kept"), **other(lived, tmp_path / "other"))
    assert (result.exit_code, "The file “photo.jpg”" in result.stderr) == (1, True)
    assert not (tmp_path / "other" / "registry.sqlite3").exists()


@pytest.mark.postgres
def test_files_travel_with_a_dump_of_postgresql(doors_on_postgres: Doors, server: postgres.Server, papers: Path, tmp_path: Path):  # fmt: skip
    doors = doors_on_postgres
    settings = of_postgres(doors)
    assert doors.cli("attach", "p1", str(papers / "photo.jpg"), who="ida", **settings).exit_code == 0
    made = doors.cli("backup", str(tmp_path / "kept"), **settings)
    assert made.exit_code == 0, made.stderr
    assert named(tmp_path / "kept") == {PHOTO_GIVEN["sha256"]}
    there = emptied(settings, server) | {"PAIRBOOK_HOME": str(tmp_path / "other")}
    result = doors.cli("restore", str(tmp_path / "kept"), **there)
    assert result.exit_code == 0, result.stderr
    assert named(tmp_path / "other") == {PHOTO_GIVEN["sha256"]}
    verified = doors.cli("verify", **there)
    assert (verified.exit_code, verified.stderr) == (0, "")
