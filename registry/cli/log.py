"""The log at the command line: verify, checkpoint, backup, restore."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.telling import read_words
from registry.cli.terminal import as_json, open_instance, print_json, show_progress
from registry.errors import Reason, Refused

if TYPE_CHECKING:
    from registry.acts.verify import Report


@click.command()
@click.option(
    "--against",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="An earlier signed checkpoint the log must have grown from.",
)
@click.option(
    "--strict", is_flag=True, help="Also write every entry anew in canonical form, and work its verdicts out again."
)
@as_json
def verify(against: Path | None, strict: bool, as_json: bool) -> None:
    """Check the log, its tree, every table against it, and every file. Ends with 1 and names what is wrong."""
    from registry.acts.checkpoints import read_checkpoint
    from registry.acts.verify import verify as look

    instance = open_instance()
    database = instance.unchecked_database()
    with database.reading() as db:
        verifier = instance.keyring(db)
        point = None
        if against:
            do = "Give a checkpoint as `pairbook checkpoint` prints it."
            try:
                point = read_checkpoint(verifier.open(read_words(against, "against", do)))
            except ValueError as problem:
                raise Refused(Reason("wrong_form", f"{against}: {problem}", "against", do)) from None
        report = look(db, verifier, against=point, strict=strict, progress=show_progress, files=instance.files)
    _tell(report, as_json)
    sys.exit(1 if report.faults else 0)


def _tell(report: "Report", as_json: bool) -> None:
    if as_json:
        print_json(
            {
                "holds": not report.faults,
                "size": report.size,
                "root": report.root.hex(),
                "rows": report.rows,
                "checkpoints": report.checkpoints,
                "faults": [f._asdict() for f in report.faults],
                "remarks": list(report.remarks),
            }
        )
    elif report.faults:
        for fault in report.faults:
            click.echo(fault.told, err=True)
    else:
        click.echo(
            f"Everything holds: {report.size:,} entries, {report.rows:,} rows, {report.checkpoints:,} {'checkpoint' if report.checkpoints == 1 else 'checkpoints'}. Root {report.root.hex()}."
        )
    if not as_json:
        for remark in report.remarks:
            click.echo(remark)


@click.command()
@click.option("--public-key", is_flag=True, help="Print the public key instead, for whoever checks the signature.")
@click.option("--size", type=click.IntRange(min=1), help="The checkpoint of the log when it had so many entries.")
@click.option(
    "--since", type=click.IntRange(min=1), help="Before it, the proof that it grew from the log of so many entries."
)
def checkpoint(public_key: bool, size: int | None, since: int | None) -> None:
    """Print the signed checkpoint of the log, as it stands or of an earlier size. Keep it somewhere else."""
    from registry.acts import log, tree
    from registry.acts.checkpoints import Growth

    if public_key and (size or since):
        raise click.UsageError("A public key is of every size: leave --size and --since out with --public-key.")
    instance = open_instance()
    with instance.database.reading() as db:
        key, whole = instance.log_key(db), log.head(db).size
        size = size or whole
        if size > whole or (since or 1) > size:
            told = f"The log has {whole:,} entries; a checkpoint of {size:,}{f' that grew from {since:,}' if since else ''} cannot be given."
            raise Refused(Reason("wrong_form", told, "size", "Give sizes the log had, the earlier one with --since."))
        note = key.sign(size, log.root(db, size))
        if since:
            note = Growth(since, size, tuple(tree.consistency_proof(since, size, log.node_reader(db)))).text(note)
        click.echo(key.verifier().encoded() if public_key else note, nl=public_key)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--with-keys", is_flag=True, help="Copy the keys, too. Whoever has them can sign checkpoints in this log’s name."
)
def backup(folder: Path, with_keys: bool) -> None:
    """Copy the database and the attached files into a new FOLDER while it runs, and verify the copy."""
    from registry.backup import back_up

    report = back_up(open_instance(), folder, with_keys=with_keys)
    click.echo(f"Backed up to {folder} and verified: {report.size:,} entries, {report.rows:,} rows.")


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--replace", is_flag=True, help="Replace a registry that is there. It is moved aside, not deleted.")
def restore(folder: Path, replace: bool) -> None:
    """Put a verified backup in the place of the database. Stop the server first."""
    from registry.backup import restore as put_back

    report = put_back(open_instance(), folder, replace=replace)
    click.echo(f"Restored and verified: {report.size:,} entries, {report.rows:,} rows.")
