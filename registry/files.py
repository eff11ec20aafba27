"""The files of one instance, each under the SHA-256 of its bytes, outside the log and outside what is served as it is.

A file is there before anything names it: written under another name, synced, renamed, its folder synced. So a crash
never leaves a row without its file; a file without a row is taken away after a day.
"""

import hashlib
import os
import secrets
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import BinaryIO, NamedTuple

import sqlalchemy as sa

from registry.domain.attachments import (
    HEAD,
    KINDS,
    PICTURES,
    clean_name,
    cut_short,
    is_hash,
    judged,
    may_be_text,
    say_size,
    too_large,
)
from registry.errors import Reason, Refused
from registry.models.attachments import attachment
from registry.models.carried_files import carried_file
from registry.models.database import Database
from registry.models.log import log_head
from registry.pictures import small_picture

#: How long a file that no entry names is kept: as long as somebody may take to send the act again.
UNNAMED_KEPT = timedelta(days=1)
_PART = ".part-"
_CHUNK = 1 << 20
_NAMING = (attachment, carried_file)
_named = sa.union_all(*(sa.select(t.c.sha256, t.c.size_bytes, t.c.name) for t in _NAMING)).order_by("sha256")
_is_named = sa.union_all(*(sa.select(t.c.id).where(t.c.sha256 == sa.bindparam("sha256")) for t in _NAMING)).limit(1)
_lock = sa.select(log_head.c.one).with_for_update()


class Kept(NamedTuple):
    """A file that is in the folder, as an act names it."""

    sha256: str
    size: int
    media_type: str
    name: str


class Arrived(NamedTuple):
    """A file that was taken in, and whether it was there already."""

    file: Kept
    again: bool


class Files:
    """The folder of files, and beside it the folder of the small pictures made of them."""

    def __init__(self, home: Path, most_bytes: int):
        self.most_bytes = most_bytes
        self._folder, self._small = home / "files", home / "small"

    def path(self, sha256: str) -> Path:
        return self._folder / sha256[:2] / sha256

    def keep(self, stream: BinaryIO, name: str) -> Arrived:
        """Take in one file. Raises `Refused` for one that is not kept here; then nothing of it is left."""
        name = clean_name(name)
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        part = self._folder / f"{_PART}{secrets.token_hex(8)}"
        try:
            sha256, size, media_type = self._taken_in(stream, part, name)
            if media_type in PICTURES:
                self._draw(sha256, small_picture(part, media_type, name))
            again = self._settle(part, sha256)
        finally:
            part.unlink(missing_ok=True)
        return Arrived(Kept(sha256, size, media_type, name), again)

    def _taken_in(self, stream: BinaryIO, part: Path, name: str) -> tuple[str, int, str]:
        """Hash, size and media type of what came, now in the file `part` and synced."""
        digest, size, media_type = hashlib.sha256(), 0, ""
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            for chunk in _chunks(stream):
                size += len(chunk)
                if size > self.most_bytes:
                    raise Refused(too_large(name, self.most_bytes))
                media_type = media_type or _media_type(name, chunk[:HEAD])
                if media_type.startswith("text/") and not may_be_text(chunk):
                    raise Refused(cut_short(name, KINDS[media_type].words))
                digest.update(chunk)
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
        if not size:
            _media_type(name, b"")
        return digest.hexdigest(), size, media_type

    def _settle(self, part: Path, sha256: str) -> bool:
        """Give the file its name, for good. One that is there and whole stays, and its day begins anew: then True."""
        path = self.path(sha256)
        if path.exists() and _hash_of(path) == sha256:
            os.utime(path)
            return True
        path.parent.mkdir(mode=0o700, exist_ok=True)
        part.replace(path)
        _sync(path.parent)
        _sync(self._folder)
        return False

    def _draw(self, sha256: str, picture: bytes) -> None:
        """Keep a small picture. It can be drawn again, so it is not synced."""
        path = self._small / sha256[:2] / f"{sha256}.jpg"
        for folder in (self._small, path.parent):
            folder.mkdir(mode=0o700, exist_ok=True)
        part = path.with_name(f"{_PART}{secrets.token_hex(8)}")
        part.write_bytes(picture)
        part.replace(path)

    def small(self, sha256: str, media_type: str, name: str) -> bytes:
        """The small picture of a picture that is there; drawn anew if it is gone (after a restore)."""
        path = self._small / sha256[:2] / f"{sha256}.jpg"
        if not path.exists():
            self._draw(sha256, small_picture(self.path(sha256), media_type, name))
        return path.read_bytes()

    def find(self, sha256: str, name: str) -> Kept | None:
        """The file of this hash as an act may name it, if it is there and may bear this name."""
        path = self.path(sha256)
        try:
            with path.open("rb") as file:
                media_type = judged(name, file.read(HEAD))
                size = os.fstat(file.fileno()).st_size
        except OSError:
            return None
        return None if isinstance(media_type, Reason) else Kept(sha256, size, media_type, name)

    def fault(self, sha256: str, size: int) -> str | None:
        """What is wrong with a file that the record names, in a sentence without its subject; None for a whole one."""
        path = self.path(sha256)
        try:
            found = path.stat().st_size
            if found != size:
                return f"has {found:,} bytes, and the record says {size:,}"
            return None if _hash_of(path) == sha256 else "does not match its hash: it was changed"
        except OSError:
            return "is missing from the instance folder"

    def faults(self, db: sa.Connection) -> Iterator[tuple[str, str]]:
        """(hash, sentence) of every file that the record names and that is not there as it was."""
        for sha256, size, name in named(db):
            if told := self.fault(sha256, size):
                yield sha256, f"The file “{name}” ({sha256[:12]}…) {told}."

    def unnamed(self, db: sa.Connection) -> list[tuple[str, int]]:
        """(hash, bytes) of every file that no entry names: of acts that were refused, or never sent."""
        known = {sha256 for sha256, _size, _name in named(db)}
        return [(sha256, size) for sha256, size, _name in self.there() if sha256 not in known]

    def remarks(self, db: sa.Connection) -> list[str]:
        """What stands against nothing, told all the same."""
        loose = self.unnamed(db)
        if not loose:
            return []
        many = "1 file is" if len(loose) == 1 else f"{len(loose):,} files are"
        size = say_size(sum(size for _sha256, size in loose))
        return [f"{many} named by no entry ({size}); the server takes such files away after a day."]

    def there(self) -> Iterator[tuple[str, int, str]]:
        """(hash, bytes, hash again for its name) of every file in the folder."""
        return ((path.name, path.stat().st_size, path.name[:12]) for path in self._all())

    def copy_to(self, other: "Files", wanted: Iterable[tuple[str, int, str]]) -> int:
        """Copy these files (hash, bytes, name) into another folder; those that are there and whole stay. Raises
        `Refused` naming the first that is missing or changed."""
        count = 0
        for sha256, size, name in wanted:
            if other.fault(sha256, size) is None:
                continue
            if told := self.fault(sha256, size):
                raise Refused(Reason("log_damaged", f"The file “{name}” ({sha256[:12]}…) {told}.",
                                     next="`pairbook verify` names every such file. Put them back from a backup."))  # fmt: skip
            other.take_in(self.path(sha256), sha256)
            count += 1
        return count

    def take_in(self, source: Path, sha256: str) -> None:
        """Take in a copy of a file that was judged and hashed elsewhere."""
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        part = self._folder / f"{_PART}{secrets.token_hex(8)}"
        try:
            handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as file, source.open("rb") as old:
                while chunk := old.read(_CHUNK):
                    file.write(chunk)
                file.flush()
                os.fsync(file.fileno())
            self._settle(part, sha256)
        finally:
            part.unlink(missing_ok=True)

    def sweep(self, database: Database, now: datetime) -> int:
        """Take away the files that no entry has named for a day; gives how many. Never one that a row names: it looks
        again under the lock that every act takes before it looks whether its files are there."""
        before = (now - UNNAMED_KEPT).timestamp()
        for part in self._folder.glob(f"{_PART}*"):
            if part.stat().st_mtime < before:
                part.unlink(missing_ok=True)
        with database.reading() as db:
            old = [sha256 for sha256, _size in self.unnamed(db) if self.path(sha256).stat().st_mtime < before]
        if not old:
            return 0
        gone = 0
        with database.writing() as db:
            db.execute(_lock)
            for sha256 in old:
                path = self.path(sha256)
                if db.execute(_is_named, {"sha256": sha256}).first() or path.stat().st_mtime >= before:
                    continue
                path.unlink()
                (self._small / sha256[:2] / f"{sha256}.jpg").unlink(missing_ok=True)
                gone += 1
        return gone

    def _all(self) -> Iterable[Path]:
        return (path for path in sorted(self._folder.glob("[0-9a-f][0-9a-f]/*")) if is_hash(path.name))


def named(db: sa.Connection) -> Iterator[tuple[str, int, str]]:
    """(hash, bytes, name) of every file the record names, each once."""
    last = ""
    for sha256, size, name in db.execute(_named):
        if sha256 != last:
            yield sha256, size, name
        last = sha256


def _chunks(stream: BinaryIO) -> Iterator[bytes]:
    """The bytes in large parts; the first holds all that a file is judged by, however little comes at once."""
    while chunk := stream.read(_CHUNK):
        while len(chunk) < HEAD and (more := stream.read(_CHUNK)):
            chunk += more
        yield chunk


def _media_type(name: str, head: bytes) -> str:
    found = judged(name, head)
    if isinstance(found, Reason):
        raise Refused(found)
    return found


def _hash_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _sync(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
