"""Settings sheets of bays, and whose settings a unit holds."""

from pathlib import Path
from typing import Any

import click

from registry.cli.terminal import as_json, instant, known_size, open_instance, past, print_json
from registry.domain.readbacks import LEAST_VALUES, VERDICTS
from registry.domain.settings import document_bytes, say_checksum
from registry.domain.times import say
from registry.errors import Reason, Refused


@click.command()
@click.argument("bay", required=False)
@click.option("--sheet-version", type=int, metavar="N", help="This version. The newest, if left out.")
@click.option("--document", "as_document", is_flag=True, help="Print the very bytes its checksum is taken of.")
@click.option(
    "--offline",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write every sheet into one page that compares a read-back without a network.",
)
@past
@as_json
def settings(
    bay: str | None, sheet_version: int | None, as_document: bool, offline: Path | None, at: str | None, known_on: str | None, as_json: bool
) -> None:  # fmt: skip
    """Show the settings sheet of a bay, whether its unit holds it, and what the unit said of it."""
    from registry.queries.settings import bay_settings, sheet_of_bay, sheet_page

    if (bay is None) == (offline is None):
        raise click.UsageError("Name a bay, or a file with --offline.")
    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        if offline:
            _write_offline(db, offline, when)
            return
        bay_id = _bay(db, bay or "", when)
        one = bay_settings(db, bay_id, when, known)
        sheet_id = sheet_of_bay(db, bay_id, sheet_version, when, known)
        page = sheet_page(db, sheet_id, when, known) if sheet_id else None
    if page is None:
        told = f"That bay has no settings sheet{f' of version {sheet_version}' if sheet_version else ' yet'}."
        raise Refused(Reason("no_sheet", told, "bay", "Write one with `pairbook act write_settings_sheet`."))
    if as_document:
        click.echo(document_bytes(page.row["bay_code"], page.row["version"], page.lines).decode(), nl=False)
    elif as_json:
        print_json(_plain(when, one, page))
    else:
        _tell(one, page)


def _bay(db: Any, ref: str, when: str) -> str:
    from registry.acts.references import resolve

    found = resolve(db, "bay", ref, when)
    if isinstance(found, Reason):
        raise Refused(found)
    return found


def _write_offline(db: Any, file: Path, when: str) -> None:
    from registry.output.sheets_offline import offline_page

    try:
        file.write_text(offline_page(db, when), "utf-8")
    except OSError as problem:
        told = f"{file} cannot be written: {problem.strerror}."
        raise Refused(Reason("wrong_form", told, "offline", "Name another file.")) from None
    click.echo(f"{file}: every sheet as it stands, to be opened without a network.")


def _tell(one: Any, page: Any) -> None:
    row = page.row
    newest = "in force" if page.newest["id"] == row["id"] else f"version {page.newest['version']} is newer"
    click.echo(f"{row['bay']}, version {row['version']} since {say(row['since_at'])}, {newest}.")
    click.echo(f"Checksum {say_checksum(row['checksum'])} ({row['checksum']}).")
    width = max(len(line.name) for line in page.lines)
    for line in page.lines:
        click.echo(f"  {line.name:{width}}  {line.say()}{f'  ({line.source})' if line.source else ''}")
    if one.pair:
        load = one.standing.load
        told = f"version {load.version}, {say(load.loaded_at)}" if load else "nothing since this install"
        click.echo(f"{one.pair} is in. Loaded: {told}.")
        read = one.standing.read_back
        click.echo(
            f"Read back: {VERDICTS[read.verdict]}, {say(read.read_at)}. {read.told}"
            if read
            else "Read back: nothing yet."
        )
    for step in one.steps:
        click.echo(f"Next: {step.act}")


def _plain(when: str, one: Any, page: Any) -> dict[str, Any]:
    load, read, row = one.standing.load, one.standing.read_back, page.row
    return {
        "at": when, "bay": row["bay"], "version": row["version"], "checksum": row["checksum"], "since_at": row["since_at"], "led_by": row["led_by"],
        "values": [{"part": v.part, "name": v.name, "value": v.value, "unit": v.unit, "source": v.source} for v in page.lines],
        "newest_version": page.newest["version"], "pair": one.pair,
        "load": {"version": load.version, "loaded_at": load.loaded_at} if load else None,
        "read_back": {"verdict": read.verdict, "told": read.told, "read_at": read.read_at} if read else None,
        "next": [step.act for step in one.steps],
    }  # fmt: skip


@click.command()
@click.argument("values", nargs=-1, required=True, metavar="SETTING=READ …")
@click.option("--bay", metavar="BAY", help="Where the unit sits. Left out: it is on a bench.")
@past
@as_json
def readback(values: tuple[str, ...], bay: str | None, at: str | None, known_on: str | None, as_json: bool) -> None:
    """Say whose settings a unit holds, from three values or more as it shows them. Writes nothing.

    Ends with 0 when they are those the unit in that bay ought to hold, or of one sheet alone for a unit on a bench.
    """
    from registry.queries.settings import compared

    read = dict(_pair(text) for text in values)
    instance = open_instance()
    when, known = instant(at), known_size(instance, known_on)
    with instance.database.reading() as db:
        one = compared(db, read, _bay(db, bay, when) if bay else None, when, known)
    if one is None:
        told = f"Fewer than {LEAST_VALUES} of these settings stand on any sheet: nothing can be said from them."
        raise Refused(Reason("wrong_form", told, "values", "Call them as the sheets do, and read more of them."))
    if as_json:
        sheet = (
            {"bay": one.sheet.bay, "version": one.sheet.version, "checksum": one.sheet.checksum} if one.sheet else None
        )
        differs = [{"name": d.name, "read": d.read, "wanted": d.wanted} for d in one.differs]
        told = {"at": when, "verdict": one.verdict, "told": one.told, "next": one.next, "sheet": sheet}
        print_json(told | {"read_too": list(one.apart), "differs": differs, "not_known": list(one.not_known)})
    else:
        click.echo(f"{VERDICTS[one.verdict][0].upper()}{VERDICTS[one.verdict][1:]}. {one.told}")
        for differing in one.differs:
            click.echo(
                f"  {differing.name}: read {differing.read}, wanted {differing.wanted or 'nothing of that name'}"
            )
        if one.not_known:
            click.echo(f"On no sheet, and left aside: {', '.join(one.not_known)}")
        click.echo(f"Next: {one.next}")
    good = one.verdict == "agrees" or (bay is None and one.verdict == "other_bay")
    raise SystemExit(0 if good else 1)


def _pair(text: str) -> tuple[str, str]:
    name, found, value = text.partition("=")
    if not found or not name.strip() or not value.strip():
        raise click.UsageError(f'{text!r} is not a setting and what was read, like "Time scale=UTC".')
    return name.strip(), value.strip()
