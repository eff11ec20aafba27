"""What somebody has to know before an act is entered, told on its form: what it leaves open, what asks how it was done, and
what stands against it."""

from collections.abc import Callable
from typing import NamedTuple

import sqlalchemy as sa

from registry import access
from registry.acts.housings import asked_of_eyes
from registry.acts.references import resolve
from registry.domain.audits import say_not_settled
from registry.domain.findings import Finding
from registry.domain.sailing import against
from registry.domain.times import say, stamp
from registry.errors import Reason
from registry.models.audit_lines import ends_open
from registry.queries.missions import mission_page
from registry.web.forms import ActForm


class Before(NamedTuple):
    """A sentence to stand above the form of an act, and findings against it; nothing for most."""

    told: str = ""
    against: tuple[Finding, ...] = ()


def before(form: ActForm) -> Before:
    asked = _ASKED.get(form.act_cls.name)
    if asked is None:
        return Before()
    kind, field, look = asked
    with access.instance().database.reading() as db:
        at = stamp(access.now())
        found = resolve(db, kind, form[field].data or "", at)
        return Before() if isinstance(found, Reason) else look(db, found, at)


def _close_audit(db: sa.Connection, audit: str, at: str) -> Before:
    told = say_not_settled(ends_open(db, audit, at))
    return Before(f"{told} Closing settles none of them; the certificate says so." if told else "")


def _check_seating(db: sa.Connection, bay: str, at: str) -> Before:
    return Before(" ".join(asked_of_eyes(db, bay, at)))


def _start_mission(db: sa.Connection, mission: str, at: str) -> Before:
    """What stands against the vehicle that it would send out."""
    page = mission_page(db, mission, at)
    return Before(against=tuple(against(page.ahead)) if page else ())


def _amend_mission(db: sa.Connection, mission: str, at: str) -> Before:
    page = mission_page(db, mission, at)
    if page is None:
        return Before()
    row = page.row
    parts = [
        ("planned from", "planned_from_at"),
        ("to", "planned_to_at"),
        ("started", "started_at"),
        ("ended", "ended_at"),
    ]
    told = [f"{words} {say(row[name])}" for words, name in parts if row[name]]
    return Before(f"As it stands: {', '.join([row['vehicle'], *told])}.")


#: Act -> the kind of thing it is about, the field that says which, and what is to be told of it.
_ASKED: dict[str, tuple[str, str, Callable[[sa.Connection, str, str], Before]]] = {
    "close_audit": ("audit", "audit", _close_audit),
    "check_seating": ("bay", "bay", _check_seating),
    "amend_mission": ("mission", "mission", _amend_mission),
    "start_mission": ("mission", "mission", _start_mission),
}
