"""The log as people read it: entries newest first, one entry whole, and the size it had on a past day."""

import json
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.times import end_of_day
from registry.models.amended_missions import amended_mission
from registry.models.amendments import amended_bay, amended_person, withdrawal
from registry.models.columns import Id
from registry.models.installs import amendment
from registry.models.log import log_entry, log_head
from registry.models.people import outfit, person_private

_by, _done_by, _second = (person_private.alias(name) for name in ("by_name", "done_by_name", "second_name"))
_entries = (
    select(
        log_entry.c.seq, log_entry.c.act_id, log_entry.c.act, log_entry.c.version, log_entry.c.via, log_entry.c.happened_at, log_entry.c.happened_offset_min,
        log_entry.c.recorded_at, _by.c.name.label("by"), _done_by.c.name.label("done_by"), _second.c.name.label("second"), log_entry.c.entry, log_entry.c.leaf,
    )
    .outerjoin(_by, _by.c.person_id == log_entry.c.by_id)
    .outerjoin(_done_by, _done_by.c.person_id == log_entry.c.done_by_id)
    .outerjoin(_second, _second.c.person_id == log_entry.c.second_id)
)  # fmt: skip
TAKEN_BACK = "it was taken back"
ACT = bindparam("act", type_=Id)
_newest = _entries.where(log_entry.c.seq <= bindparam("upto")).order_by(log_entry.c.seq.desc()).limit(bindparam("most"))
_one = _entries.where(log_entry.c.seq == bindparam("seq", type_=sa.BigInteger))
_amending = sa.union_all(
    *(
        select(table.c.seq, sa.literal(words).label("words"), table.c.why).where(table.c[column] == ACT)
        for table, column, words in (
            (amendment, "amended_act_id", "when it happened was amended"),
            (amended_bay, "amended_act_id", "the bay was amended"),
            (amended_person, "amended_act_id", "who did it was amended"),
            (withdrawal, "withdrawn_act_id", TAKEN_BACK),
        )
    ),
    select(amended_mission.c.seq, sa.literal("the mission was amended"), amended_mission.c.why).where(
        amended_mission.c.mission_id == bindparam("mission", type_=Id)
    ),
).order_by("seq")
_size = select(log_head.c.size)
_size_on = select(sa.func.max(log_entry.c.seq)).where(
    log_entry.c.recorded_at < bindparam("before", type_=log_entry.c.recorded_at.type)
)
_outfit = (
    select(outfit.c.name, outfit.c.invented, outfit.c.label_host, outfit.c.anchor_on)
    .order_by(outfit.c.seq.desc())
    .limit(1)
)


@dataclass(frozen=True, slots=True)
class EntryShown:
    """An entry with the names of its people. `body` and `decided` are what its bytes hold."""

    seq: int
    act_id: str
    act: str
    version: int
    via: str
    happened_at: str
    happened_offset_min: int
    recorded_at: str
    by: str | None
    done_by: str | None
    second: str | None
    raw: bytes
    leaf: bytes

    @property
    def told(self) -> dict[str, Any]:
        return json.loads(self.raw)

    @property
    def hashes(self) -> list[str]:
        """The files it brought along, by their hashes."""
        return [file["sha256"] for file in self.told["body"].get("files", ())]

    @property
    def mission(self) -> str | None:
        """The mission it tells of."""
        return self.act_id if self.act in ("plan_mission", "record_mission") else self.told["ids"].get("mission")

    @property
    def carried_over(self) -> dict[str, Any] | None:
        """The file and rows it was carried over from, and what was not asked of it."""
        return self.told["decided"].get("carried_over")

    @property
    def out_of_order(self) -> list[dict[str, Any]]:
        return self.told["decided"].get("out_of_order", [])


@dataclass(frozen=True, slots=True)
class OutfitShown:
    name: str
    invented: bool
    label_host: str
    anchor_on: str | None


def entries(db: sa.Connection, upto: int, most: int = 50) -> list[EntryShown]:
    """Entries from `upto` downwards."""
    return [EntryShown(*row) for row in db.execute(_newest, {"upto": upto, "most": most})]


def entry(db: sa.Connection, seq: int) -> EntryShown | None:
    row = db.execute(_one, {"seq": seq}).first()
    return EntryShown(*row) if row else None


def amending(db: sa.Connection, one: EntryShown) -> list[sa.Row]:
    """What later entries put right about this one, oldest first: seq, words, why."""
    rows = db.execute(_amending, {"act": one.act_id, "mission": one.mission})
    return list(dict.fromkeys(row for row in rows if row.seq > one.seq))


def size(db: sa.Connection) -> int:
    return db.execute(_size).scalar_one()


def size_on(db: sa.Connection, day: str) -> int:
    """How many entries the log had when that day ended (24:00 UTC): what was known then."""
    return db.execute(_size_on, {"before": end_of_day(day)}).scalar() or 0


def outfit_shown(db: sa.Connection) -> OutfitShown | None:
    """The outfit this registry is kept for, or None before it is founded."""
    row = db.execute(_outfit).first()
    return OutfitShown(*row) if row else None
