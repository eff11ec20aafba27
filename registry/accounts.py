"""Who is asking: sessions of pages and tokens of programs. All outside the log."""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.ids import new_id
from registry.domain.people import ROLES
from registry.domain.texts import cannot_be_kept, is_id
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.models.database import Database
from registry.models.people import (
    departure,
    person,
    person_private,
    person_role,
    token,
    web_session,
)
from registry.models.seeks import EVER, in_force
from registry.passwords import check_secret, note, sha

SESSION_DAYS = 30

_by_name = (
    select(person.c.id, person_private.c.name)
    .join(person_private, person_private.c.person_id == person.c.id)
    .where(
        sa.or_(
            person_private.c.name == bindparam("text"),
            person_private.c.badge == bindparam("text"),
            person.c.code == bindparam("code"),
        )
    )
)
_who = (
    select(person.c.id, person.c.code, person_private.c.name, departure.c.left_at)
    .join(person_private, person_private.c.person_id == person.c.id)
    .outerjoin(departure, departure.c.person_id == person.c.id)
    .where(person.c.id == bindparam("person"))
)
_roles = select(person_role.c.role).where(
    person_role.c.person_id == bindparam("person"), in_force(person_role, "given_at", "ended_at")
)
_session = select(web_session).where(web_session.c.key_sha == bindparam("key"))
_token = select(token).where(token.c.key_sha == bindparam("key"))


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who has shown who they are, with the roles they hold now."""

    id: str
    code: str
    name: str
    roles: frozenset[str]

    def say_roles(self) -> str:
        return ", ".join(ROLES[role] for role in ROLES if role in self.roles) or "no role"


def person_now(db: sa.Connection, person_id: str, now: datetime) -> Person | None:
    """The person with today's roles, or None when they have left."""
    at = stamp(now)
    row = db.execute(_who, {"person": person_id}).first()
    if row is None or (row.left_at and row.left_at <= at):
        return None
    return Person(
        row.id,
        row.code,
        row.name,
        frozenset(db.execute(_roles, {"person": person_id, "at": at, "known": EVER}).scalars()),
    )


def named(db: sa.Connection, text: str) -> str | None:
    """The id of the person with this name, badge or code."""
    if cannot_be_kept(text):
        return None
    text = text.strip()
    code = text.replace(" ", "").replace("\u202f", "").upper()
    return db.execute(_by_name, {"text": text, "code": code}).scalar()


def sign_in(database: Database, name: str, password: str, now: datetime) -> tuple[str, str]:
    """(person id, session key) of somebody who gave name and password. Raises `Refused`."""
    with database.reading() as db:
        person_id = named(db, name)
    check_secret(database, person_id, "password", password, now, said=name)
    assert person_id is not None
    with database.reading() as db:
        if person_now(db, person_id, now) is None:
            raise Refused(Reason("not_signed_in", "This account has ended.", "name", "Ask a keeper."))
    key = secrets.token_urlsafe(32)
    with database.writing() as db:
        db.execute(
            web_session.insert(),
            {
                "key_sha": sha(key),
                "person_id": person_id,
                "started_at": stamp(now),
                "seen_at": stamp(now),
                "ended_at": None,
            },
        )
        note(db, now, "signed in", person_id)
    return person_id, key


def session_person(db: sa.Connection, key: str, now: datetime) -> Person | None:
    """Whose session this is, if it holds."""
    row = db.execute(_session, {"key": sha(key)}).first()
    if row is None or row.ended_at or row.started_at < stamp(now - timedelta(days=SESSION_DAYS)):
        return None
    return person_now(db, row.person_id, now)


def sign_out(database: Database, key: str, now: datetime) -> None:
    """End a session; its key opens nothing any more."""
    with database.writing() as db:
        db.execute(web_session.update().where(web_session.c.key_sha == sha(key)).values(ended_at=stamp(now)))


def make_token(database: Database, person_id: str, label: str, now: datetime) -> str:
    """A token for programs that act in this person's name. It is shown once; the registry keeps its hash."""
    key = f"pb_{secrets.token_urlsafe(32)}"
    with database.writing() as db:
        row = {
            "id": new_id(now, secrets.randbits),
            "person_id": person_id,
            "label": label[:200],
            "key_sha": sha(key),
            "made_at": stamp(now),
            "ended_at": None,
        }
        db.execute(token.insert(), row)
        note(db, now, "token made", person_id, label[:200])
    return key


def end_token(database: Database, person_id: str, token_id: str, now: datetime) -> None:
    """End one of the person's own tokens."""
    if not is_id(token_id):
        return
    with database.writing() as db:
        mine = sa.and_(token.c.id == token_id, token.c.person_id == person_id, token.c.ended_at.is_(None))
        db.execute(token.update().where(mine).values(ended_at=stamp(now)))
        note(db, now, "token ended", person_id)


def tokens_of(db: sa.Connection, person_id: str) -> list[sa.Row]:
    return list(
        db.execute(
            select(token.c.id, token.c.label, token.c.made_at, token.c.ended_at)
            .where(token.c.person_id == person_id)
            .order_by(token.c.made_at)
        )
    )


def token_person(db: sa.Connection, key: str, now: datetime) -> Person | None:
    """Whose token this is, if it holds."""
    row = db.execute(_token, {"key": sha(key)}).first()
    return None if row is None or row.ended_at else person_now(db, row.person_id, now)
