"""Spreadsheets that history was carried over from: each file once, by its hash; its bytes lie with the attached files."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.base import column, folded, instant, once, says, to

carried_file = folded(
    "carried_file",
    column("sha256", sa.Text),
    column("size_bytes", sa.Integer),
    column("name", sa.Text),
    to("person", "carried_by_id"),
    *instant("carried"),
    says(
        "carried_file_named_by_its_hash",
        "length(sha256) = 64 AND ltrim(sha256, '0123456789abcdef') = ''",
        "A file is named by its SHA-256, in lower case.",
    ),
    says("carried_file_holds_something", "size_bytes > 0", "An empty file carries nothing over."),
    once("carried_file_once", "sha256", sentence="That file is on record already."),
)

_one = select(carried_file.c.sha256, carried_file.c.size_bytes, carried_file.c.name).where(
    carried_file.c.sha256 == bindparam("sha256")
)


def carried(db: sa.Connection, sha256: str) -> tuple[str, int, str] | None:
    """(hash, bytes, name) of a spreadsheet that the record names."""
    row = db.execute(_one, {"sha256": sha256}).first()
    return tuple(row) if row else None
