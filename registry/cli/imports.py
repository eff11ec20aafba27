"""Carrying a team's spreadsheet over at the command line."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.terminal import as_json, now, open_instance, print_json, sign_head, signer_of, signing, working_shown
from registry.domain.imports import DAY_ORDERS, ENCODINGS, SHEETS

if TYPE_CHECKING:
    from registry.importing import Import, Imports


def _pairs(told: tuple[str, ...], what: str) -> list[tuple[str, str]]:
    parted = [text.rpartition("=") if what == "--map" else text.partition("=") for text in told]
    for (left, equals, right), text in zip(parted, told, strict=True):
        if not (left and equals and right):
            raise click.BadParameter(f"{text!r} has no = in it.", param_hint=what)
    return [(left, right) for left, _equals, right in parted]


def _letters(one: "Import", told: list[tuple[str, str]]) -> dict[str, str]:
    """Field -> letter, from header or letter; a header borne twice names no column."""
    found = {}
    for column, name in told:
        letters = [c.letter for c in one.file_columns if column in (c.header, c.letter)]
        if len(letters) != 1:
            shown = ", ".join(c.say() for c in one.file_columns)
            why = "no column is" if not letters else f"{len(letters)} columns are"
            raise click.BadParameter(f"{why} called {column}. There are: {shown}. Name one by its letter.", param_hint="--map")  # fmt: skip
        found[name] = letters[0]
    return found


@click.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--kind", type=click.Choice(list(SHEETS)), required=True, help="What a row is.")
@click.option("--map", "mapped", multiple=True, metavar="COLUMN=FIELD", help="Which column is which; the rest is guessed from the headers. A field that is none is answered with those there are.")  # fmt: skip
@click.option("--set", "fixed", multiple=True, metavar="FIELD=VALUE", help="What every row says, where no cell does.")
@click.option("--days", "order", type=click.Choice([one for one in DAY_ORDERS if one]), help="Whether 03/04/2024 begins with the day or the month.")  # fmt: skip
@click.option("--encoding", type=click.Choice(list(ENCODINGS)), default="utf-8", help="Of a CSV file.")
@click.option("--dry-run", is_flag=True, help="Only the report; nothing is entered.")
@click.option("--near-are-others", is_flag=True, help="Halves that look like known ones were looked at: they are others.")  # fmt: skip
@signing
@as_json
def import_(
    file: Path, kind: str, mapped: tuple[str, ...], fixed: tuple[str, ...], order: str | None, encoding: str,
    dry_run: bool, near_are_others: bool, who: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Carry a spreadsheet over: CSV or XLSX, row by row, all or nothing, by a keeper.

    Every row is tried first on a copy of the record; refused rows are printed with why. While rows are entered nobody
    else can enter anything.
    """
    from registry import import_steps, importing

    instance = open_instance()
    signer = signer_of(instance, who)
    imports = importing.Imports(instance)
    importing.refuse_unless_keeper(instance, signer.person, now())
    importing.refuse_busy(imports)
    with file.open("rb") as stream:
        one = imports.take(stream, file.name, kind, signer.person, now())
    one.encoding = encoding
    imports.keep(one)
    one = import_steps.run(imports, one.id, "look", now())
    columns = one.columns | _letters(one, _pairs(mapped, "--map"))
    importing.set_reading(one, columns, dict(_pairs(fixed, "--set")), order or "", encoding)
    imports.keep(one)
    with working_shown() as shown:
        one = import_steps.run(imports, one.id, "try", now(), shown)
        stopped = importing.unready(one, near_are_others=near_are_others)
        if not stopped and not dry_run:
            one = import_steps.run(imports, one.id, "enter", now(), shown)
            sign_head(instance)
    _tell(imports, one, dry_run, as_json)
    sys.exit(1 if stopped else 0)


def _tell(imports: "Imports", one: "Import", dry_run: bool, as_json: bool) -> None:
    counts = one.counts
    if as_json:
        rows: list[dict[str, Any]] = list(imports.report(one))
        print_json({"state": one.state, "columns": one.columns, "counts": counts, "size": one.size, "rows": rows})
        return
    fields = {letter: name for name, letter in one.columns.items()}
    told = [f"{column.letter} is {fields[column.letter]}" for column in one.file_columns if column.letter in fields]
    told += [f"{name} is “{text}” in every row" for name, text in one.fixed.items()]
    click.echo(f"Read as: {', '.join(told)}.")
    if left := [column.say() for column in one.file_columns if column.letter not in fields]:
        click.echo(f"Not read: {', '.join(left)}.")
    for row in imports.report(one):
        where = f"Row {row['rows'][0]}"
        for reason in row["reasons"]:
            field = f" [{reason['field']}]" if reason.get("field") else ""
            click.echo(f"{where}: {reason['message']} {reason.get('next', '')}".rstrip() + field, err=True)
        for near in row["near"]:
            click.echo(f"{where}: {near}", err=True)
    told = f"{counts['ready']:,} rows ready, {counts['near']:,} near something known, {counts['already']:,} in the log already, {counts['refused']:,} refused."
    click.echo(told)
    if one.state == "entered":
        click.echo(f"Entered. The log has {one.size:,} entries.")
    elif counts["refused"]:
        click.echo("Nothing was entered: mend the refused rows first.", err=True)
    elif counts["near"] and not dry_run:
        click.echo("Nothing was entered: look at the near ones, then say --near-are-others.", err=True)
