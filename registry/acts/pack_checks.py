"""The check of an evidence pack, from its document alone: no registry, no network. Pure."""

import base64
import json
from typing import Any, NamedTuple

from registry.acts import tree
from registry.acts.checkpoints import MOST_STEPS, Checkpoint, Growth, Keyring, read_checkpoint
from registry.acts.entry import Entry, read
from registry.domain.packs import FORMAT, VERSION, Statement

_FIELDS = {"format", "version", "about", "checkpoint", "entries", "statements"}
_ENTRY_FIELDS = {"seq", "entry", "leaf", "proof"}


class Unreadable(ValueError):
    """That is no evidence pack, or not all of one; says why."""


class Proved(NamedTuple):
    """An entry of a pack that stands in the log of the checkpoint."""

    seq: int
    leaf: str
    entry: Entry


class PackReport(NamedTuple):
    """What came of the check. `proved` are the entries whose proofs lead to the root; `signed` says that a key was given and
    signed the checkpoint; `compared` what a checkpoint kept elsewhere says."""

    about: str
    checkpoint: Checkpoint
    proved: tuple[Proved, ...]
    statements: tuple[Statement, ...]
    signed: bool
    compared: str
    faults: tuple[str, ...]


def check(
    raw: bytes, keys: Keyring | None = None, kept: Checkpoint | None = None, growth: Growth | None = None
) -> PackReport:
    """Check the document of a pack. Raises `Unreadable` for what is no pack; every fault of one that is goes into the report.

    `kept` is a checkpoint kept elsewhere; `growth` shows of two sizes that one log grew into the other.
    """
    told = _read(raw)
    faults: list[str] = []
    note = told["checkpoint"]
    point = _checkpoint(note)
    signed = _is_signed(note, point, keys, faults)
    proved = [one for entry in told["entries"] if (one := _proved(entry, point, faults))]
    statements = tuple(Statement(one["told"], tuple(one["entries"])) for one in told["statements"])
    _told_of(told, statements, faults)
    compared = _compared(point, kept, growth, faults)
    return PackReport(told["about"], point, tuple(proved), statements, signed, compared, tuple(faults))


def _read(raw: bytes) -> dict[str, Any]:
    try:
        told = json.loads(raw.decode(), object_pairs_hook=_once)
    except (ValueError, RecursionError) as problem:
        raise Unreadable(f"The document is no JSON, or not all of it: {problem}.") from None
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise Unreadable("That is not the document of an evidence pack.")
    if told.get("version") != VERSION:
        raise Unreadable(f"It is of version {told.get('version')!r}; this program reads version {VERSION}.")
    if fault := _form(told):
        raise Unreadable(f"The document is not whole: {fault}.")
    return told


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(dict(pairs)) != len(pairs):
        raise ValueError("a name stands twice in it")
    return dict(pairs)


def _form(told: dict[str, Any]) -> str:
    """What is missing or out of place; empty when nothing is."""
    if set(told) != _FIELDS:
        return f"{', '.join(sorted(set(told) ^ _FIELDS))} missing or not expected"
    if not all(isinstance(told[name], str) for name in ("about", "checkpoint")):
        return "what it is about and its checkpoint are text"
    if not all(isinstance(told[name], list) and told[name] for name in ("entries", "statements")):
        return "it has no entries or no statements"
    if not all(_is_entry(one) for one in told["entries"]):
        return "an entry is not written as one"
    if not all(_is_statement(one) for one in told["statements"]):
        return "a statement is not written as one"
    return ""


def _is_entry(one: Any) -> bool:
    return (
        isinstance(one, dict) and set(one) == _ENTRY_FIELDS and type(one["seq"]) is int
        and all(isinstance(one[name], str) for name in ("entry", "leaf")) and isinstance(one["proof"], list)
        and len(one["proof"]) <= MOST_STEPS and all(isinstance(step, str) for step in one["proof"])
    )  # fmt: skip


def _is_statement(one: Any) -> bool:
    return (
        isinstance(one, dict) and set(one) == {"told", "entries"} and isinstance(one["told"], str)
        and isinstance(one["entries"], list) and all(type(seq) is int for seq in one["entries"])
    )  # fmt: skip


def _checkpoint(note: str) -> Checkpoint:
    text, found, _signatures = note.rpartition("\n\n")
    try:
        point = read_checkpoint(f"{text}\n" if found else note)
    except ValueError as problem:
        raise Unreadable(f"Its checkpoint cannot be read. {problem}") from None
    if not text.startswith(point.text().rstrip("\n")):
        raise Unreadable("Its checkpoint cannot be read: its root is not written as a root is.")
    return point


def _is_signed(note: str, point: Checkpoint, keys: Keyring | None, faults: list[str]) -> bool:
    """Whether the key given signed it. Without a key it is only seen that there is a signature at all."""
    lines = note.rpartition("\n\n")[2].splitlines()
    blobs = [line.split(" ")[-1] for line in lines if line.startswith(f"— {point.origin} ")]
    try:
        if not blobs:
            raise ValueError(f"It bears no signature of {point.origin}.")
        for blob in blobs:
            _bytes(blob)
        if keys is None:
            return False
        if point.origin not in {one.name for one in keys.verifiers}:
            raise ValueError(f"It is of the log {point.origin}; the key is that of {keys.verifiers[0].name}.")
        keys.open(note)
    except ValueError as problem:
        faults.append(f"The checkpoint is not signed by the key it must be. {problem}")
        return False
    return True


def _bytes(text: str) -> bytes:
    """Strict base64: what is written otherwise than it would be written again is refused."""
    try:
        raw = base64.b64decode(text, validate=True)
    except ValueError:
        raise ValueError("What should be base64 is not.") from None
    if base64.b64encode(raw).decode() != text:
        raise ValueError("What should be base64 was changed.")
    return raw


def _proved(told: dict[str, Any], point: Checkpoint, faults: list[str]) -> Proved | None:
    """The entry, when everything about it holds; else why not goes to the faults."""
    seq = told["seq"]
    try:
        raw, proof = _bytes(told["entry"]), [_bytes(step) for step in told["proof"]]
        leaf = tree.leaf_hash(raw)
        if leaf.hex() != told["leaf"]:
            raise ValueError("its bytes do not make its leaf hash: one of them was changed")
        if tree.root_from_inclusion(seq - 1, point.size, leaf, proof) != point.root:
            raise ValueError("its proof does not lead to the root of the checkpoint")
        entry = read(raw)
        if entry.seq != seq:
            raise ValueError(f"its bytes say that they are entry {entry.seq}")
        _ = entry.at  # an instant that is none is told here, before anybody prints it
    except (ValueError, TypeError, AttributeError, RecursionError) as problem:
        words = str(problem)
        faults.append(f"Entry {seq:,}: {words[0].lower()}{words[1:].rstrip('.')}.")
        return None
    return Proved(seq, leaf.hex(), entry)


def _told_of(told: dict[str, Any], statements: tuple[Statement, ...], faults: list[str]) -> None:
    """Every statement has its entries, every entry a statement, and none stands there twice."""
    seqs = [one["seq"] for one in told["entries"]]
    rested = {seq for one in statements for seq in one.entries}
    for seq in sorted({seq for seq in seqs if seqs.count(seq) > 1}):
        faults.append(f"Entry {seq:,} stands in it twice.")
    for seq in sorted(rested - set(seqs)):
        faults.append(f"Entry {seq:,} is missing: a statement rests on it.")
    for seq in sorted(set(seqs) - rested):
        faults.append(f"Entry {seq:,} belongs to no statement.")
    for one in statements:
        if not one.entries:
            faults.append(f"Nothing is proved of “{one.told}”: it names no entry.")


def _compared(point: Checkpoint, kept: Checkpoint | None, growth: Growth | None, faults: list[str]) -> str:
    """What a checkpoint kept elsewhere says of the one in the pack."""
    if kept is None:
        return ""
    if kept.origin != point.origin:
        faults.append(f"The checkpoint you kept is of the log {kept.origin}, this pack of {point.origin}.")
    elif kept.size != point.size:
        return _grown(*sorted((kept, point), key=lambda one: one.size), kept, growth, faults)
    elif kept.root != point.root:
        faults.append(f"The checkpoint you kept has another root for {point.size:,} entries: the log was rewritten, or one of the two was changed.")  # fmt: skip
    else:
        return "It is the checkpoint you kept."
    return ""


def _grown(old: Checkpoint, new: Checkpoint, kept: Checkpoint, growth: Growth | None, faults: list[str]) -> str:
    """Whether one log grew into the other, as far as a proof shows it; without one, how to come by it."""
    sizes = f"The checkpoint you kept is of {kept.size:,} entries, this one of {(old if kept is new else new).size:,}"
    if old.size == 0:
        return f"{sizes}: every log begins with none."
    ask = f"pairbook checkpoint --since {old.size} --size {new.size}"
    if growth is None:
        return f"{sizes}: that one log grew into the other is not shown yet. Ask whoever keeps the log for what {ask} prints, and give it with --proof."
    if (growth.old, growth.new) != (old.size, new.size):
        faults.append(f"{sizes}; the proof is of {growth.old:,} and {growth.new:,}. Ask for what {ask} prints.")
    elif not tree.is_consistent(old.size, new.size, old.root, new.root, list(growth.steps)):
        faults.append(
            f"{sizes}, and the proof does not lead from one to the other: the log was rewritten, or one of the three was changed."
        )
    else:
        return f"{sizes}: the proof shows that the log only grew from the one to the other."
    return ""
