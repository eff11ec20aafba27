"""A real server over the invented outfit, as `pairbook serve` starts it, on a free port of this machine."""

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

import sqlalchemy as sa

from registry.models.database import Database
from registry.models.pairings import pairing
from registry.models.units import half
from registry.queries.fleet import VehicleState, vehicles_at
from registry.queries.pairings import pairs_listed

SERVE = (sys.executable, "-c", "from registry.cli.main import pairbook; pairbook()", "serve")
PATIENCE_S = 120.0  # on a machine that is busy with other things


class Sea(NamedTuple):
    """The running registry: its address, and a look at its record from beside."""

    url: str
    home: Path
    database: Database

    def now(self) -> str:
        return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def vehicle(self, name: str, at: str | None = None) -> VehicleState:
        with self.database.reading() as db:
            return next(one for one in vehicles_at(db, at or self.now()) if one.name == name)

    def spares(self, type_name: str) -> list[str]:
        """Pairs of a type that lie on a shelf, whole and free of holds."""
        with self.database.reading() as db:
            listed = pairs_listed(db, self.now())
        return [
            one.line.name
            for one in listed
            if one.disc == "whole" and type_name in one.line.type_name and not one.sensor.where.vehicle
        ]

    def codes(self, pair: str) -> tuple[str, str]:
        """The label codes of both halves of a pair."""
        with self.database.reading() as db:
            row = db.execute(
                sa.select(pairing.c.sensor_id, pairing.c.electronics_id).where(pairing.c.name == pair)
            ).one()
            return tuple(db.execute(sa.select(half.c.code).where(half.c.id == id_)).scalar_one() for id_ in row)  # type: ignore[return-value]

    def size(self) -> int:
        with self.database.reading() as db:
            return int(db.exec_driver_sql("SELECT size FROM log_head").scalar_one())

    def days_ago(self, days: float) -> datetime:
        return datetime.now(UTC) - timedelta(days=days)


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def serving(home: Path) -> Iterator[str]:
    """The address of a server over this instance folder, ended by its own process id afterwards."""
    port = free_port()
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PAIRBOOK_")}
    log = (home / "server.log").open("wb")
    process = subprocess.Popen(
        [*SERVE, "--port", str(port)], env={**kept, "PAIRBOOK_HOME": str(home)}, stdout=log, stderr=subprocess.STDOUT
    )
    try:
        _wait_until_it_answers(process, port, home / "server.log")
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        log.close()


def _wait_until_it_answers(process: subprocess.Popen[bytes], port: int, log: Path) -> None:
    """Waiting for the process to end is the pause between two tries: if it ends, it says why."""
    deadline = datetime.now(UTC) + timedelta(seconds=PATIENCE_S)
    while datetime.now(UTC) < deadline:
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1):
                return
        except OSError:
            try:
                process.wait(0.05)
            except subprocess.TimeoutExpired:
                continue
            break
    raise AssertionError(f"the server did not answer: {log.read_text(encoding='utf-8', errors='replace')[-2000:]}")
