"""The log in the database: the head that writers queue for, entries, tree nodes and signed checkpoints."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts import tree
from registry.acts.entry import Entry, read
from registry.domain.times import offset_min
from registry.models.log import log_checkpoint, log_entry, log_head, log_node
from registry.models.people import outfit


class Head(NamedTuple):
    size: int
    recorded_at: str
    origin: str


_origin = select(outfit.c.origin).order_by(outfit.c.seq.desc()).limit(1).scalar_subquery()
_first_outfit = select(outfit.c.label_host, outfit.c.origin).order_by(outfit.c.seq).limit(1)
_head = select(log_head.c.size, log_head.c.recorded_at, sa.func.coalesce(_origin, "").label("origin"))
_lock = _head.with_for_update(of=log_head)
_move = log_head.update().values(size=bindparam("size_"), recorded_at=bindparam("recorded_at_"), writing=1)
_close = log_head.update().values(writing=0)
_insert_entry, _insert_node = log_entry.insert(), log_node.insert()
_by_act = select(log_entry.c.entry).where(log_entry.c.act_id == bindparam("act_id"))
_known_of = select(log_entry.c.act_id).where(log_entry.c.act_id.in_(bindparam("act_ids", expanding=True)))
_AT_ONCE = 500
_by_seq = select(log_entry.c.entry).where(log_entry.c.seq == bindparam("seq", type_=sa.BigInteger))
_newest_checkpoint = select(sa.func.max(log_checkpoint.c.size))
_node = select(log_node.c.hash).where(log_node.c.level == bindparam("level"), log_node.c.ix == bindparam("ix"))
_leaf = select(log_entry.c.leaf).where(log_entry.c.seq == bindparam("seq"))


def lock(db: sa.Connection) -> Head:
    """The head of the log, held until the transaction ends; everyone else who writes waits behind it."""
    return Head(*db.execute(_lock if db.dialect.name == "postgresql" else _head).one())


def origin_line(db: sa.Connection) -> str:
    """The name of this log in its checkpoints. It never changes: the host it was founded with, and its letter."""
    row = db.execute(_first_outfit).first()
    return f"{row.label_host.lower()}/{row.origin}" if row else "unfounded.example/-"


def head(db: sa.Connection) -> Head:
    """The head of the log as it stands, without holding it."""
    return Head(*db.execute(_head).one())


def stored(db: sa.Connection, act_id: str) -> Entry | None:
    raw = db.execute(_by_act, {"act_id": act_id}).scalar()
    return read(raw) if raw else None


def stored_of(db: sa.Connection, act_ids: list[str]) -> set[str]:
    """Those of these acts that are in the log."""
    parts = (act_ids[start : start + _AT_ONCE] for start in range(0, len(act_ids), _AT_ONCE))
    return {found for part in parts for found in db.execute(_known_of, {"act_ids": part}).scalars()}


def entry_at(db: sa.Connection, seq: int) -> Entry | None:
    raw = db.execute(_by_seq, {"seq": seq}).scalar()
    return read(raw) if raw else None


def raw_at(db: sa.Connection, seq: int) -> bytes:
    """The bytes of an entry that is there."""
    return bytes(db.execute(_by_seq, {"seq": seq}).scalar_one())


def append(db: sa.Connection, entry: Entry, raw: bytes, node: tree.Node) -> list[tuple[int, int, bytes]]:
    """Move the head on, write the entry and the subtrees it completes. `close_head` follows when its rows are in.

    Returns (level, ix, hash) of the leaf and of those subtrees.
    """
    leaf = tree.leaf_hash(raw)
    db.execute(_move, {"size_": entry.seq, "recorded_at_": entry.recorded_at})
    db.execute(_insert_entry, columns_of(entry) | {"entry": raw, "leaf": leaf})
    completed = list(tree.completed_by(entry.seq - 1, leaf, node))
    if completed:
        db.execute(_insert_node, [{"level": level, "ix": ix, "hash": h} for level, ix, h in completed])
    return [(0, entry.seq - 1, leaf), *completed]


def close_head(db: sa.Connection) -> None:
    """No further row may be written under the newest entry."""
    db.execute(_close)


def columns_of(entry: Entry) -> dict[str, object]:
    """The columns of `log_entry` that repeat what stands in the entry's bytes."""
    return {
        "seq": entry.seq, "act_id": entry.id, "act": entry.act, "version": entry.version,
        "by_id": entry.by, "done_by_id": entry.done_by, "second_id": entry.second, "via": entry.via,
        "happened_at": entry.at, "happened_offset_min": offset_min(entry.happened_at),
        "recorded_at": entry.recorded_at, "origin": entry.origin, "origin_seq": entry.origin_seq,
        "sent_sha": bytes.fromhex(entry.sent_sha),
    }  # fmt: skip


def node_reader(db: sa.Connection) -> Callable[[int, int], bytes]:
    """Hashes of complete subtrees, leaves at level 0, as the pure tree functions want them."""

    def node(level: int, ix: int) -> bytes:
        if level == 0:
            return db.execute(_leaf, {"seq": ix + 1}).scalar_one()
        return db.execute(_node, {"level": level, "ix": ix}).scalar_one()

    return node


def root(db: sa.Connection, size: int) -> bytes:
    return tree.root(size, node_reader(db))


class Stored(NamedTuple):
    """A row of `log_entry` as it is kept."""

    seq: int
    raw: bytes
    leaf: bytes
    columns: dict[str, object]


def rows(db: sa.Connection, after: int = 0, upto: int | None = None) -> Iterator[Stored]:
    """The stored entries in order, streamed."""
    query = select(log_entry).where(log_entry.c.seq > sa.literal(after, sa.BigInteger)).order_by(log_entry.c.seq)
    if upto is not None:
        query = query.where(log_entry.c.seq <= upto)
    for row in db.execute(query, execution_options={"yield_per": 2000}).mappings():
        columns = {name: row[name] for name in row if name not in ("entry", "leaf")}
        yield Stored(row["seq"], bytes(row["entry"]), bytes(row["leaf"]), columns)


def keep_checkpoint(db: sa.Connection, size: int, note: str) -> None:
    """Store a signed checkpoint once, whoever else signs the same head at the same time."""
    lock(db)
    known = db.execute(select(log_checkpoint.c.size).where(log_checkpoint.c.size == size)).scalar()
    if known is None:
        db.execute(log_checkpoint.insert(), {"size": size, "note": note})


def newest_checkpoint(db: sa.Connection) -> int:
    """The size of the log that was signed last; 0 when none was."""
    return db.execute(_newest_checkpoint).scalar() or 0


def checkpoints(db: sa.Connection) -> list[tuple[int, str]]:
    return [
        tuple(row)
        for row in db.execute(select(log_checkpoint.c.size, log_checkpoint.c.note).order_by(log_checkpoint.c.size))
    ]
