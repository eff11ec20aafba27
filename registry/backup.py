"""Backup and restore by the database's own online copy, each verified after; a plain file copy of a live database is not one."""

import os
import shutil
import sqlite3
import subprocess
from datetime import datetime
from pathlib import Path

import sqlalchemy as sa

from registry.acts import log
from registry.acts.checkpoints import Checkpoint, Verifier, read_checkpoint
from registry.acts.verify import Report, verify
from registry.domain.times import UTC
from registry.errors import Reason, Refused
from registry.files import Files, named
from registry.instance import EARLIER, KEYS, Instance
from registry.models.database import owner_engine

COPY, DUMP, POINT, PUBLIC = "registry.sqlite3", "registry.pgdump", "checkpoint.txt", "log.pub"


def back_up(instance: Instance, folder: Path, *, with_keys: bool = False) -> Report:
    """Copy the database and the attached files into a new folder and verify the copy. Raises `Refused`; then no folder
    is left behind."""
    if folder.exists():
        raise Refused(
            Reason("already_known", f"{folder} is there already.", "folder", "Name a folder that is not there yet.")
        )
    partial = folder.with_name(folder.name + ".partial")
    shutil.rmtree(partial, ignore_errors=True)
    partial.mkdir(parents=True, mode=0o700)
    try:
        with instance.database.reading() as db:
            key, head = instance.log_key(db), log.head(db)
            (partial / POINT).write_text(key.sign(head.size, log.root(db, head.size)), encoding="utf-8")
            (partial / PUBLIC).write_text(key.verifier().encoded() + "\n", encoding="utf-8")
        _copy_out(instance, partial)
        if with_keys:
            for name in KEYS:
                shutil.copy2(instance.home / name, partial / name)
        report = _verified(instance, partial)
        partial.replace(folder)
        return report
    except BaseException:
        shutil.rmtree(partial, ignore_errors=True)
        raise


def _copy_out(instance: Instance, folder: Path) -> None:
    """The database first: whatever its copy names is among the files by then, and stays there."""
    url = sa.make_url(instance.settings.database_url)
    if url.get_backend_name() == "sqlite":
        source, target = sqlite3.connect(url.database or ""), sqlite3.connect(folder / COPY)
        try:
            source.backup(target, pages=4096)
        finally:
            source.close()
            target.close()
    else:
        _dump(sa.make_url(instance.settings.owner_url), folder / DUMP)
    with instance.database.reading() as db:
        instance.files.copy_to(_files_in(instance, folder), named(db))


def _take_files(instance: Instance, folder: Path) -> None:
    """The files of the backup, before the rows that name them. Those that are there stay."""
    beside = _files_in(instance, folder)
    beside.copy_to(instance.files, beside.there())


def _files_in(instance: Instance, folder: Path) -> Files:
    """The files that lie beside a copy."""
    return Files(folder, instance.files.most_bytes)


def _dump(owner: sa.URL, path: Path) -> None:
    _run_tool("pg_dump", ["--format=custom", "--no-owner", "--no-privileges", f"--file={path}", _libpq(owner)])


def _verified(instance: Instance, folder: Path) -> Report:
    """Verify the copy itself, with the public key it carries and against the checkpoint signed before it was made."""
    if not (folder / COPY).exists():
        return _verified_dump(instance, folder)
    verifier, point = _point(folder)
    engine = owner_engine(f"sqlite:///{folder / COPY}")
    try:
        with engine.connect() as db:
            report = verify(db, verifier, against=point, files=_files_in(instance, folder))
            db.rollback()
    finally:
        engine.dispose()
    if report.faults:
        raise Refused(
            Reason(
                "log_damaged",
                f"The copy does not verify: {report.faults[0].told}",
                next="Run `pairbook verify` on the registry itself.",
            )
        )
    return report


def _point(folder: Path) -> tuple[Verifier, Checkpoint]:
    """The key and the signed checkpoint that lie beside a copy. Raises `Refused` when either cannot be read."""
    try:
        verifier = Verifier.read((folder / PUBLIC).read_text(encoding="utf-8"))
        return verifier, read_checkpoint(verifier.open((folder / POINT).read_text(encoding="utf-8")))
    except (OSError, ValueError) as problem:
        raise Refused(
            Reason(
                "log_damaged",
                f"{POINT} and {PUBLIC} in {folder} do not show what the log was: {problem}",
                "folder",
                "Take another backup; a copy that cannot be checked is not put in the place of a registry.",
            )
        ) from None


def _verified_dump(instance: Instance, folder: Path) -> Report:
    """A dump is read through to its end by pg_restore; its rows are those of one moment of a registry that verifies."""
    _run_tool("pg_restore", ["--list", str(folder / DUMP)])
    with instance.database.reading() as db:
        report = verify(db, instance.keyring(db), files=_files_in(instance, folder))
    if report.faults:
        raise Refused(
            Reason(
                "log_damaged",
                f"The registry does not verify: {report.faults[0].told}",
                next="The dump holds what is there; restore an earlier one.",
            )
        )
    return report


def restore(instance: Instance, folder: Path, *, replace: bool = False) -> Report:
    """Put a backup in the place of the database, after verifying it. What was there is moved aside."""
    url = sa.make_url(instance.settings.database_url)
    if url.get_backend_name() == "sqlite":
        return _restore_sqlite(instance, Path(url.database or ""), folder, replace)
    return _restore_postgres(instance, folder, replace)


def _restore_sqlite(instance: Instance, path: Path, folder: Path, replace: bool) -> Report:
    if not (folder / COPY).is_file():
        raise Refused(
            Reason("not_found", f"{folder} holds no {COPY}.", "folder", "Give a folder that `pairbook backup` made.")
        )
    report = _verified(instance, folder)
    if path.exists() and not replace:
        do = "Say --replace to move it aside, or set PAIRBOOK_HOME to another folder."
        raise Refused(Reason("already_known", f"A registry is in {path}.", "folder", do))
    _take_files(instance, folder)
    if path.exists():
        aside = path.with_name(f"{path.stem}-before-restore-{datetime.now(UTC):%Y%m%dT%H%M%SZ}{path.suffix}")
        for suffix in ("", "-wal", "-shm"):
            if (old := path.with_name(path.name + suffix)).exists():
                old.replace(aside.with_name(aside.name + suffix))
    _take_keys(instance, folder)
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    source, target = sqlite3.connect(folder / COPY), sqlite3.connect(path)
    try:
        source.backup(target)
    finally:
        source.close()
        target.close()
    return report


def _take_keys(instance: Instance, folder: Path) -> None:
    """The keys of the backup, if it has them and the instance has none; else its public key, to know old signatures by."""
    instance.home.mkdir(mode=0o700, parents=True, exist_ok=True)
    for name in KEYS:
        if (folder / name).exists() and not (instance.home / name).exists():
            shutil.copy2(folder / name, instance.home / name)
    public = (folder / PUBLIC).read_text(encoding="utf-8").strip()
    earlier = instance.home / EARLIER
    known = earlier.read_text(encoding="utf-8").split() if earlier.exists() else []
    if public not in known:
        earlier.write_text("\n".join([*known, public]) + "\n", encoding="utf-8")


def _restore_postgres(instance: Instance, folder: Path, replace: bool) -> Report:
    if not (folder / DUMP).is_file():
        do = "Give a folder that `pairbook backup` made of a PostgreSQL registry."
        raise Refused(Reason("not_found", f"{folder} holds no {DUMP}.", "folder", do))
    _verifier, point = _point(folder)
    owner = sa.make_url(instance.settings.owner_url)
    there = _holds_tables(owner)
    if there and not replace:
        raise Refused(
            Reason(
                "already_known",
                "That database holds tables already.",
                "folder",
                "Restore into an empty database, or say --replace: a dump of what is there is kept first.",
            )
        )
    if there:
        instance.home.mkdir(mode=0o700, parents=True, exist_ok=True)
        _dump(owner, instance.home / f"before-restore-{datetime.now(UTC):%Y%m%dT%H%M%SZ}.pgdump")
    _take_files(instance, folder)
    _run_tool(
        "pg_restore",
        [
            "--exit-on-error",
            "--single-transaction",  # a dump that breaks off leaves the database as it was
            "--no-owner",
            "--no-privileges",
            *(["--clean", "--if-exists"] if there else []),
            f"--dbname={_libpq(owner)}",
            str(folder / DUMP),
        ],
    )
    _take_keys(instance, folder)
    instance.prepare()
    with instance.unchecked_database().reading() as db:
        report = verify(db, instance.keyring(db), against=point, files=instance.files)
    if report.faults:
        raise Refused(
            Reason(
                "log_damaged",
                f"The restored registry does not verify: {report.faults[0].told}",
                next="Restore an earlier backup.",
            )
        )
    return report


def _holds_tables(owner: sa.URL) -> bool:
    engine = owner_engine(owner)
    count = "SELECT count(*) FROM information_schema.tables WHERE table_schema = 'public'"
    try:
        with engine.connect() as db:
            return bool(db.exec_driver_sql(count).scalar_one())
    finally:
        engine.dispose()


def _run_tool(name: str, arguments: list[str]) -> None:
    """PostgreSQL's own tools make and read its dumps; they must be of the server's release or newer."""
    folder = os.environ.get("PAIRBOOK_PG_BIN", "")
    found = shutil.which(name, path=folder or None)
    if found is None:
        raise Refused(
            Reason(
                "not_found",
                f"{name} is not on this machine.",
                next=f"Install PostgreSQL’s client tools, or set PAIRBOOK_PG_BIN to the folder with {name}.",
            )
        )
    done = subprocess.run([found, *arguments], capture_output=True, text=True)
    if done.returncode:
        raise Refused(
            Reason(
                "log_damaged", f"{name} gave up: {done.stderr.strip()[-400:]}", next="Mend what it says and try again."
            )
        )


def _libpq(url: sa.URL) -> str:
    return url.set(drivername="postgresql").render_as_string(hide_password=False)
