"""Impacts: what something found bad was used for, line by line; and the same batch of an impact or a hold."""

from flask import Blueprint, Response

from registry import access
from registry.domain.impacts import ANSWERS, KINDS
from registry.domain.people import May
from registry.domain.times import CLOCK_LEAD, stamp
from registry.queries import impacts
from registry.queries.holds import hold_shown
from registry.queries.same_batch import batch_listed
from registry.web.page import known_by_id, render

bp = Blueprint("impacts", __name__)
MOST = 200


@bp.get("/impacts")
def every() -> Response:
    """Every impact, the newest first."""
    with access.instance().database.reading() as db:
        listed = impacts.impacts_listed(db, _now(), most=MOST)
    return render("impacts/impacts.html", impacts=listed, say_change=impacts.say_change)


@bp.get("/impacts/<impact>")
def one(impact: str) -> Response:
    """One impact: every line, worst first, each with its answer or the way to it."""
    page = known_by_id(impact, lambda db: impacts.impact_page(db, impact, _now()))
    return render("impacts/impact.html", page=page, answers=ANSWERS, kinds=KINDS, may_answer=_may_answer())


@bp.get("/impacts/<impact>/batch")
def batch(impact: str) -> Response:
    """Halves that share something with what was found bad."""
    page = known_by_id(impact, lambda db: impacts.impact_page(db, impact, _now()))
    with access.instance().database.reading() as db:
        listed = batch_listed(db, "impact", impact, _now())
    return render("impacts/batch.html", of=page.subject, source="impact", id=impact, halves=listed)


@bp.get("/holds/<hold_id>/batch")
def batch_of_hold(hold_id: str) -> Response:
    """Halves that share something with what is on hold."""
    shown = known_by_id(hold_id, lambda db: hold_shown(db, hold_id, _now()))
    with access.instance().database.reading() as db:
        listed = batch_listed(db, "hold", hold_id, _now())
    return render("impacts/batch.html", of=shown.on, source="hold", id=hold_id, halves=listed)


def _now() -> str:
    return stamp(access.now() + CLOCK_LEAD)


def _may_answer() -> bool:
    return bool(May.ASSESS & access.person().roles)
