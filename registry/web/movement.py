"""Movements: what is lent, at repair, or about to cross a border."""

from flask import Blueprint, Response

from registry import access
from registry.domain.crossings import REMINDER
from registry.queries.movement import movements
from registry.web.page import moment, render

bp = Blueprint("movement", __name__)


@bp.get("/movements")
def every() -> Response:
    """Loans, halves at repair and planned crossings, now or at a past instant."""
    at, known, past = moment()
    with access.instance().database.reading() as db:
        out = movements(db, at, known)
    return render("movement/movements.html", out=out, at=at, past=past, reminder=REMINDER)
