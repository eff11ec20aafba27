"""Files and the record: whatever happens between the two, no row is without its file, and what is damaged is named."""

import hashlib
import io
import os
import signal
import subprocess
import sys
import threading
from datetime import timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from registry import files as files_module
from registry.acts import log
from registry.acts.verify import Report, verify
from registry.errors import Refused
from registry.files import Files
from registry.models.attachments import attachment
from tests.cast import NOW, World
from tests.faults.conftest import KEY
from tests.samples import NOTE_GIVEN, PHOTO, PHOTO_GIVEN, TEXT, bomb, picture


def home(world: World) -> Path:
    """A folder of the world's own, its files in it: beside the database where there is a file of that."""
    return Path(world.database.url.database or "").parent


@pytest.fixture
def kept(either: World, tmp_path: Path) -> World:
    """A registry with a folder of its own, a photo and a text in it, both named by entries."""
    either.files = Files(tmp_path, 1_000_000)
    for content, name in ((PHOTO, "photo.jpg"), (TEXT, "note.txt")):
        either.files.keep(io.BytesIO(content), name)
    either.do("place_hold", half="p1 s", reason="it hums", files=[PHOTO_GIVEN])
    either.do("attach_file", vehicle="teasel", files=[NOTE_GIVEN])
    return either


def looked_at(world: World) -> Report:
    with world.database.reading() as db:
        return verify(db, KEY.verifier(), files=world.files)


def named(world: World) -> set[str]:
    with world.database.reading() as db:
        return set(db.execute(sa.select(attachment.c.sha256)).scalars())


def age(path: Path, **delta: float) -> None:
    then = (NOW - timedelta(**delta)).timestamp()
    os.utime(path, (then, then))


def below(folder: Path) -> set[str]:
    return {path.name for path in folder.rglob("*") if path.is_file()}


# killed

COMMAND = [sys.executable, "-m", "tests.faults.files_writer"]


def _writer(world: World, most: int) -> "subprocess.Popen[str]":
    words = [*COMMAND, str(home(world)), world.ids["p1 s"], world.ids["ida"], str(most)]
    return subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)


def test_a_kill_between_the_file_and_its_row_leaves_a_file_that_nothing_names(world: World):
    world.files = Files(home(world), 20_000_000)
    with _writer(world, 0) as writer:
        sha256 = writer.stdout.readline().split()[1]
        writer.send_signal(signal.SIGKILL)
    report = looked_at(world)
    assert (report.faults, named(world)) == ([], set())
    told = "1 file is named by no entry (34 kB); the server takes such files away after a day."
    assert report.remarks == (told,)
    assert world.files.sweep(world.database, NOW + timedelta(hours=1)) == 0
    age(world.files.path(sha256), hours=25)
    assert world.files.sweep(world.database, NOW) == 1
    assert looked_at(world).remarks == ()


@pytest.mark.parametrize("after", [6, *(pytest.param(after, marks=pytest.mark.long) for after in (1, 15))])
def test_a_kill_at_any_time_leaves_no_row_without_its_file_and_no_file_cut_short(after: int, world: World):
    world.files = Files(home(world), 20_000_000)
    with _writer(world, 100_000) as writer:
        told = [writer.stdout.readline().split() for _number in range(after)]
        writer.send_signal(signal.SIGKILL)
        told += [line.split() for line in writer.stdout.read().splitlines()]
    report = looked_at(world)
    assert report.faults == []
    with world.database.reading() as db:
        assert all(log.stored(db, words[1]) for words in told if words[0] == "kept" and len(words[-1]) == 36)
    for path in (home(world) / "files").glob("??/*"):
        assert hashlib.sha256(path.read_bytes()).hexdigest() == path.name


def test_the_file_and_its_folder_are_synced_before_it_has_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Power that goes between two steps leaves the file whole or not there: sync, rename, sync of the folder."""
    steps: list[str] = []
    real_sync, real_replace = os.fsync, Path.replace

    def sync(handle: int) -> None:
        steps.append("folder" if Path(f"/proc/self/fd/{handle}").is_dir() else "file")
        real_sync(handle)

    def replace(self: Path, target: Path) -> Path:
        steps.append(f"rename {Path(target).parent.parent.name}")
        return real_replace(self, target)

    monkeypatch.setattr(files_module.os, "fsync", sync)
    monkeypatch.setattr(Path, "replace", replace)
    Files(tmp_path, 1000).keep(io.BytesIO(TEXT), "note.txt")
    assert steps == ["file", "rename files", "folder", "folder"]


# damaged


def test_a_whole_folder_holds_and_everything_in_it_is_named(kept: World):
    report = looked_at(kept)
    assert (report.faults, report.remarks) == ([], ())


DAMAGES = {
    "missing": (lambda path: path.unlink(), "The file “photo.jpg” ({}…) is missing from the instance folder."),
    "changed": (lambda path: path.write_bytes(PHOTO[:-1] + b"x"), "The file “photo.jpg” ({}…) does not match its hash: it was changed."),
    "cut": (lambda path: path.write_bytes(PHOTO[:100]), "The file “photo.jpg” ({}…) has 100 bytes, and the record says " + f"{len(PHOTO):,}."),
}  # fmt: skip


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_file_that_is_not_as_it_was_is_named(damage: str, kept: World):
    break_it, told = DAMAGES[damage]
    break_it(kept.files.path(PHOTO_GIVEN["sha256"]))
    [fault] = looked_at(kept).faults
    assert (fault.where, fault.told) == (f"file {PHOTO_GIVEN['sha256']}", told.format(PHOTO_GIVEN["sha256"][:12]))


def test_sending_a_damaged_file_again_mends_it(kept: World):
    kept.files.path(PHOTO_GIVEN["sha256"]).write_bytes(b"x")
    assert kept.files.keep(io.BytesIO(PHOTO), "photo.jpg").again is False
    assert kept.files.keep(io.BytesIO(PHOTO), "photo.jpg").again is True
    assert looked_at(kept).faults == []


# swept


def test_a_file_that_a_row_names_is_never_taken_away(kept: World):
    for path in (kept.files._folder).glob("??/*"):
        age(path, days=400)
    assert kept.files.sweep(kept.database, NOW) == 0
    assert looked_at(kept).faults == []


def test_what_nothing_names_is_kept_for_a_day_with_its_small_picture(kept: World, tmp_path: Path):
    file = kept.files.keep(io.BytesIO(picture(colour="red")), "loose.jpg").file
    part = tmp_path / "files" / ".part-0123456789abcdef"
    part.write_bytes(b"half a file")
    for path in (kept.files.path(file.sha256), part):
        age(path, hours=23, minutes=59)
    assert kept.files.sweep(kept.database, NOW) == 0
    assert {file.sha256, f"{file.sha256}.jpg", part.name} <= below(tmp_path)
    for path in (kept.files.path(file.sha256), part):
        age(path, hours=24, minutes=1)
    assert kept.files.sweep(kept.database, NOW) == 1
    assert not {file.sha256, f"{file.sha256}.jpg", part.name} & below(tmp_path)
    assert looked_at(kept).faults == []


def test_a_file_that_is_sent_again_has_its_day_anew(kept: World):
    file = kept.files.keep(io.BytesIO(b"loose\n"), "loose.txt").file
    age(kept.files.path(file.sha256), days=2)
    kept.files.keep(io.BytesIO(b"loose\n"), "loose.txt")
    assert kept.files.sweep(kept.database, NOW) == 0


def test_an_act_and_the_sweep_at_once_never_leave_a_row_without_its_file(kept: World):
    """Both look under the lock of the log's head: the act is refused, or the file stays."""
    file = kept.files.keep(io.BytesIO(b"loose\n"), "loose.txt").file
    age(kept.files.path(file.sha256), days=2)
    act = kept.ready(kept.sent("attach_file", half="p1 s", files=[file._asdict()]), "ida")
    swept: list[int] = []
    sweeping = threading.Thread(target=lambda: swept.append(kept.files.sweep(kept.database, NOW)))
    from registry.acts import door

    with kept.database.writing() as db:
        done = door.perform(db, act, now=NOW, randbelow=kept.dice.randrange)
        sweeping.start()
        sweeping.join(0.5)
        assert sweeping.is_alive() and kept.files.path(file.sha256).exists()
    sweeping.join()
    assert (swept, done.entry.act) == ([0], "attach_file")
    assert looked_at(kept).faults == []


def test_an_act_after_the_sweep_is_refused(kept: World):
    file = kept.files.keep(io.BytesIO(b"loose\n"), "loose.txt").file
    age(kept.files.path(file.sha256), days=2)
    assert kept.files.sweep(kept.database, NOW) == 1
    assert "unknown_file" in kept.refused("attach_file", half="p1 s", files=[file._asdict()])


# refused: nothing of it is left

BAD = [
    (b"", "photo.jpg", "wrong_file"),
    (PHOTO[: len(PHOTO) // 2], "photo.jpg", "wrong_file"),
    (picture("PNG")[:200], "drawing.png", "wrong_file"),
    (b"\xff\xd8\xff" + b"x" * 5000, "photo.jpg", "wrong_file"),
    (b"a,b\n" * 5000 + b"\x00", "table.csv", "wrong_file"),
    (bomb(), "drawing.png", "too_large"),
    (b"x" * 1_000_001, "note.txt", "too_large"),
]


@pytest.mark.parametrize(("content", "name", "code"), BAD, ids=["empty", "half a JPEG", "half a PNG", "no JPEG", "late control character", "bomb", "one byte too many"])  # fmt: skip
def test_what_is_not_kept_leaves_nothing_behind(content: bytes, name: str, code: str, tmp_path: Path):
    files = Files(tmp_path, 1_000_000)
    with pytest.raises(Refused) as caught:
        files.keep(io.BytesIO(content), name)
    assert [reason.code for reason in caught.value.reasons] == [code]
    assert below(tmp_path) == set()


def test_a_file_of_exactly_the_most_is_kept(tmp_path: Path):
    assert Files(tmp_path, 1_000_000).keep(io.BytesIO(b"x" * 1_000_000), "note.txt").file.size == 1_000_000


class Dripping(io.RawIOBase):
    """A stream that gives seven bytes at a time, as a slow line does."""

    def __init__(self, content: bytes):
        self._rest = content

    def read(self, most: int = -1) -> bytes:
        part, self._rest = self._rest[:7], self._rest[7:]
        return part


def test_a_file_is_judged_by_its_beginning_however_slowly_it_comes(tmp_path: Path):
    files = Files(tmp_path, 1_000_000)
    assert files.keep(Dripping(PHOTO), "photo.jpg").file == tuple(PHOTO_GIVEN.values())
    with pytest.raises(Refused, match="markup"):
        files.keep(Dripping(b" " * 20 + b"<html>"), "note.txt")


def test_only_the_owner_reads_the_files(tmp_path: Path):
    files = Files(tmp_path, 1_000_000)
    path = files.path(files.keep(io.BytesIO(TEXT), "note.txt").file.sha256)
    assert path.stat().st_mode & 0o077 == 0
    assert path.parent.stat().st_mode & 0o077 == 0
