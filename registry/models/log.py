"""The log: one entry an act, the Merkle tree over the entries' bytes, and the signed checkpoints.

`log_head` is the lock every writer takes. `writing` is 1 only between the moment the head moves and the moment the
entry's rows are written, inside one transaction: no row can be slipped in under an entry that is already there.
"""

import sqlalchemy as sa

from registry.models.base import column, guard, maybe, once, plain, says
from registry.models.columns import Id, Stamp

#: Holds the single row 0, which `log_head.writing` must name when a transaction commits: a head left open cannot be
#: committed, and so nothing can be committed under it.
log_rest = plain(
    "log_rest",
    column("writing", sa.Integer, primary_key=True, autoincrement=False),
    says("log_rest_is_no_writing", "writing = 0", "The log is at rest when nobody writes."),
    rights="",
)

log_head = plain(
    "log_head",
    column("one", sa.Integer, primary_key=True, autoincrement=False),
    column("size", sa.Integer),
    column("recorded_at", Stamp),
    column(
        "writing",
        sa.Integer,
        sa.ForeignKey("log_rest.writing", deferrable=True, initially="DEFERRED", name="log_head_rests"),
    ),
    says("log_head_is_one_row", "one = 1", "The log has one head."),
    says("log_head_writing_is_yes_or_no", "writing IN (0, 1)", "The log has one head."),
    rights="update",
)

log_entry = plain(
    "log_entry",
    column("seq", sa.Integer, primary_key=True, autoincrement=False),
    column("act_id", Id),
    column("act", sa.Text),
    column("version", sa.Integer),
    column("by_id", Id),
    column("done_by_id", Id),
    maybe("second_id", Id),
    column("via", sa.Text),
    column("happened_at", Stamp),
    column("happened_offset_min", sa.Integer),
    column("recorded_at", Stamp),
    column("origin", sa.Text),
    column("origin_seq", sa.Integer),
    column("sent_sha", sa.LargeBinary),
    column("entry", sa.LargeBinary),
    column("leaf", sa.LargeBinary),
    once("log_entry_act_once", "act_id", sentence="That act is already in the log.", code="conflicting_replay"),
    sa.Index("ix_log_entry_done_by_id", "done_by_id", "seq"),
    sa.Index("ix_log_entry_recorded_at", "recorded_at"),
    rights="insert",
)

#: Complete subtrees above the leaves; level 0 is `log_entry.leaf`.
log_node = plain(
    "log_node",
    column("level", sa.Integer, primary_key=True, autoincrement=False),
    column("ix", sa.Integer, primary_key=True, autoincrement=False),
    column("hash", sa.LargeBinary),
    rights="insert",
)

log_checkpoint = plain(
    "log_checkpoint",
    column("size", sa.Integer, primary_key=True, autoincrement=False),
    column("note", sa.Text),
    rights="insert",
)

guard(
    "log_head_moves_on", "log_head", "UPDATE",
    "NOT (NEW.one = 1 AND ("
    " (NEW.size = OLD.size + 1 AND NEW.writing = 1 AND NEW.recorded_at >= OLD.recorded_at"
    "  AND (OLD.size = 0 OR EXISTS (SELECT 1 FROM log_entry WHERE seq = OLD.size)))"
    " OR (NEW.size = OLD.size AND OLD.writing = 1 AND NEW.writing = 0 AND NEW.recorded_at = OLD.recorded_at"
    "  AND EXISTS (SELECT 1 FROM log_entry WHERE seq = NEW.size))))",
    "The log only grows, one entry at a time.",
)  # fmt: skip
guard(
    "log_entry_in_turn", "log_entry", "INSERT",
    "NOT EXISTS (SELECT 1 FROM log_head WHERE size = NEW.seq AND writing = 1 AND recorded_at = NEW.recorded_at)"
    " OR EXISTS (SELECT 1 FROM log_entry WHERE seq = NEW.seq)",
    "An entry is written only by an act, at the end of the log.",
)  # fmt: skip
guard(
    "log_node_in_turn", "log_node", "INSERT",
    "NOT EXISTS (SELECT 1 FROM log_head WHERE writing = 1)"
    " OR EXISTS (SELECT 1 FROM log_node WHERE level = NEW.level AND ix = NEW.ix)",
    "The tree grows only with the log.",
)  # fmt: skip
for _table in ("log_entry", "log_node", "log_checkpoint"):
    guard(f"{_table}_fixed", _table, "UPDATE", "1 = 1", "What the log holds is never changed.")
guard(
    "log_checkpoint_once", "log_checkpoint", "INSERT",
    "NEW.size < 1 OR EXISTS (SELECT 1 FROM log_checkpoint WHERE size = NEW.size)"
    " OR NEW.size > (SELECT size FROM log_head)",
    "A checkpoint is signed once, for entries that are there.",
)  # fmt: skip
