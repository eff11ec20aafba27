"""One registry on this machine: its folder, its keys, its database, and whether it may be written to."""

import os
import secrets
from functools import cached_property
from pathlib import Path

import sqlalchemy as sa
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from registry.acts import log
from registry.acts.checkpoints import Keyring, LogKey, Verifier
from registry.config import Settings
from registry.errors import Reason, Refused
from registry.files import Files
from registry.models.database import Database, owner_engine
from registry.models.schema import migrate, require_modest_role, require_schema

#: The keys of an instance. A backup leaves them out unless it is told to take them.
KEYS = ("log.key", "session.key")
#: Public keys of this log from before a restore that had no keys, one a line.
EARLIER = "earlier-keys.txt"


class Instance:
    """An instance folder and the database it names. Nothing is opened before it is asked for."""

    def __init__(self, settings: Settings):
        self.settings = settings

    @property
    def home(self) -> Path:
        return self.settings.home

    @cached_property
    def files(self) -> Files:
        """The files attached to things, beside the keys."""
        return Files(self.home, self.settings.file_mb * 1_000_000)

    @cached_property
    def database(self) -> Database:
        """The database over an application connection, its schema checked once."""
        url = sa.make_url(self.settings.database_url)
        if url.get_backend_name() == "sqlite" and not Path(url.database or "").is_file():
            raise Refused(
                Reason(
                    "not_found",
                    f"There is no registry in {self.home}.",
                    next="Make one with `pairbook init`, or try `pairbook demo`.",
                )
            )
        database = Database(self.settings.database_url)
        with database.reading() as db:
            require_schema(db)
            require_modest_role(db)
        return database

    def unchecked_database(self) -> Database:
        """The database whatever its schema: for `verify`, which tells what is wrong with it. Nothing is written by it."""
        return Database(self.settings.database_url)

    def prepare(self) -> None:
        """Make the folder and the keys, and bring the database to today's schema. Safe to repeat."""
        self.home.mkdir(mode=0o700, parents=True, exist_ok=True)
        engine = owner_engine(self.settings.owner_url)
        role = sa.make_url(self.settings.database_url).username
        if engine.dialect.name == "postgresql" and role == engine.url.username:
            raise Refused(
                Reason("schema_changed", f"Requests would run as {role}, the role that owns the tables; no guard binds it.",
                       next="Name a second role in PAIRBOOK_DATABASE_URL and the owner in PAIRBOOK_OWNER_URL.")
            )  # fmt: skip
        try:
            migrate(engine, application=role if engine.dialect.name == "postgresql" else None)
        finally:
            engine.dispose()
        _ = self.log_key_seed, self.session_secret

    @cached_property
    def log_key_seed(self) -> bytes:
        return self._secret("log.key")

    @cached_property
    def session_secret(self) -> bytes:
        return self._secret("session.key")

    def log_key(self, db: sa.Connection) -> LogKey:
        """The key that signs this log's checkpoints; its name is the outfit's label host and letter."""
        name = log.origin_line(db)
        return LogKey(name, Ed25519PrivateKey.from_private_bytes(self.log_key_seed))

    def keyring(self, db: sa.Connection) -> Keyring:
        """Today's key, and those this log was signed with before it was restored without its keys."""
        path = self.home / EARLIER
        lines = path.read_text(encoding="utf-8").split() if path.exists() else []
        return Keyring(self.log_key(db).verifier(), *(Verifier.read(line) for line in lines))

    def sign_head(self) -> None:
        """Sign and keep a checkpoint of the log as it stands, unless that was done: after a commit, never inside one."""
        with self.database.reading() as db:
            head = log.head(db)
            if head.size == log.newest_checkpoint(db):
                return
            note = self.log_key(db).sign(head.size, log.root(db, head.size))
        with self.database.writing() as db:
            log.keep_checkpoint(db, head.size, note)

    def _secret(self, name: str) -> bytes:
        """32 random bytes kept in a file only this user reads; made on first use, by whichever process is first."""
        path = self.home / name
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            return path.read_bytes()
        with os.fdopen(handle, "wb") as file:
            secret = secrets.token_bytes(32)
            file.write(secret)
        return secret
