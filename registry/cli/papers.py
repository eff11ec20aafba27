"""Sheets of paper as PDF, of the registry as it stands or stood."""

from collections.abc import Callable
from pathlib import Path

import click

from registry.cli.terminal import instant, known_size, now, open_instance, past
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.instance import Instance

KINDS = {
    "pair": "pairing",
}


def draws(instance: Instance) -> dict[str, Callable[..., bytes]]:
    """Kind of paper -> what draws it."""
    from registry.output.pair_sheets import pair_sheet

    return {"pair": pair_sheet}


@click.command("print")
@click.argument("kind", type=click.Choice([*KINDS]))
@click.argument("reference")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), required=True, help="Write it to this file.")
@past
def print_(kind: str, reference: str, pdf: Path, at: str | None, known_on: str | None) -> None:
    """Write a sheet as PDF: of a pair."""
    from registry.acts.references import resolve
    from registry.output.sheets import Question

    instance = open_instance()
    when = instant(at)
    known_size(instance, known_on)  # a day that is none is told before anything is drawn
    with instance.database.reading() as db:
        found = resolve(db, KINDS[kind], reference, when)
        if isinstance(found, Reason):
            raise Refused(found)
        drawn = draws(instance)[kind](db, found, Question(when, known_on), stamp(now()))
    write(pdf, drawn)


def write(file: Path, pdf: bytes) -> None:
    """Write it, or say why it cannot be written."""
    try:
        file.write_bytes(pdf)
    except OSError as problem:
        told = f"{file} cannot be written: {problem.strerror}."
        raise Refused(Reason("wrong_form", told, "pdf", "Name another file.")) from None
    click.echo(f"Written to {file}.", err=True)
