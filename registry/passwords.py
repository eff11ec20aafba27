"""Passwords and PINs: set, checked, counted. All outside the log; hashing always outside any transaction.

A failed attempt makes the next wait, longer each time, whatever door it comes through.
"""

import hashlib
import math
import re
import secrets
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from functools import cache
from typing import Any, Literal

import sqlalchemy as sa
from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import bindparam, select

from registry.acts.ids import new_id
from registry.domain.texts import cannot_be_kept
from registry.domain.times import as_datetime, stamp
from registry.errors import Reason, Refused, refuse_if
from registry.models.database import Database, add_if_missing
from registry.models.people import attempt, credential, security_event, token, web_session

Secret = Literal["password", "pin"]
FREE_ATTEMPTS = 3
#: Passwords are long, and a stranger at the sign-in page must not keep anybody out for long; PINs are short, and are
#: asked for only of somebody who is signed in or at the machine.
LONGEST_WAIT_S: dict[str, int] = {"password": 60, "pin": 900}
#: Names nobody has are counted in this many rows, so that a flood of them fills nothing.
UNKNOWN_ROWS = 1024
FORGIVEN: dict[str, Any] = {"failures": 0, "wait_until": None}
PASSWORD_LEAST = 10
_PIN = re.compile(r"\d{4,8}", re.ASCII)

_credential = select(credential).where(credential.c.person_id == bindparam("person"))


@cache
def hasher() -> PasswordHasher:
    """Argon2id with the library's own current parameters (about 0.1 s)."""
    return PasswordHasher()


def set_secrets(
    database: Database,
    person_id: str,
    told: Mapping[Secret, str],
    now: datetime,
    *,
    by: str | None = None,
    keep: str | None = None,
) -> None:
    """Give somebody a new password, a new PIN or both: together or not at all. Raises `Refused` when one is too weak.

    `by` is who set it; nobody stands for whoever keeps the machine. A new password ends every session of that person
    but the one whose key is `keep`; set by somebody else, it ends their tokens too.
    """
    refuse_weak(told)
    values = {f"{kind}_hash": hasher().hash(secret) for kind, secret in told.items()}
    with database.writing() as db:
        known = db.execute(_credential, {"person": person_id}).first()
        if known:
            db.execute(credential.update().where(credential.c.person_id == person_id).values(**values))
        else:
            db.execute(credential.insert(), {"person_id": person_id, "password_hash": None, "pin_hash": None, **values})
        if "password" in told:
            others = sa.and_(web_session.c.person_id == person_id, web_session.c.ended_at.is_(None))
            if keep:
                others = sa.and_(others, web_session.c.key_sha != sha(keep))
            db.execute(web_session.update().where(others).values(ended_at=stamp(now)))
            if by != person_id:
                theirs = sa.and_(token.c.person_id == person_id, token.c.ended_at.is_(None))
                db.execute(token.update().where(theirs).values(ended_at=stamp(now)))
        for kind in told:
            db.execute(attempt.update().where(attempt.c.key_sha == _key(kind, person_id)).values(**FORGIVEN))
            note(db, now, f"{kind} set", person_id, f"by {by or 'the keeper of the machine'}")


def refuse_weak(told: Mapping[Secret, str]) -> None:
    """Raise `Refused` with a reason for each secret that is too weak to be one."""
    refuse_if([reason for kind, secret in told.items() for reason in _weak(kind, secret)])


def _weak(kind: Secret, secret: str) -> Iterator[Reason]:
    if kind == "password" and len(secret) < PASSWORD_LEAST:
        told = f"The password has {len(secret)} characters; it needs {PASSWORD_LEAST} or more."
        yield Reason("wrong_form", told, kind, "Three or four unrelated words are easy to keep.")
    elif kind == "password" and len(secret) > 1000:
        yield Reason("wrong_form", "The password is longer than 1,000 characters.", kind, "Take a shorter one.")
    elif kind == "password" and cannot_be_kept(secret):
        yield Reason("wrong_form", "The password holds a character nothing can type twice.", kind, "Choose another.")
    elif kind == "pin" and not _PIN.fullmatch(secret):
        yield Reason(
            "wrong_form", "A PIN is four to eight digits.", kind, "Choose digits that are not a year or a row."
        )
    elif kind == "pin" and (len(set(secret)) == 1 or secret in "0123456789876543210"):
        told = "That PIN is one of the first a stranger would try."
        yield Reason("wrong_form", told, kind, "Choose digits that are not a row.")


def check_secret(
    database: Database, person_id: str | None, kind: Secret, secret: str, now: datetime, *, said: str = ""
) -> None:
    """Raise `Refused` unless this is the person's password or PIN. Somebody unknown, who is known only by what was
    `said`, takes as long and waits as long as somebody known.

    The attempt is counted before the secret is looked at: many guesses sent at once are many attempts. Attempts at a
    password and at a PIN are counted apart, so that a stranger at the sign-in page keeps nobody from signing.
    """
    key = _key(kind, person_id, said)
    kept = _counted(database, key, person_id, kind, now)
    if _fits(kept, secret):
        with database.writing() as db:
            db.execute(attempt.update().where(attempt.c.key_sha == key).values(**FORGIVEN))
        return
    with database.writing() as db:
        note(db, now, f"wrong {kind}", person_id)
    told = (
        "That name and password do not belong together."
        if kind == "password"
        else "That is not your PIN."
        if kept
        else "You have no PIN yet."
    )
    do = (
        "Type it again. What you entered is kept."
        if kept or kind == "password"
        else "Set one on your own page, or ask a keeper."
    )
    raise Refused(Reason("wrong_secret", told, kind, do))


def _key(kind: Secret, person_id: str | None, said: str = "") -> bytes:
    if person_id:
        return sha(f"{kind}:{person_id}")
    number = int.from_bytes(sha(said.strip().casefold()[:200])[:4], "big") % UNKNOWN_ROWS
    return sha(f"{kind}:nobody:{number}")


def _counted(database: Database, key: bytes, person_id: str | None, kind: Secret, now: datetime) -> str | None:
    """The hash to compare with, after this attempt was counted; refused while an earlier failure makes it wait."""
    with database.writing() as db:
        add_if_missing(db, attempt, {"key_sha": key, **FORGIVEN})
        row = db.execute(select(attempt).where(attempt.c.key_sha == key).with_for_update()).one()
        if row.wait_until and row.wait_until > stamp(now):
            told = f"Too many attempts failed. The next one is taken in {_say_wait(row.wait_until, now)}."
            raise Refused(Reason("wait", told, kind, "Wait that long, or ask a keeper to set a new one."))
        failures = row.failures + 1
        wait = min(2 ** min(failures - FREE_ATTEMPTS, 20), LONGEST_WAIT_S[kind]) if failures > FREE_ATTEMPTS else 0
        until = stamp(now + timedelta(seconds=wait)) if wait else None
        db.execute(attempt.update().where(attempt.c.key_sha == key).values(failures=failures, wait_until=until))
        known = db.execute(_credential, {"person": person_id}).first() if person_id else None
        return getattr(known, f"{kind}_hash") if known else None


def _say_wait(until: str, now: datetime) -> str:
    seconds = math.ceil((as_datetime(until) - now).total_seconds())
    return f"{seconds} second{'s' if seconds > 1 else ''}" if seconds <= 90 else f"{math.ceil(seconds / 60)} minutes"


def _fits(kept: str | None, secret: str) -> bool:
    try:
        return hasher().verify(kept or _nobody(), secret) and kept is not None
    except (VerificationError, InvalidHashError, UnicodeError):
        return False


@cache
def _nobody() -> str:
    """A hash nobody's secret fits, so that an unknown name takes as long as a known one."""
    return hasher().hash(secrets.token_hex(32))


def sha(key: str) -> bytes:
    """Keys are long and random, so a plain hash of them is enough."""
    return hashlib.sha256(key.encode(errors="replace")).digest()


def note(db: sa.Connection, now: datetime, what: str, person_id: str | None, detail: str = "") -> None:
    db.execute(
        security_event.insert(),
        {"id": new_id(now, secrets.randbits), "at": stamp(now), "what": what, "person_id": person_id, "detail": detail},
    )
