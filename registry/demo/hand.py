"""A hand that acts in the demo: it writes down what everybody did, feature by feature, and sends it in the order in which
it was entered, so that the log tells the months as they went by."""

import io
import random
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy import select

from registry.acts import door
from registry.acts.door import Signer
from registry.acts.ids import new_id
from registry.acts.preparing import prepare, worked_out_here
from registry.domain.times import UTC, write_rfc3339
from registry.errors import Refused
from registry.files import Files
from registry.models.log import log_entry

SEED = 20260417
Name = str


class Noted(NamedTuple):
    """An act as it will be sent, when, and by whom; `refused` says that the door must not take it."""

    now: datetime
    told: dict[str, Any]
    person: str
    refused: bool


class Hand:
    """Notes acts, then sends them, inside one open transaction. Days count from the anchor: -30 is thirty days before it.

    Ids and codes come from seeded dice, so that the same script sends the same acts, whenever it is run.
    """

    def __init__(self, db: sa.Connection, anchor: str, told: Callable[[int], None], files: Files):
        self.anchor = datetime.fromisoformat(anchor).replace(tzinfo=UTC)
        self.dice = random.Random(SEED)
        self.ids: dict[Name, str] = {}
        self.sent = self.new = 0
        self._noted: list[Noted] = []
        self._db, self._told, self._files = db, told, files

    def at(self, day: float, clock: str = "09:00") -> datetime:
        hours, minutes = map(int, clock.split(":"))
        return self.anchor + timedelta(days=day, hours=hours, minutes=minutes)

    def do(
        self,
        act: str,
        day: float,
        clock: str = "09:00",
        *,
        by: Name,
        name: Name | None = None,
        entered: float = 0.0,
        offset_h: int = 0,
        refused: bool = False,
        **fields: Any,
    ) -> None:
        """One act, entered `entered` days after it happened, at a clock `offset_h` hours east of UTC. Keeps its id."""
        happened = self.at(day, clock)
        now = happened + timedelta(days=entered, minutes=2)
        told = {
            "act": act, "version": 1, "id": new_id(now, self.dice.getrandbits),
            "happened_at": write_rfc3339(happened.astimezone(timezone(timedelta(hours=offset_h)) if offset_h else UTC)),
            **{field: self._known(value) for field, value in fields.items()},
        }  # fmt: skip
        if name:
            self.ids[name] = told["id"]
        self._noted.append(Noted(now, told, self.ids[by], refused))

    def _known(self, value: Any) -> Any:
        """Names the script gave become ids, instants become text."""
        if isinstance(value, list):
            return [self._known(one) for one in value]
        if isinstance(value, datetime):
            return write_rfc3339(value)
        return self.ids.get(value, value) if isinstance(value, str) else value

    def entry_of(self, name: Name) -> Callable[[], int]:
        """The number of the entry that an earlier act became: known when it is asked for as acts are sent."""
        number = select(log_entry.c.seq).where(log_entry.c.act_id == self.ids[name])
        return lambda: self._db.execute(number).scalar_one()

    def derived(self, name: Name, what: str) -> str:
        """The id of a further row that an act of the script made."""
        return str(uuid.uuid5(uuid.UUID(self.ids[name]), what))

    def keep(self, name: str, content: bytes) -> dict[str, Any]:
        """Keep a file, for an act to name."""
        return self._files.keep(io.BytesIO(content), name).file._asdict()

    def refused(self, act: str, day: float, clock: str, **fields: Any) -> None:
        """An act that the door must refuse: nothing of it is stored."""
        self.do(act, day, clock, refused=True, **fields)

    def send(self) -> None:
        """Everything noted, oldest entry first; of what was entered in one minute, in the order of the script."""
        for one in sorted(self._noted, key=lambda one: one.now):
            try:
                self._send(one.told, one.person, one.now)
            except Refused:
                if not one.refused:
                    raise
            else:
                assert not one.refused, f"{one.told['act']} was taken although it must be refused"

    def found(self, day: float, outfit: str, keeper: Name) -> None:
        """The first entry, which says that all is invented and keeps the anchor."""
        now = self.at(day)
        id_ = new_id(now, self.dice.getrandbits)
        self.ids[keeper] = str(uuid.uuid5(uuid.UUID(id_), "person"))
        told = {
            "act": "found_outfit", "version": 1, "id": id_, "happened_at": write_rfc3339(now), "outfit": outfit, "origin": "H",
            "label_host": "holmwick.example", "invented": True, "anchor_on": self.anchor.date().isoformat(), "private": {"name": keeper},
        }  # fmt: skip
        self._noted.append(Noted(now, told, self.ids[keeper], False))

    def _send(self, told: dict[str, Any], person: str, now: datetime) -> None:
        told = {field: value() if callable(value) else value for field, value in told.items()}
        work_out = lambda work: worked_out_here(work, self._files.path)  # noqa: E731
        ready = prepare(told, Signer(person, "demo"), self._files, work_out, now=now)
        # Codes are drawn from dice of the act's own: an act that is there already draws none, and the rest must not shift.
        draw = random.Random(ready.act.id).randrange
        done = door.perform(self._db, ready, now=now, randbelow=draw)
        self.sent += 1
        self.new += not done.again
        self._told(self.sent)
