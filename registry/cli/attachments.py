"""Attaching files at the command line."""

from pathlib import Path
from typing import Any

import click

from registry.cli.terminal import as_json, enter, happened, instant, kept, open_instance, sent, signer_of, signing
from registry.domain.attachments import MOST_FILES
from registry.errors import Reason, Refused

#: What a text may name, in the order it is tried; the field of the act for each.
_KINDS = {"vehicle": "vehicle", "bay": "bay", "half": "half", "pairing": "pair", "hold": "hold", "meter": "meter"}


@click.command()
@click.argument("thing")
@click.argument("files", nargs=-1, required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--shows", "words", metavar="WORDS", help="What the files show.")
@happened
@signing
@as_json
def attach(
    thing: str, files: tuple[Path, ...], words: str | None, at: str | None, who: str | None, as_json: bool
) -> None:
    """Attach FILES to a THING: a half, a pair, a vehicle or a bay by code, label or name, a meter by its name, or a hold by its id."""
    instance = open_instance()
    signer = signer_of(instance, who)
    if len(files) > MOST_FILES:
        raise click.UsageError(f"At most {MOST_FILES} files can be attached at once.")
    with instance.database.reading() as db:
        field, id_ = _named(db, thing, instant(at))
    enter(instance, sent("attach_file", at, files=kept(instance, files), words=words, **{field: id_}), signer, as_json)


def _named(db: Any, thing: str, at: str) -> tuple[str, str]:
    """The field of the act and the id of what the text names."""
    from registry.acts.references import resolve

    found = {kind: resolve(db, kind, thing, at) for kind in _KINDS}
    for kind, id_ in found.items():
        if not isinstance(id_, Reason):
            return _KINDS[kind], id_
    raise Refused(found["half"])  # type: ignore[arg-type]
