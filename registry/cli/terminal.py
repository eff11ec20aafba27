"""What commands over a registry share: the instance, who acts, the past, and how an entered act is told."""

import os
import secrets
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import click
from sqlalchemy.exc import SQLAlchemyError

from registry import accounts, entering, passwords
from registry.acts.door import Done, Signer
from registry.cli.telling import as_json as as_json
from registry.cli.telling import options, print_json
from registry.cli.telling import show_progress as show_progress
from registry.cli.telling import tell_refused as tell_refused
from registry.config import Settings
from registry.domain.times import UTC, read_day, read_instant, say, stamp, write_rfc3339
from registry.errors import Reason, Refused
from registry.instance import Instance

VIA = "command line"
dice = secrets.SystemRandom()


def now() -> datetime:
    return datetime.now(UTC)


def open_instance() -> Instance:
    """The registry of this environment. A setting that cannot be is told as a usage fault."""
    try:
        return Instance(Settings.read())
    except ValueError as problem:
        raise click.UsageError(str(problem)) from None


signing = options(
    click.option(
        "--as",
        "who",
        metavar="NAME",
        help="Who acts: name, badge or code. Their PIN is asked for, or read from PAIRBOOK_PIN. Not needed with PAIRBOOK_TOKEN.",
    ),
)
happened = click.option(
    "--at", "at", metavar="INSTANT", help="When it happened, RFC 3339 with an offset. Now, if left out."
)
past = options(
    click.option("--at", "at", metavar="INSTANT", help="As of this instant, RFC 3339 with an offset."),
    click.option(
        "--as-known-on", "known_on", metavar="DAY", help="As the log told it when that day ended (24:00 UTC)."
    ),
)


def signer_of(instance: Instance, who: str | None) -> Signer:
    """Who acts, shown by token or by name and PIN. Raises `Refused`."""
    if key := os.environ.get("PAIRBOOK_TOKEN"):
        with instance.database.reading() as db:
            person = accounts.token_person(db, key, now())
        if person is None:
            raise Refused(
                Reason(
                    "not_signed_in",
                    "PAIRBOOK_TOKEN opens nothing: it was ended, or it was copied wrong.",
                    next="Make a new one with `pairbook token`.",
                )
            )
        return Signer(person.id, VIA)
    if not who:
        raise click.UsageError("Say who acts with --as NAME, or set PAIRBOOK_TOKEN.")
    with instance.database.reading() as db:
        person_id = accounts.named(db, who)
    if person_id is None:
        raise Refused(
            Reason(
                "unknown_label",
                f"Nobody is called “{who}”.",
                "who",
                "Use the name as it stands in the registry, a badge or a code.",
            )
        )
    pin = os.environ.get("PAIRBOOK_PIN") or click.prompt(f"PIN of {who}", hide_input=True, err=True)
    passwords.check_secret(instance.database, person_id, "pin", pin, now())
    return Signer(person_id, VIA)


def sent(act: str, at: str | None, **fields: Any) -> dict[str, Any]:
    """The fields of an act as any adapter sends them; what was left out is left out."""
    from registry.acts.catalogue import ACTS
    from registry.acts.ids import new_id

    told = {name: value for name, value in fields.items() if value not in (None, "", (), False)}
    return {
        "act": act,
        "version": ACTS[act].version,
        "id": new_id(now(), dice.getrandbits),
        "happened_at": at or write_rfc3339(now()),
        **told,
    }


def enter(instance: Instance, told: dict[str, Any], signer: Signer, as_json: bool) -> Done:
    """Enter an act and say so; what takes long says how far it is."""
    with working_shown() as shown:
        done = entering.enter(instance, told, signer, now=now(), dice=dice, told=shown)
    tell_done(done, as_json)
    sign_head(instance)
    return done


@contextmanager
def working_shown() -> Iterator[Callable[[float | None, str], None] | None]:
    """What tells how far long work is, on a terminal, and wipes its line at the end; None where there is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return

    def show(share: float | None, words: str) -> None:
        far = "" if share is None else f"{share:.0%}, "
        click.echo(f"\r{far}{words}".ljust(60), nl=False, err=True)

    try:
        yield show
    finally:
        click.echo(f"\r{' ' * 60}\r", nl=False, err=True)


def kept(instance: Instance, files: Iterable[Path]) -> list[dict[str, Any]]:
    """Keep these files; gives what an act names them by."""
    found = []
    for path in files:
        with path.open("rb") as stream:
            found.append(instance.files.keep(stream, path.name).file._asdict())
    return found


def sign_head(instance: Instance) -> None:
    """Sign the log's new head. The act is in the log whether or not this succeeds."""
    try:
        instance.sign_head()
    except (Refused, SQLAlchemyError, OSError) as problem:
        click.echo(f"No checkpoint was signed: {problem} The next act signs one.", err=True)


def tell_done(done: Done, as_json: bool) -> None:
    if as_json:
        print_json({"entry": done.entry._asdict(), "again": done.again, "remarks": done.remarks})
        return
    from registry.acts.catalogue import ACTS

    again = " It was there already." if done.again else ""
    click.echo(
        f"In the log as entry {done.entry.seq:,}: {ACTS[done.entry.act].says.lower()}, {say(done.entry.at)}.{again}"
    )
    for remark in done.remarks:
        click.echo(remark)


def instant(text: str | None) -> str:
    """The stamp of --at, now if it was left out."""
    if not text:
        return stamp(now())
    try:
        return stamp(read_instant(text))
    except ValueError as problem:
        raise click.BadParameter(str(problem), param_hint="--at") from None


def known_size(instance: Instance, day: str | None) -> int:
    """The log size of --as-known-on, all of it if it was left out."""
    from registry.models.seeks import EVER
    from registry.queries import log

    if not day:
        return EVER
    try:
        read_day(day)
    except ValueError as problem:
        raise click.BadParameter(str(problem), param_hint="--as-known-on") from None
    with instance.database.reading() as db:
        return log.size_on(db, day)


def write_paper(file: Path, pdf: bytes) -> None:
    """Write a PDF to a file, or say why it cannot be written."""
    try:
        file.write_bytes(pdf)
    except OSError as problem:
        told = f"{file} cannot be written: {problem.strerror}."
        raise Refused(Reason("wrong_form", told, "pdf", "Name another file.")) from None
