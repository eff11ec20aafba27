"""Exports as pages and JSON hand them out: who may, the file written to disk first, then streamed from there."""

from collections.abc import Iterator
from datetime import datetime
from tempfile import TemporaryFile
from typing import IO, NamedTuple

from registry.accounts import Person
from registry.domain.exports import FORMATS
from registry.domain.people import May, name_roles
from registry.errors import Reason, Refused
from registry.models.database import Database
from registry.output import exports as written
from registry.passwords import note
from registry.queries import exports

_CHUNK = 64 * 1024


class Exported(NamedTuple):
    """A finished export: what it is, the name to save it under, its bytes."""

    media_type: str
    name: str
    chunks: Iterator[bytes]


def export(database: Database, who: Person, form: str, wanted: list[str], names: bool, now: datetime) -> Exported:
    """One moment of the record as a file, whole or not at all; that it was taken is noted. Raises `Refused`."""
    if not who.roles & May.EXPORT:
        told = f"Only {name_roles(May.EXPORT)} may take the record out."
        raise Refused(Reason("not_allowed", told, next="Ask one of them."))
    if form not in FORMATS:
        raise Refused(Reason("wrong_form", "An export is csv, xlsx or jsonl.", "format", "Choose one of them."))
    tables, out = exports.chosen(wanted, names), TemporaryFile()  # noqa: SIM115  closed when its bytes are sent
    try:
        with database.reading() as db:
            written.write(db, out, form, tables, names, now)
            size = written.head(db).size
        with database.writing() as db:
            note(db, now, "exported", who.id, f"{form}{', with names' if names else ''}")
    except BaseException:
        out.close()
        raise
    return Exported(written.MEDIA_TYPES[form], f"pairbook-{size}.{written.ENDINGS[form]}", _chunks(out))


def _chunks(out: IO[bytes]) -> Iterator[bytes]:
    with out:
        out.seek(0)
        while chunk := out.read(_CHUNK):
            yield chunk
