"""verify and checkpoint: the log proves itself, and names the first thing that is wrong."""

import json
import sqlite3
from pathlib import Path

import pytest

from tests.api.merkle import leaf_hash, open_note, root_of
from tests.web.doors import Doors


def tampered(doors: Doors, statement: str) -> None:
    """What somebody with the file and no scruples does: the guards are taken away, and put back afterwards."""
    doors.instance.database.dispose()
    doors.world.database.dispose()
    rewritten(doors.instance.home / "registry.sqlite3", statement)


def rewritten(path: Path, statement: str) -> None:
    db = sqlite3.connect(path, isolation_level=None)
    guards = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _sql in guards:
        db.execute(f"DROP TRIGGER {name}")
    changed = db.execute(statement).rowcount
    for _name, sql in guards:
        db.execute(sql)
    db.close()
    assert changed, "nothing was tampered with"


def leaves(doors: Doors) -> list[bytes]:
    return [leaf_hash(bytes(row.entry)) for row in sorted(doors.rows("log_entry"), key=lambda row: row.seq)]


def test_everything_holds_and_is_counted(untouched: Doors):
    result = untouched.cli("verify")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith(f"Everything holds: {untouched.size()} entries, ")
    assert root_of(leaves(untouched)).hex() in result.stdout
    told = json.loads(untouched.cli("verify", "--json", "--strict").stdout)
    assert (told["holds"], told["size"], told["faults"]) == (True, untouched.size(), [])


@pytest.mark.parametrize(
    ("statement", "where"),
    [
        ("UPDATE hold SET reason = 'all well'", "hold"),
        ("UPDATE person_role SET role = 'keeper' WHERE role = 'auditor'", "person_role"),
        ("DELETE FROM fault", "fault"),
        (
            "UPDATE log_entry SET entry = CAST(replace(CAST(entry AS TEXT), 'bent', 'fine') AS BLOB) WHERE act = 'note_fault'",
            "entry",
        ),
        ("UPDATE log_entry SET via = 'page' WHERE seq = 3", "entry 3"),
        ("DELETE FROM log_entry WHERE seq = 40", "entry"),
    ],
)
def test_what_was_changed_behind_its_back_is_named(statement: str, where: str, lived: Doors):
    tampered(lived, statement)
    result = lived.cli("verify")
    assert (result.exit_code, result.stdout) == (1, "")
    told = json.loads(lived.cli("verify", "--json").stdout)
    assert told["holds"] is False
    assert any(fault["where"].startswith(where) for fault in told["faults"]), told["faults"]


def test_a_guard_that_was_taken_away_is_named(lived: Doors):
    lived.instance.database.dispose()
    db = sqlite3.connect(lived.instance.home / "registry.sqlite3", isolation_level=None)
    db.execute("DROP TRIGGER log_entry_fixed")
    db.close()
    result = lived.cli("verify")
    assert (result.exit_code, "log_entry_fixed" in result.stderr) == (1, True)
    assert "(schema_changed)" in lived.cli("fleet").stderr


def test_a_checkpoint_is_a_signed_note_that_anybody_can_check(untouched: Doors):
    note, key = untouched.cli("checkpoint").stdout, untouched.cli("checkpoint", "--public-key").stdout.strip()
    assert open_note(note, key) == ("pairbook.example/K", untouched.size(), root_of(leaves(untouched)))


def test_a_log_that_grew_holds_against_an_earlier_checkpoint(lived: Doors, tmp_path: Path):
    kept = tmp_path / "kept.txt"
    kept.write_text(lived.cli("checkpoint").stdout, encoding="utf-8")
    lived.world.do("note_fault", "18 09:00", half="p1 s", words="hums")
    assert lived.cli("verify", "--against", str(kept)).exit_code == 0


def test_a_log_whose_beginning_was_rewritten_does_not_hold_against_it(lived: Doors, doors_file, tmp_path: Path):
    """The whole file is exchanged for another that is sound in itself: only what was kept elsewhere can tell."""
    import shutil

    kept = tmp_path / "kept.txt"
    kept.write_text(lived.cli("checkpoint").stdout, encoding="utf-8")
    lived.instance.database.dispose()
    lived.world.database.dispose()
    path = lived.instance.home / "registry.sqlite3"
    for suffix in ("", "-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    shutil.copy(doors_file.path, path)
    assert lived.cli("verify").exit_code == 0
    result = lived.cli("verify", "--against", str(kept))
    assert result.exit_code == 1
    assert "its end was cut off, or it is another log." in result.stderr


@pytest.mark.parametrize("text", ["", "nothing", "pairbook.example/K\n3\nAAAA\n", "\x00"])
def test_what_is_no_checkpoint_is_refused(text: str, untouched: Doors, tmp_path: Path):
    kept = tmp_path / "kept.txt"
    kept.write_text(text, encoding="utf-8")
    result = untouched.cli("verify", "--against", str(kept))
    assert result.exit_code == 1
    assert "Give a checkpoint as `pairbook checkpoint` prints it. (wrong_form [against])" in result.stderr


def test_a_checkpoint_whose_size_was_changed_is_refused(untouched: Doors, tmp_path: Path):
    kept = tmp_path / "kept.txt"
    size = untouched.size()
    told = untouched.cli("checkpoint").stdout
    kept.write_text(told.replace(f"\n{size}\n", f"\n{size - 1}\n"), encoding="utf-8")
    result = untouched.cli("verify", "--against", str(kept))
    assert (result.exit_code, "does not fit the text: one of them was changed." in result.stderr) == (1, True)


def test_a_file_that_is_not_there_is_a_wrong_call(untouched: Doors, tmp_path: Path):
    assert untouched.cli("verify", "--against", str(tmp_path / "nothing")).exit_code == 2
