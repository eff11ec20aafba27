"""Who really did an act: the person its entry names, or the one it was amended to."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.entry import Entry
from registry.models.amendments import amended_person

_newest = (
    select(amended_person.c.now_person_id)
    .where(amended_person.c.amended_act_id == bindparam("act"), amended_person.c.part == bindparam("part"))
    .order_by(amended_person.c.seq.desc())
    .limit(1)
)


def who_did(db: sa.Connection, entry: Entry) -> dict[str, str]:
    """Who did an act and who lifted in it, amendments included."""
    first = {"done": entry.done_by, "lifted": entry.ids.get("removed_by") or entry.done_by}
    return {
        part: db.execute(_newest, {"act": entry.id, "part": part}).scalar() or person for part, person in first.items()
    }
