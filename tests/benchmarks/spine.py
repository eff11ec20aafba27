"""What the spine of the registry costs, as ratios within one run: `python -m tests.benchmarks.spine`.

A command and not a test: numbers of milliseconds belong to a machine, ratios to the design. Each line says what is
compared, the ratio, and the two figures it is made of.
"""

import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from registry.acts import log
from registry.acts.entry import read
from registry.acts.fold import compare, fold
from registry.acts.references import resolve
from registry.acts.verify import verify
from registry.app import create_app
from registry.config import Settings
from registry.domain.times import UTC, write_rfc3339
from registry.instance import Instance
from registry.models.database import PRAGMAS, Database, owner_engine
from registry.models.schema import migrate
from registry.models.whereabouts import whereabouts
from registry.queries.fleet import vehicles_at
from tests.cast import METERS, World, furnished

FIRST = datetime(2025, 7, 1, 8, tzinfo=UTC)
SHORT, LONG = 100, 1000
AT = "2025-08-01T12:00:00.000000Z"


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="pairbook-spine-") as folder:
        short, long = (grown(Path(folder) / str(stays), stays) for stays in (SHORT, LONG))
        print(f"{SHORT:,} and {LONG:,} stays of three pairs in four bays; every figure is the best of several runs.\n")
        tell("an act through the door : its statements raw", *door_against_raw(long, Path(folder)), "µs an act")
        tell("label to whereabouts : its statements raw", *lookup_against_raw(long), "µs a lookup")
        tell(
            f"fleet as of an instant, {LONG:,} stays : {SHORT:,} stays",
            *(best(lambda world=world: fleet_at(world)) for world in (long, short)),
            "µs a fleet",
        )
        fold_and_verify(long)
        tell("fleet page over HTTP : its queries", *page_against_queries(long, Path(folder)), "µs a page")


def tell(what: str, one: float, other: float, unit: str) -> None:
    print(f"{what:<62} {one / other:6.2f}   ({one * 1e6:,.0f} and {other * 1e6:,.0f} {unit})")


def best(run: Callable[[], Any], times: int = 7) -> float:
    """Seconds of the fastest of several runs: what else the machine did is left out."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        found.append(time.perf_counter() - start)
    return min(found)


def grown(folder: Path, stays: int) -> World:
    """A furnished registry with so many stays, each entered whole, one after the other."""
    folder.mkdir()
    path = folder / "registry.sqlite3"
    engine = owner_engine(f"sqlite:///{path}")
    migrate(engine)
    engine.dispose()
    world = furnished(Database(f"sqlite:///{path}"))
    when = FIRST
    for name in METERS:
        told = {"calibrated_on": "2025-01-02", "as_found": "within", "certificate": f"B-{name}"}
        world.do("record_meter_calibration", "2025-01-05T09:00:00Z", by="oda", meter=name, **told)
    for number in range(stays):
        if number % 20 == 0:
            when += timedelta(hours=4)
            world.sign("ida", write_rfc3339(when))
        when += timedelta(minutes=20)
        bay = ("teasel A", "teasel B", "burdock A", "burdock B")[number % 4]
        world.install(
            f"p{number % 3 + 1}", bay, write_rfc3339(when), removed_at=write_rfc3339(when + timedelta(minutes=10))
        )
    return world


@contextmanager
def noted(engine: sa.Engine, sent: list[tuple[str, Any, bool]]):
    """Every statement the engine sends, with its values."""

    def note(_db: Any, _cursor: Any, statement: str, parameters: Any, _context: Any, many: bool) -> None:
        if not statement.startswith("BEGIN"):  # the replay begins its transactions itself
            sent.append((statement, parameters, many))

    sa.event.listen(engine, "before_cursor_execute", note)
    yield
    sa.event.remove(engine, "before_cursor_execute", note)


def door_against_raw(world: World, folder: Path, acts: int = 200) -> tuple[float, float]:
    """The same acts twice over equal files: through the door, then their recorded statements over sqlite3 alone."""
    source, copy = Path(world.database.url.database or ""), folder / "raw.sqlite3"
    world.database.dispose()
    _whole(source)
    shutil.copy(source, copy)
    told = [
        world.ready(world.sent("note_fault", "18 09:00", half="p1 s", words=f"hums {number}"), "ida")
        for number in range(acts)
    ]
    from registry.acts import door

    per_act: list[list[tuple[str, Any, bool]]] = []
    start = time.perf_counter()
    for ready in told:
        with world.database.writing() as db:
            door.perform(db, ready, now=world.now, randbelow=world.dice.randrange)
    through = (time.perf_counter() - start) / acts
    # Once more over a third file, to know the statements without paying for the noting.
    third = folder / "noted.sqlite3"
    shutil.copy(copy, third)
    database = Database(f"sqlite:///{third}")
    for ready in told:
        sent: list[tuple[str, Any, bool]] = []
        with noted(database._writer, sent), database.writing() as db:
            door.perform(db, ready, now=world.now, randbelow=world.dice.randrange)
        per_act.append(sent)
    database.dispose()
    raw = sqlite3.connect(copy, isolation_level=None)
    for pragma in PRAGMAS:
        raw.execute(f"PRAGMA {pragma}")
    start = time.perf_counter()
    for sent in per_act:
        raw.execute("BEGIN IMMEDIATE")
        for statement, parameters, many in sent:
            (raw.executemany if many else raw.execute)(statement, parameters)
        raw.execute("COMMIT")
    alone = (time.perf_counter() - start) / acts
    raw.close()
    return through, alone


def _whole(path: Path) -> None:
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()


def lookup_against_raw(world: World, times: int = 300) -> tuple[float, float]:
    """From a half's code to where it was at an instant."""
    with world.database.reading() as db:
        code = db.exec_driver_sql("SELECT code FROM half LIMIT 1").scalar_one()
        ask = lambda: whereabouts(db, [resolve(db, "half", code, AT)], AT)  # noqa: E731
        ask()
        sent: list[tuple[str, Any, bool]] = []
        with noted(world.database._reader, sent):
            ask()
        ours = best(lambda: [ask() for _ in range(times)]) / times
    raw = sqlite3.connect(world.database.url.database or "")
    for pragma in PRAGMAS[5:]:
        raw.execute(f"PRAGMA {pragma}")
    alone = (
        best(
            lambda: [
                raw.execute(statement, parameters).fetchall()
                for _ in range(times)
                for statement, parameters, _many in sent
            ]
        )
        / times
    )
    raw.close()
    return ours, alone


def fleet_at(world: World) -> Any:
    with world.database.reading() as db:
        return vehicles_at(db, AT)


def fold_and_verify(world: World) -> None:
    with world.database.reading() as db:
        entries = [read(stored.raw) for stored in log.rows(db)]
        folded = fold(entries)
        rows = sum(map(len, folded.values()))
        folding = best(lambda: fold(entries), 3)
        comparing = best(lambda: list(compare(db, folded)), 3)
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

        from registry.acts.checkpoints import LogKey

        verifier = LogKey(log.origin_line(db), Ed25519PrivateKey.generate()).verifier()
        verifying = best(lambda: verify(db, verifier), 3)
        strictly = best(lambda: verify(db, verifier, strict=True), 3)
    size = len(entries)
    print(f"{'fold':<62} {size / folding:,.0f} entries/s, {rows / folding:,.0f} rows/s")
    print(f"{'compare':<62} {rows / comparing:,.0f} rows/s")
    print(
        f"{'verify':<62} {size / verifying:,.0f} entries/s, {verifying / (folding + comparing):.2f} of fold and compare"
    )
    print(f"{'verify --strict : verify':<62} {strictly / verifying:6.2f}")


def page_against_queries(world: World, folder: Path) -> tuple[float, float]:
    """The fleet page as a signed-in person gets it, and the queries alone that it shows."""
    from registry import accounts, passwords

    world.database.dispose()
    url = f"sqlite:///{world.database.url.database}"
    instance = Instance(Settings.read({"PAIRBOOK_HOME": str(folder / "home"), "PAIRBOOK_DATABASE_URL": url}))
    (folder / "home").mkdir()
    app = create_app(instance, testing_clock=lambda: world.now)
    passwords.set_secrets(instance.database, world.ids["piet"], {"password": "three unrelated words"}, world.now)
    _id, key = accounts.sign_in(instance.database, "Piet", "three unrelated words", world.now)
    client = app.test_client()
    with client.session_transaction() as session:
        session["key"] = key
    assert client.get("/fleet").status_code == 200
    page = best(lambda: client.get("/fleet"), 20)
    queries = best(lambda: fleet_at(world), 20)
    instance.database.dispose()
    return page, queries


if __name__ == "__main__":
    main()
