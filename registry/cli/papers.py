"""Sheets of paper as PDF, of the registry as it stands or stood."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import click

from registry.cli.terminal import instant, known_size, now, open_instance, past, write_paper
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.instance import Instance

#: Kind of paper -> what it is a paper of.
KINDS = {"pair": "pairing", "settings": "bay", "closing": "housing", "audit": "audit", "mission": "mission"}


def _drawn_by(instance: Instance, db: Any, version: int | None) -> dict[str, Callable[..., bytes]]:
    """Kind of paper -> what draws it."""
    from registry.output.audit_sheets import audit_sheet
    from registry.output.closing_sheets import closing_paper
    from registry.output.mission_packs import mission_pack
    from registry.output.pair_sheets import pair_sheet
    from registry.output.settings_sheets import settings_of_bay

    settings = partial(settings_of_bay, version=version)
    drawn = {"pair": pair_sheet, "settings": settings, "closing": closing_paper, "audit": audit_sheet}
    return {**drawn, "mission": partial(mission_pack, key=instance.log_key(db))}


@click.command("print")
@click.argument("kind", type=click.Choice([*KINDS]))
@click.argument("reference")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), required=True, help="Write it to this file.")
@click.option(
    "--sheet-version", "version", type=int, metavar="N", help="Settings: this version. The newest, if left out."
)
@past
def print_(kind: str, reference: str, pdf: Path, version: int | None, at: str | None, known_on: str | None) -> None:
    """Write a sheet as PDF: of a pair, the settings of a bay, the closing of a housing, an audit that is closed, all that a mission rode on."""
    from registry.acts.references import resolve
    from registry.output.sheets import Question

    if version is not None and kind != "settings":
        raise click.UsageError("Only settings sheets have versions: leave --sheet-version out.")
    instance = open_instance()
    when = instant(at)
    known_size(instance, known_on)  # a day that is none is told before anything is drawn
    with instance.database.reading() as db:
        found = resolve(db, KINDS[kind], reference, when)
        if isinstance(found, Reason):
            raise Refused(found)
        drawn = _drawn_by(instance, db, version)[kind](db, found, Question(when, known_on), stamp(now()))
    write_paper(pdf, drawn)
    click.echo(f"Written to {pdf}.", err=True)
