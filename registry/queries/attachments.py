"""The files of a thing and of the holds on it; one file by its row or by its hash."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.attachments import PICTURES
from registry.models.attachments import attachment
from registry.models.holds import hold
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, KNOWN
from registry.queries.history import About

_files = (
    select(
        attachment.c.id, attachment.c.sha256, attachment.c.size_bytes, attachment.c.media_type, attachment.c.name, attachment.c.words, attachment.c.purpose,
        attachment.c.attached_at, person_private.c.name.label("by"), attachment.c.seq, attachment.c.hold_id,
    )
    .outerjoin(person_private, person_private.c.person_id == attachment.c.attached_by_id)
)  # fmt: skip
_H, _P, _B, _V = (bindparam(name, expanding=True) for name in ("halves", "pairings", "bays", "vehicles"))
#: Holds on these things, so that each file is sought through an index of its own.
_holds_on = select(hold.c.id).where(
    sa.or_(hold.c.half_id.in_(_H), hold.c.pairing_id.in_(_P), hold.c.bay_id.in_(_B), hold.c.vehicle_id.in_(_V))
)
_known = sa.and_(attachment.c.seq <= KNOWN, attachment.c.attached_at <= AT)
_of_things = _files.where(
    _known,
    sa.or_(
        attachment.c.half_id.in_(_H),
        attachment.c.pairing_id.in_(_P),
        attachment.c.bay_id.in_(_B),
        attachment.c.vehicle_id.in_(_V),
        attachment.c.hold_id.in_(_holds_on),
    ),
).order_by(attachment.c.attached_at.desc(), attachment.c.seq.desc(), attachment.c.id)
_of_hold = _files.where(_known, attachment.c.hold_id == bindparam("hold")).order_by(
    attachment.c.attached_at, attachment.c.seq, attachment.c.id
)
_of_meter = _files.where(_known, attachment.c.meter_id == bindparam("meter")).order_by(
    attachment.c.attached_at, attachment.c.seq, attachment.c.id
)
#: Sought by what they hold: the entry names its files by their hashes.
_of_entry = _files.where(
    attachment.c.sha256.in_(bindparam("hashes", expanding=True)), attachment.c.seq == bindparam("seq")
).order_by(attachment.c.id)
_of_pair_by_entry = _files.where(
    attachment.c.pairing_id == bindparam("pairing"), attachment.c.seq == bindparam("seq")
).order_by(attachment.c.name, attachment.c.id)
_one = _files.where(attachment.c.id == bindparam("id"))
_by_hash = _files.where(attachment.c.sha256 == bindparam("sha256")).order_by(attachment.c.seq.desc()).limit(1)


@dataclass(frozen=True, slots=True)
class FileShown:
    """A file as pages show it: what it is, who attached it, when and why."""

    id: str
    sha256: str
    size: int
    media_type: str
    name: str
    words: str | None
    purpose: str
    attached_at: str
    by: str | None
    seq: int
    hold_id: str | None

    @property
    def is_picture(self) -> bool:
        return self.media_type in PICTURES


def files_of(db: sa.Connection, about: About, at: str, known_size: int = EVER) -> tuple[FileShown, ...]:
    """The files of these things and of every hold on them, newest first."""
    keys = {**about.bound(), "at": at, "known": known_size}
    return tuple(FileShown(*row) for row in db.execute(_of_things, keys))


def files_of_hold(db: sa.Connection, hold_id: str, at: str, known_size: int = EVER) -> tuple[FileShown, ...]:
    """The files of one hold, oldest first."""
    rows = db.execute(_of_hold, {"hold": hold_id, "at": at, "known": known_size})
    return tuple(FileShown(*row) for row in rows)


def files_of_meter(db: sa.Connection, meter_id: str, at: str, known_size: int = EVER) -> tuple[FileShown, ...]:
    """The certificates of one meter, oldest first."""
    rows = db.execute(_of_meter, {"meter": meter_id, "at": at, "known": known_size})
    return tuple(FileShown(*row) for row in rows)


def files_of_entry(db: sa.Connection, seq: int, hashes: Iterable[str]) -> tuple[FileShown, ...]:
    """The files that one entry brought along, which it names by these hashes."""
    named = sorted(set(hashes))
    return tuple(FileShown(*row) for row in db.execute(_of_entry, {"seq": seq, "hashes": named})) if named else ()


def files_of_pair_by_entry(db: sa.Connection, pairing_id: str, seq: int) -> tuple[FileShown, ...]:
    """The files of a pair that one entry brought along."""
    return tuple(FileShown(*row) for row in db.execute(_of_pair_by_entry, {"pairing": pairing_id, "seq": seq}))


def file_shown(db: sa.Connection, id_: str) -> FileShown | None:
    row = db.execute(_one, {"id": id_}).first()
    return FileShown(*row) if row else None


def file_by_hash(db: sa.Connection, sha256: str) -> FileShown | None:
    """The newest row that names this file."""
    row = db.execute(_by_hash, {"sha256": sha256}).first()
    return FileShown(*row) if row else None
