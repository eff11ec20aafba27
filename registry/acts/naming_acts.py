"""Acts that name an earlier act by its id: whether it is in the log, and whether it did what is asked about."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.errors import Reason
from registry.models.amendments import withdrawal
from registry.models.log import log_entry

_act = select(log_entry.c.seq).where(log_entry.c.act_id == bindparam("act"))
_withdrawn = select(withdrawal.c.seq).where(withdrawal.c.withdrawn_act_id == bindparam("act"))


def unknown_act(db: sa.Connection, act_id: str, field: str) -> Reason | None:
    """Why this id names no act of the log, if it does not."""
    if db.execute(_act, {"act": act_id}).scalar() is not None:
        return None
    told = f"No act in the log has the id {act_id}."
    return Reason("unknown_label", told, field, "Copy the id from the entry’s page.")


def taken_back(db: sa.Connection, act_id: str, field: str) -> Reason | None:
    """Why this act is no longer there to be amended: it was taken back."""
    seq = db.execute(_withdrawn, {"act": act_id}).scalar()
    if seq is None:
        return None
    return Reason("already_so", f"It was taken back by entry {seq:,}.", field, "There is nothing left to amend.")


def nothing_done(db: sa.Connection, act_id: str, field: str, deed: str) -> Reason:
    """Why an act that did not do what `deed` says, or does no longer, cannot be amended in it."""
    known = unknown_act(db, act_id, field) or taken_back(db, act_id, field)
    return known or Reason(
        "nothing_to_amend", f"That act did not {deed}.", field, "Look at its entry, and take the id from there."
    )
