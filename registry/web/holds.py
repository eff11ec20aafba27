"""Holds, and everything else that waits for somebody's hand."""

from flask import Blueprint, Response

from registry import access
from registry.domain.holds import CAUSES, Hold, reasons_not_to_release
from registry.domain.people import May, name_roles
from registry.domain.times import CLOCK_LEAD, NEVER, stamp
from registry.models.impact_lists import impacts_of_hold, reasons_of_impacts
from registry.queries import holds
from registry.queries.attachments import files_of_hold
from registry.web.page import known_by_id, moment, render

bp = Blueprint("holds", __name__)


@bp.get("/holds")
def every() -> Response:
    """Every open hold, oldest first."""
    at, known, past = moment()
    with access.instance().database.reading() as db:
        listed = holds.holds_open(db, at, known)
    return render("holds/holds.html", holds=listed, causes=CAUSES, at=at, past=past)


@bp.get("/holds/<hold_id>")
def one(hold_id: str) -> Response:
    """One hold: what it lies on, who placed it and why, and its answer."""
    at = stamp(access.now() + CLOCK_LEAD)
    shown = known_by_id(hold_id, lambda db: holds.hold_shown(db, hold_id, at))
    with access.instance().database.reading() as db:
        files, impacts = files_of_hold(db, hold_id, at), impacts_of_hold(db, hold_id)
        missing = [] if shown.row["released_at"] else reasons_of_impacts(db, hold_id, at)
    return render(
        "holds/hold.html", hold=shown, files=files, impacts=impacts, causes=CAUSES, missing=missing, own=_own(shown), who=name_roles(May.RELEASE)
    )  # fmt: skip


def _own(shown: holds.HoldListed) -> str:
    """Why whoever looks, though an authority, may not release this hold; nothing where they may."""
    row, me = shown.row, access.person().id
    one = Hold(
        row["id"], shown.on, row["cause"], row["reason"], row["placed_at"], row["placed_by_id"], row["done_by_id"]
    )
    return " ".join(reason.message for reason in reasons_not_to_release(one, me, NEVER))


@bp.get("/waiting")
def waiting() -> Response:
    """Holds, discrepancies and rechecks that need an answer."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        listed = holds.waiting(db, at)
    return render("holds/waiting.html", waiting=listed)
