"""What somebody has to know before an act is entered, told on its form: what it leaves open, and what asks how it was done."""

from collections.abc import Callable

import sqlalchemy as sa

from registry import access
from registry.acts.housings import asked_of_eyes
from registry.acts.references import resolve
from registry.domain.audits import say_not_settled
from registry.domain.times import stamp
from registry.errors import Reason
from registry.models.audit_lines import ends_open
from registry.web.forms import ActForm


def before(form: ActForm) -> str:
    """A sentence to stand above the form of this act; nothing for most."""
    told = _TOLD.get(form.act_cls.name)
    if told is None:
        return ""
    with access.instance().database.reading() as db:
        return told(db, form, stamp(access.now()))


def _close_audit(db: sa.Connection, form: ActForm, at: str) -> str:
    found = resolve(db, "audit", form.audit.data or "", at)
    told = "" if isinstance(found, Reason) else say_not_settled(ends_open(db, found, at))
    return f"{told} Closing settles none of them; the certificate says so." if told else ""


def _check_seating(db: sa.Connection, form: ActForm, at: str) -> str:
    found = resolve(db, "bay", form.bay.data or "", at)
    return "" if isinstance(found, Reason) else " ".join(asked_of_eyes(db, found, at))


_TOLD: dict[str, Callable[[sa.Connection, ActForm, str], str]] = {
    "close_audit": _close_audit,
    "check_seating": _check_seating,
}
