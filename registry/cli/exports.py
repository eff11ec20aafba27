"""Taking the record out as tables or lines."""

from pathlib import Path

import click

from registry.cli.terminal import now, open_instance
from registry.domain.exports import FORMATS
from registry.errors import Reason, Refused


@click.command()
@click.argument("target", type=click.Path(path_type=Path), metavar="FOLDER|FILE")
@click.option("--format", "form", type=click.Choice(list(FORMATS)), required=True, help="What to write.")
@click.option("--table", "wanted", multiple=True, metavar="NAME", help="Only this table; may be given again.")
@click.option("--names", is_flag=True, help="Also the names and badges of people, which are left out otherwise.")
def export(target: Path, form: str, wanted: tuple[str, ...], names: bool) -> None:
    """Write every table as CSV into a new FOLDER, as XLSX into a FILE, or the whole as JSON lines into a FILE.

    Secrets never leave. A cell that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    from registry.output import exports
    from registry.queries.exports import chosen

    if form == "jsonl" and wanted:
        raise click.UsageError("JSON lines are the whole log; --table goes with csv and xlsx.")
    instance, tables = open_instance(), chosen(list(wanted), names)
    if target.exists():
        raise Refused(Reason("already_known", f"{target} is there already.", next="Name one that is not."))
    with instance.database.reading() as db:
        size = exports.head(db).size
        if form == "csv":
            target.mkdir(mode=0o700)
            exports.write_folder(db, target, tables, names, now())
        else:
            with target.open("xb") as file:
                exports.write(db, file, form, tables, names, now())
    what = "the log" if form == "jsonl" else "1 table" if len(tables) == 1 else f"{len(tables)} tables"
    click.echo(f"Exported {what} to {target}, at {size:,} entries.")
