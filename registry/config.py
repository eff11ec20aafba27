"""Settings, all from the environment, all beginning with PAIRBOOK_. Each stands in README's table; a test holds it."""

import os
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError


@dataclass(frozen=True, slots=True)
class Settings:
    """Where this registry lives and how it is served.

    `home` is the instance folder (keys, attachments and, by default, the SQLite database). `database_url` is what
    requests use; `owner_url` what `init` uses to change the schema, when that is another role (PostgreSQL). `file_mb`
    is the most that one attached file may have, in millions of bytes.
    """

    home: Path
    database_url: str
    owner_url: str
    host: str
    port: int
    https: bool
    threads: int
    file_mb: int

    @classmethod
    def read(cls, environ: dict[str, str] | None = None) -> "Settings":
        """Read the environment. Raises ValueError with a sentence for a value that cannot be."""
        env = os.environ if environ is None else environ
        home = Path(env.get("PAIRBOOK_HOME") or "instance").expanduser().absolute()
        url = env.get("PAIRBOOK_DATABASE_URL") or f"sqlite:///{home / 'registry.sqlite3'}"
        return cls(
            home=home,
            database_url=_database(env, "PAIRBOOK_DATABASE_URL", url),
            owner_url=_database(env, "PAIRBOOK_OWNER_URL", url),
            host=env.get("PAIRBOOK_HOST") or "127.0.0.1",
            port=_number(env, "PAIRBOOK_PORT", 8462, 1, 65535),
            https=_yes(env, "PAIRBOOK_HTTPS"),
            threads=_number(env, "PAIRBOOK_THREADS", 2, 1, 64),
            file_mb=_number(env, "PAIRBOOK_FILE_MB", 20, 1, 1000),
        )


NAMES = (
    "PAIRBOOK_HOME",
    "PAIRBOOK_DATABASE_URL",
    "PAIRBOOK_OWNER_URL",
    "PAIRBOOK_HOST",
    "PAIRBOOK_PORT",
    "PAIRBOOK_HTTPS",
    "PAIRBOOK_THREADS",
    "PAIRBOOK_FILE_MB",
    "PAIRBOOK_TOKEN",
    "PAIRBOOK_PIN",
    "PAIRBOOK_SECRET",
    "PAIRBOOK_PG_BIN",
)


def _database(env: "os._Environ[str] | dict[str, str]", name: str, default: str) -> str:
    text = env.get(name) or default
    try:
        engine = make_url(text).get_backend_name()
    except ArgumentError:
        raise ValueError(f"{name} is not the URL of a database, like postgresql://user@host/name.") from None
    if engine not in ("sqlite", "postgresql"):
        raise ValueError(f"{name} names {engine}; the record is kept in SQLite or PostgreSQL.")
    return text


def _number(env: "os._Environ[str] | dict[str, str]", name: str, default: int, least: int, most: int) -> int:
    text = env.get(name)
    if not text:
        return default
    if not text.isascii() or not text.isdigit() or not least <= int(text) <= most:
        raise ValueError(f"{name} is {text!r}; it must be a whole number from {least} to {most}.")
    return int(text)


def _yes(env: "os._Environ[str] | dict[str, str]", name: str) -> bool:
    text = (env.get(name) or "no").lower()
    if text not in ("yes", "no", "1", "0"):
        raise ValueError(f"{name} is {text!r}; say yes or no.")
    return text in ("yes", "1")
