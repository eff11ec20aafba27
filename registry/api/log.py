"""The log: entries as they stand in it, its checkpoint, proofs."""

import base64

from flask import Response, jsonify

from registry import access
from registry.acts import log as acts_log
from registry.acts import tree
from registry.acts.checkpoints import Checkpoint
from registry.api.asking import bp, number
from registry.errors import Reason, Refused
from registry.queries import log


@bp.get("/log")
def entries() -> Response:
    """Entries after `after=`, oldest first, at most 500 at once."""
    after = number("after", 0)
    with access.instance().database.reading() as db:
        size = log.size(db)
        told = [row.raw for row in acts_log.rows(db, after, min(after + 500, size))]
    # The bytes of each entry as they stand in the log, so that whoever fetches them can hash them.
    listed = b",".join(told).decode()
    return Response(f'{{"size":{size},"entries":[{listed}]}}\n', content_type="application/json")


@bp.get("/log/<int:seq>")
def entry(seq: int) -> Response:
    """One entry, its bytes as they stand in the log."""
    with access.instance().database.reading() as db:
        found = log.entry(db, seq) if 0 < seq < 2**53 else None
    if found is None:
        raise Refused(
            Reason("not_found", f"The log has no entry {seq:,}.", next="Its size is in /api/v1/log/checkpoint.")
        )
    return Response(found.raw, content_type="application/json")


@bp.get("/log/checkpoint")
def checkpoint() -> Response:
    """The signed checkpoint of the log as it stands, with the public key."""
    instance = access.instance()
    with instance.database.reading() as db:
        key, head = instance.log_key(db), acts_log.head(db)
        root = acts_log.root(db, head.size)
    told = Checkpoint(key.name, head.size, root)
    return jsonify(
        {
            "origin": told.origin,
            "size": told.size,
            "root": base64.b64encode(told.root).decode(),
            "note": key.sign(head.size, root),
            "public_key": key.verifier().encoded(),
        }
    )


@bp.get("/log/proof")
def proof() -> Response:
    """Proof that entry `seq=` stands in the log of its size now (RFC 9162, inclusion)."""
    seq = number("seq", 0)
    with access.instance().database.reading() as db:
        size = log.size(db)
        if not 0 < seq <= size:
            raise Refused(
                Reason(
                    "not_found",
                    f"The log has {size:,} entries; there is no entry {seq:,}.",
                    "seq",
                    "Ask for one that is there.",
                )
            )
        node = acts_log.node_reader(db)
        steps, root, leaf = tree.inclusion_proof(seq - 1, size, node), tree.root(size, node), node(0, seq - 1)
    b64 = lambda raw: base64.b64encode(raw).decode()  # noqa: E731
    return jsonify(
        {"seq": seq, "size": size, "root": b64(root), "leaf": b64(leaf), "proof": [b64(step) for step in steps]}
    )
