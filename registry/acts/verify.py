"""`verify`: recompute everything from the raw entries and trust nothing stored; name the first thing that is wrong."""

import json
from collections.abc import Callable, Iterable
from contextlib import closing
from typing import Any, NamedTuple, Protocol

import sqlalchemy as sa

from registry.acts import fold as folding
from registry.acts import log, tree
from registry.acts.catalogue import ACTS
from registry.acts.checkpoints import Checkpoint, Keyring, Verifier, read_checkpoint
from registry.acts.effects import lifted
from registry.acts.entry import Entry, read
from registry.domain.canonical import canonical
from registry.models.base import metadata
from registry.models.log import log_head, log_node
from registry.models.schema import differences

Progress = Callable[[str, int, int], None]


class Folder(Protocol):
    """Where the attached files lie: what is wrong with those the record names, and what else is there."""

    def faults(self, db: sa.Connection) -> Iterable[tuple[str, str]]: ...

    def remarks(self, db: sa.Connection) -> list[str]: ...


class Fault(NamedTuple):
    """Something that is not as it must be: where (`entry 12`, `half 01…`), and what, in a sentence."""

    where: str
    told: str


class Report(NamedTuple):
    """What was looked at and what was found. An empty `faults` means that everything holds; `remarks` stand against
    nothing."""

    size: int
    root: bytes
    entries: int
    rows: int
    checkpoints: int
    faults: list[Fault]
    remarks: tuple[str, ...] = ()


def verify(
    db: sa.Connection,
    verifier: Verifier | Keyring,
    *,
    against: Checkpoint | None = None,
    strict: bool = False,
    most: int = 20,
    progress: Progress | None = None,
    files: Folder | None = None,
) -> Report:
    """Check leaves, tree, columns, signatures, the fold against every table, the schema, the references, and that
    every file the record names lies in `files` as it was.

    `against` is an earlier checkpoint the log must have grown from. `strict` also writes every entry again in
    canonical form and works its computed verdicts out again. At most `most` faults are told.
    """
    faults: list[Fault] = []
    told = _Told(faults, most)
    size = _head(db, told)
    leaves: list[bytes] = []
    for stored in log.rows(db):
        _look_at(stored, len(leaves) + 1, strict, told)
        leaves.append(tree.leaf_hash(stored.raw))
        if progress and len(leaves) % 2000 == 0:
            progress("entries", len(leaves), size)
    if len(leaves) != size:
        told("the log", f"The head counts {size:,} entries, and {len(leaves):,} are there.")
    nodes = _rebuilt(leaves)
    _nodes_against(db, nodes, told)
    root = tree.root(len(leaves), lambda level, ix: leaves[ix] if level == 0 else nodes[level, ix])
    signed = _checkpoints(db, verifier, leaves, nodes, told)
    if against:
        _grown_from(against, leaves, nodes, told)
    rows = 0
    if not faults:  # Folding a log that is broken would only repeat the break in every table.
        rows = _fold_against(db, size, told, progress)
    for sentence in differences(db)[:most]:
        told("the schema", f"{sentence[0].upper()}{sentence[1:]}.")
    _references(db, told)
    for sha256, sentence in files.faults(db) if files else ():
        told(f"file {sha256}", sentence)
    remarks = tuple(files.remarks(db)) if files else ()
    return Report(len(leaves), root, len(leaves), rows, signed, faults, remarks)


def _head(db: sa.Connection, told: "_Told") -> int:
    """The size the head tells, 0 when there is no head."""
    rows = db.execute(sa.select(log_head.c.size, log_head.c.writing)).all()
    if len(rows) != 1:
        told("the log", f"The log has {len(rows)} heads; it must have one.")
        return 0
    if rows[0].writing:
        told("the log", "The head of the log was left open: rows could be written under its newest entry.")
    return int(rows[0].size)


class _Told:
    """Gathers faults up to a number."""

    def __init__(self, faults: list[Fault], most: int):
        self._faults, self._most = faults, most

    def __call__(self, where: str, sentence: str) -> None:
        if len(self._faults) < self._most:
            self._faults.append(Fault(where, sentence))


def _look_at(stored: log.Stored, turn: int, strict: bool, told: _Told) -> None:
    where = f"entry {stored.seq:,}"
    if stored.seq != turn:
        told(where, f"Entry {turn:,} is missing: the next one there is {stored.seq:,}.")
    if tree.leaf_hash(stored.raw) != stored.leaf:
        told(where, f"Entry {stored.seq:,} does not match its leaf hash: its bytes or the hash were changed.")
    try:
        entry = read(stored.raw)
        wanted = log.columns_of(entry)
    except (ValueError, TypeError, KeyError, AttributeError) as problem:
        told(where, f"Entry {stored.seq:,} cannot be read: {problem}.")
        return
    if entry.act not in ACTS and lifted_name(entry) not in ACTS:
        told(where, f"Entry {stored.seq:,} is an act this release does not know: {entry.act!r}.")
        return
    for name, value in wanted.items():
        kept = stored.columns[name]
        kept = bytes(kept) if isinstance(kept, (bytes, memoryview)) else kept
        if kept != value:
            told(where, f"Entry {stored.seq:,}: the column {name} holds {kept!r}, and the entry says {value!r}.")
    if strict:
        _strictly(entry, stored.raw, told)


def lifted_name(entry: Entry) -> str:
    """The name today's release knows this entry's act by."""
    try:
        return lifted(entry).act
    except Exception:  # a lift that cannot read the body is the same fault as an unknown act
        return ""


def _strictly(entry: Entry, raw: bytes, told: _Told) -> None:
    where = f"entry {entry.seq:,}"
    if canonical(json.loads(raw)) != raw:
        told(where, f"Entry {entry.seq:,} is not in canonical form.")
    entry = lifted(entry)
    for name, value in ACTS[entry.act].again(entry).items():
        if not _close(entry.decided.get(name), value):
            told(
                where,
                f"Entry {entry.seq:,}: {name} was decided as {entry.decided.get(name)!r}; worked out again it is {value!r}.",
            )


def _close(one: Any, other: Any) -> bool:
    """Equal, but for the last digits of a computed number."""
    if isinstance(one, float) and isinstance(other, (int, float)):
        return abs(one - other) <= 1e-9 * max(1.0, abs(one), abs(other))
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_close(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_close, one, other))
    return one == other


def _rebuilt(leaves: list[bytes]) -> dict[tuple[int, int], bytes]:
    nodes: dict[tuple[int, int], bytes] = {}
    for index, leaf in enumerate(leaves):
        for level, ix, value in tree.completed_by(index, leaf, lambda at, i: leaves[i] if at == 0 else nodes[at, i]):
            nodes[level, ix] = value
    return nodes


def _nodes_against(db: sa.Connection, nodes: dict[tuple[int, int], bytes], told: _Told) -> None:
    left = dict(nodes)
    for row in db.execute(sa.select(log_node), execution_options={"yield_per": 5000}):
        if left.pop((row.level, row.ix), None) != bytes(row.hash):
            told("the tree", f"The node at level {row.level}, place {row.ix} does not follow from the entries.")
    for level, ix in sorted(left)[:3]:
        told("the tree", f"The node at level {level}, place {ix} is missing.")


def _root_of(size: int, leaves: list[bytes], nodes: dict[tuple[int, int], bytes]) -> bytes:
    return tree.root(size, lambda level, ix: leaves[ix] if level == 0 else nodes[level, ix])


def _checkpoints(
    db: sa.Connection,
    verifier: Verifier | Keyring,
    leaves: list[bytes],
    nodes: dict[tuple[int, int], bytes],
    told: _Told,
) -> int:
    count = 0
    for size, note in log.checkpoints(db):
        count += 1
        where = f"checkpoint {size:,}"
        try:
            point = read_checkpoint(verifier.open(note))
        except ValueError as problem:
            told(where, f"The checkpoint of size {size:,} does not hold: {problem}")
            continue
        if point.size != size or size > len(leaves) or _root_of(size, leaves, nodes) != point.root:
            told(where, f"The log’s first {size:,} entries are not those the checkpoint was signed for.")
    return count


def _grown_from(point: Checkpoint, leaves: list[bytes], nodes: dict[tuple[int, int], bytes], told: _Told) -> None:
    where = f"checkpoint {point.size:,}"
    if point.size > len(leaves):
        told(
            where,
            f"The checkpoint counts {point.size:,} entries, and the log has {len(leaves):,}: its end was cut off, or it is another log.",
        )
    elif _root_of(point.size, leaves, nodes) != point.root:
        told(
            where,
            f"The log’s first {point.size:,} entries are not those of the checkpoint: the beginning of the log was changed.",
        )


def _fold_against(db: sa.Connection, size: int, told: _Told, progress: Progress | None) -> int:
    """Fold the log a group of tables at a time, reading it anew for each: memory stays bounded, whatever its length."""
    rows = 0
    groups = folding.groups(size)
    for number, tables in enumerate(groups):
        if progress:
            progress("tables", number, len(groups))
        try:
            folded = folding.fold((read(stored.raw) for stored in log.rows(db)), tables)
        except Exception as problem:  # whatever an entry's effects cannot do is a fault of that entry
            told("the fold", f"An entry could not be folded: {type(problem).__name__}: {problem}.")
            return rows
        rows += sum(map(len, folded.values()))
        for table in folded:
            _compare_one(db, table, folded[table], told)
    return rows


def _compare_one(db: sa.Connection, table: str, rows: folding.Rows, told: _Told, most: int = 20) -> None:
    """The first places where one table differs from the log. A value no driver can read is one, too."""
    with closing(folding.compare(db, {table: rows})) as found:
        try:
            for _number, unlike in zip(range(most), found, strict=False):
                told(f"{unlike.table} {unlike.id}", unlike.say())
        except (sa.exc.DataError, ValueError) as problem:
            told(f"table {table}", f"{table}: a value in it cannot be read: {str(problem).splitlines()[0]}.")


def _references(db: sa.Connection, told: _Told) -> None:
    """Foreign keys, which SQLite can check anew; on PostgreSQL they cannot be switched off by the application."""
    if db.dialect.name == "sqlite":
        for row in db.exec_driver_sql("PRAGMA foreign_key_check").all()[:5]:
            told(f"table {row[0]}", f"A row of {row[0]} refers to a row of {row[2]} that is not there.")
        return
    for table in metadata.sorted_tables:
        for key in table.foreign_key_constraints:
            pairs = [(element.parent, element.column) for element in key.elements]
            there = pairs[0][1].table.alias("there")
            match = sa.and_(*(mine == there.c[other.name] for mine, other in pairs))
            lost = (
                sa.select(sa.func.count()).select_from(table).where(pairs[0][0].is_not(None), ~sa.exists().where(match))
            )
            if db.execute(lost).scalar():
                told(
                    f"table {table.name}",
                    f"A row of {table.name} refers to a row of {key.referred_table.name} that is not there.",
                )
