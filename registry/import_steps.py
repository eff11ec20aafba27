"""The steps of an import: look at the file, try every row on a copy of the record, enter them all in one transaction.

Each runs in a process of its own (`python -m registry.import_steps ID STEP`), which writes down how far it is.
"""

import json
import secrets
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from registry.acts import log
from registry.acts.door import Signer
from registry.acts.imports import Carrier, File, Group, groups
from registry.acts.long_work import Told
from registry.at_work import at_work
from registry.config import Settings
from registry.domain.carrying import VIA
from registry.domain.imports import guessed
from registry.domain.times import UTC, stamp
from registry.errors import Reason, Refused, refuse_if
from registry.importing import BEFORE, STEPS, Import, Imports, write
from registry.instance import Instance
from registry.models.database import Database, owner_engine
from registry.sheet_rows import Row
from registry.spreadsheets import Spreadsheet

_TELL_EVERY_S, _MOST_BYTES = 0.5, 3 * 1024**3
#: Seconds that reading a file may take before its rows are tried: several times what the largest sheet takes.
_READ_S = 120


def run(imports: Imports, id_: str, step: str, now: datetime, told: Told | None = None) -> Import:
    """One step, in this process; `told` hears how far it is. What refuses is written down with the import, and raised."""
    # Before anybody is told that it is at work: pages look whether this process is there.
    with at_work(imports.folder(id_)):
        one = imports.find(id_)
        assert one is not None
        one.state, one.reasons = STEPS[step], []
        imports.keep(one)
        try:
            if step == "look":
                look(imports, one)
            else:
                (try_out if step == "try" else enter)(imports, one, now, told)
        except (Refused, MemoryError) as problem:
            full = Reason("too_large", "It takes more memory than an import may.", next="Send it in parts.")
            one.state = BEFORE[one.state]
            one.reasons = [reason.as_json() for reason in (problem.reasons if isinstance(problem, Refused) else [full])]
            raise
        finally:
            imports.keep(one)
    return one


def look(imports: Imports, one: Import) -> None:
    """Read the headers and the first rows, and guess which column is which."""
    sheet = Spreadsheet(imports.folder(one.id) / "file", one.encoding)
    rows = sheet.rows()
    some = [row for _number, row in zip(range(3), rows, strict=False)]
    one.headers = [list(column) for column in sheet.columns]
    one.samples = [{letter: str(value or "") for letter, value in row.cells.items()} for row in some]
    one.columns, one.state, one.reasons = one.columns or guessed(one.kind, sheet.columns), "looked", []


def try_out(imports: Imports, one: Import, now: datetime, told: Told | None = None) -> None:
    """Judge every row on a copy of the record that is thrown away, and write the report."""
    begun, counts = time.monotonic(), dict.fromkeys(("ready", "near", "already", "refused"), 0)
    todo = _all_groups(imports, one)
    path = imports.folder(one.id) / "report.part"
    with _copy_of(imports.instance) as copy, path.open("w", encoding="utf-8") as lines, copy.writing() as db:
        one.size = log.head(db).size
        carrier = _carrier(db, imports, one, now)
        carrier.look_up(todo)
        for group in _told_of(imports, one, todo, told):
            judged = carrier.judge(group)
            counts[judged.state] += len(judged.rows)
            lines.write(json.dumps(judged.told(), ensure_ascii=False) + "\n")
    path.replace(imports.folder(one.id) / "report.jsonl")
    one.counts, one.seconds, one.state, one.reasons = counts, round(time.monotonic() - begun, 1), "tried", []


def enter(imports: Imports, one: Import, now: datetime, told: Told | None = None) -> None:
    """Enter every row in one transaction, all or nothing. Raises `Refused` naming the first row that cannot go in."""
    todo = _all_groups(imports, one)
    _keep_file(imports, one)
    window = imports.folder(one.id).parent / "window.json"
    write(window, {"id": one.id, "by": one.by, "since": stamp(now), "seconds": one.seconds})
    try:
        with imports.instance.database.writing() as db:
            carrier = _carrier(db, imports, one, now)
            carrier.look_up(todo)
            for group in _told_of(imports, one, todo, told):
                try:
                    carrier.enter(group)
                except Refused as refused:
                    raise Refused(*(_of_row(group, reason) for reason in refused.reasons)) from None
            one.size = log.head(db).size
            # Before it is in the log: whoever finds this process gone looks there whether it came so far.
            one.last_act = _newest_act(db, one.size)
            imports.keep(one)
    finally:
        window.unlink(missing_ok=True)
    one.state, one.reasons = "entered", []


def _newest_act(db: Any, size: int) -> str:
    entry = log.entry_at(db, size)
    assert entry is not None
    return entry.id


def _keep_file(imports: Imports, one: Import) -> None:
    """The spreadsheet among the attached files, before any entry names it: backups bring it along, `verify` looks at it."""
    files, source = imports.instance.files, imports.folder(one.id) / "file"
    files.take_in(source, one.sha256)
    if told := files.fault(one.sha256, source.stat().st_size):
        raise Refused(Reason("wrong_file", f"The file {told}.", "file", "Send it again."))


def _of_row(group: Group, reason: Reason) -> Reason:
    return Reason(reason.code, f"Row {group.rows[0]}: {reason.message}", reason.field, reason.next)


def _all_groups(imports: Imports, one: Import) -> list[Group]:
    refuse_if(
        Reason("missing_field", f"No column stands for “{wanted.title}”.", wanted.name, "Choose one, or say it for all rows.")
        for wanted in one.reading.missing()
    )  # fmt: skip
    sheet = Spreadsheet(imports.folder(one.id) / "file", one.encoding)
    found = list(groups(one.reading, ((row.number, row.cells, row.faults) for row in _read_in_time(sheet))))
    if not found:
        raise Refused(Reason("wrong_file", "There is no row under the headers.", "file", "Look at the sheet."))
    return found


def _read_in_time(sheet: Spreadsheet) -> Iterator[Row]:
    """The rows, as long as reading them takes no longer than any sheet does."""
    begun = time.monotonic()
    for row in sheet.rows():
        if time.monotonic() - begun > _READ_S:
            told = f"The file takes longer than {_READ_S} seconds to read; row {row.number:,} was reached."
            raise Refused(Reason("wrong_file", told, "file", "Send it in parts, or as CSV."))
        yield row


def _carrier(db: Any, imports: Imports, one: Import, now: datetime) -> Carrier:
    file = File(one.sha256, one.name, (imports.folder(one.id) / "file").stat().st_size)
    return Carrier(db, one.reading, file, Signer(one.by, VIA), now, secrets.SystemRandom().randrange)


def _told_of(imports: Imports, one: Import, todo: list[Group], told: Told | None) -> Iterator[Group]:
    """The groups, telling every so often how far it is, in rows."""
    total = sum(len(group.rows) for group in todo)

    def tell(done: int) -> None:
        write(imports.folder(one.id) / "progress.json", {"done": done, "of": total})
        if told:
            told(done / total, f"{'Tried' if one.state == 'trying' else 'Entered'} {done:,} of {total:,} rows.")

    last, done = 0.0, 0
    for group in todo:
        if time.monotonic() - last > _TELL_EVERY_S:
            tell(done)
            last = time.monotonic()
        yield group
        done += len(group.rows)
    tell(total)


class _ThrownAway(Exception):
    pass


@contextmanager
def _copy_of(instance: Instance) -> Iterator["_Copy"]:
    """The record as it stands, in a SQLite file of its own that is thrown away: nobody waits for a try."""
    with tempfile.TemporaryDirectory(prefix="pairbook-try-") as folder:
        path = Path(folder) / "registry.sqlite3"
        if instance.database.engine_name == "sqlite":
            _copied(str(instance.database.url.database), path)
        else:
            _poured(instance.database, path)
        database = Database(f"sqlite:///{path}")
        try:
            yield _Copy(database)
        finally:
            database.dispose()


class _Copy:
    """A copy on which every transaction is undone."""

    def __init__(self, database: Database):
        self._database = database

    @contextmanager
    def writing(self) -> Iterator[Any]:
        try:
            with self._database.writing() as db:
                yield db
                raise _ThrownAway
        except _ThrownAway:
            pass


def _copied(source: str, path: Path) -> None:
    """By SQLite's own backup, which reads while others write."""
    old, new = sqlite3.connect(source), sqlite3.connect(path)
    try:
        old.backup(new)
    finally:
        new.close()
        old.close()


def _poured(database: Database, path: Path) -> None:
    """Every row of a PostgreSQL record into the same tables on SQLite. Guards stay away: the door's rules refuse, and
    the record itself keeps its guards for when the rows are entered."""
    from registry.models.base import metadata

    engine = owner_engine(f"sqlite:///{path}")
    metadata.create_all(engine)
    with database.reading() as old, engine.connect() as new:
        new.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
        with new.begin():
            for table in metadata.sorted_tables:
                with old.execute(table.select(), execution_options={"yield_per": 2000}) as result:
                    for part in result.mappings().partitions():
                        new.execute(table.insert(), [dict(row) for row in part])
    engine.dispose()


def _main(id_: str, step: str) -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (_MOST_BYTES, _MOST_BYTES))
    instance = Instance(Settings.read())
    try:
        run(Imports(instance), id_, step, datetime.now(UTC))
        if step == "enter":
            instance.sign_head()
    except (Refused, MemoryError):
        sys.exit(1)


if __name__ == "__main__":
    _main(sys.argv[1], sys.argv[2])
