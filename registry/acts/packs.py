"""The document that an evidence pack carries: a signed checkpoint of the log, and each entry it speaks of, byte by byte, with
its inclusion proof (RFC 9162 section 2.1.3). Its check stands in `pack_checks`, and needs nothing but the document."""

import base64
from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa

from registry.acts import log, tree
from registry.domain.canonical import canonical
from registry.domain.packs import FORMAT, VERSION, Statement


def document(db: sa.Connection, about: str, statements: Iterable[Statement], note: str, size: int) -> bytes:
    """The document in canonical JSON. `note` is the signed checkpoint of the log of this size."""
    statements = list(statements)
    node = log.node_reader(db)
    seqs = sorted({seq for one in statements for seq in one.entries})
    return canonical(
        {
            "format": FORMAT,
            "version": VERSION,
            "about": about,
            "checkpoint": note,
            "entries": [_entry(log.raw_at(db, seq), seq, tree.inclusion_proof(seq - 1, size, node)) for seq in seqs],
            "statements": [{"told": one.told, "entries": list(one.entries)} for one in statements],
        }
    )


def _entry(raw: bytes, seq: int, proof: list[bytes]) -> dict[str, Any]:
    return {
        "seq": seq,
        "entry": base64.b64encode(raw).decode(),
        "leaf": tree.leaf_hash(raw).hex(),
        "proof": [base64.b64encode(step).decode() for step in proof],
    }
