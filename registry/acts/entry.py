"""Entries of the log, and the three things an entry can do to the record."""

import json
import uuid
from typing import Any, NamedTuple

from registry.domain.canonical import canonical
from registry.domain.times import as_datetime, offset_min, stamp


class Add(NamedTuple):
    """A new row; `seq` is filled in."""

    table: str
    row: dict[str, Any]


class Close(NamedTuple):
    """Fill in the closing columns of one row; `closed_seq` is filled in."""

    table: str
    id: str
    row: dict[str, Any]


class Void(NamedTuple):
    """Take one row out of the record as it is known from now on; `voided_seq` is filled in."""

    table: str
    id: str


Effect = Add | Close | Void


class Entry(NamedTuple):
    """One line of the log. `at` and `offset_min` are read from `happened_at`; all else stands in the entry's bytes."""

    seq: int
    id: str
    act: str
    version: int
    by: str
    done_by: str
    second: str | None
    via: str
    happened_at: str
    recorded_at: str
    origin: str
    origin_seq: int
    sent_sha: str
    body: dict[str, Any]
    ids: dict[str, Any]
    decided: dict[str, Any]

    @property
    def at(self) -> str:
        return stamp(self.happened_at)

    def derived(self, what: str) -> str:
        """The id of a further row this entry makes; the first row takes the act's own id."""
        return str(uuid.uuid5(uuid.UUID(self.id), what))

    def moment(self, name: str, text: str | None = None) -> dict[str, Any]:
        """`{name_at, name_offset_min}` of an instant in RFC 3339, by default the entry's own."""
        text = text or self.happened_at
        return {f"{name}_at": stamp(text), f"{name}_offset_min": offset_min(text)}

    def out_of_order(self) -> list[dict[str, Any]]:
        """The reasons this act was accepted in spite of, with the words given for it; empty for an act in order."""
        return self.decided.get("out_of_order", [])


def no_moment(name: str) -> dict[str, Any]:
    """The two empty columns of an instant that has not come."""
    return {f"{name}_at": None, f"{name}_offset_min": None}


def write(entry: Entry) -> bytes:
    """The entry's bytes: canonical JSON (RFC 8785)."""
    return canonical(entry._asdict())


def read(raw: bytes) -> Entry:
    """Read an entry back. Raises ValueError when the bytes are no entry."""
    try:
        return Entry(**json.loads(raw))
    except (TypeError, ValueError) as problem:
        raise ValueError(f"these bytes are not an entry: {problem}") from None


def shown(text_at: str, minutes: int) -> str:
    """The instant as the person entered it, for columns that keep UTC and offset apart."""
    return as_datetime(text_at, minutes).isoformat(timespec="minutes")
