"""The secret address of a person's calendar: made and renewed by its owner, shown once, kept as a hash, ended at once.

It opens nothing but the calendar. Wrong ones are counted by where they come from: after a few, each makes the next one
wait, as wrong passwords do.
"""

import secrets
import threading
from collections import OrderedDict
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.accounts import Person, person_now
from registry.domain.times import as_datetime, stamp
from registry.errors import Reason, Refused
from registry.models.calendars import calendar_key
from registry.models.database import Database
from registry.passwords import note, sha

_by_key = select(calendar_key).where(calendar_key.c.key_sha == bindparam("key"))
_of_person = select(calendar_key.c.made_at, calendar_key.c.ended_at).where(
    calendar_key.c.person_id == bindparam("person")
)


def make_key(database: Database, person_id: str, now: datetime) -> str:
    """A new secret; the one before opens nothing any more."""
    key = secrets.token_urlsafe(32)
    told = {"key_sha": sha(key), "made_at": stamp(now), "ended_at": None}
    with database.writing() as db:
        if db.execute(_of_person, {"person": person_id}).first():
            db.execute(calendar_key.update().where(calendar_key.c.person_id == person_id).values(**told))
        else:
            db.execute(calendar_key.insert(), {"person_id": person_id, **told})
        note(db, now, "calendar address made", person_id)
    return key


def end_key(database: Database, person_id: str, now: datetime) -> None:
    """The person's address opens nothing any more."""
    with database.writing() as db:
        mine = sa.and_(calendar_key.c.person_id == person_id, calendar_key.c.ended_at.is_(None))
        db.execute(calendar_key.update().where(mine).values(ended_at=stamp(now)))
        note(db, now, "calendar address ended", person_id)


def made_at(db: sa.Connection, person_id: str) -> str | None:
    """When the address that holds was made; None when there is none."""
    row = db.execute(_of_person, {"person": person_id}).first()
    return None if row is None or row.ended_at else row.made_at


def owner(db: sa.Connection, key: str, now: datetime) -> Person | None:
    """Whose calendar this secret opens, if it opens one: never of somebody who has left."""
    row = db.execute(_by_key, {"key": sha(key)}).first()
    return None if row is None or row.ended_at else person_now(db, row.person_id, now)


class Waits:
    """Wrong secrets by where they came from. Held in memory: a feed is read often, and reading writes nothing."""

    FREE, LONGEST_S, KEPT = 10, 60, 4096

    def __init__(self) -> None:
        self._wrong: OrderedDict[str, tuple[int, str]] = OrderedDict()
        self._mutex = threading.Lock()

    def refuse_while_waiting(self, whence: str, now: datetime) -> None:
        """Raise `Refused` while earlier wrong ones from there make the next wait."""
        with self._mutex:
            _count, until = self._wrong.get(whence, (0, ""))
        if until > stamp(now):
            seconds = int((as_datetime(until) - now).total_seconds()) + 1
            told = f"Too many calendar addresses from here were wrong. The next one is looked at in {seconds} s."
            raise Refused(Reason("wait", told, next="Copy the address from your own page anew."))

    def count_wrong(self, whence: str, now: datetime) -> None:
        with self._mutex:
            count = self._wrong.pop(whence, (0, ""))[0] + 1
            wait = min(2 ** min(count - self.FREE, 20), self.LONGEST_S) if count > self.FREE else 0
            self._wrong[whence] = (count, stamp(now + timedelta(seconds=wait)))
            while len(self._wrong) > self.KEPT:
                self._wrong.popitem(last=False)

    def forgive(self, whence: str) -> None:
        with self._mutex:
            self._wrong.pop(whence, None)
