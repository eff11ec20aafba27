"""One mounting check: the verdict, what the poses leave, and the poses themselves."""

from flask import Blueprint, Response

from registry.domain.mounting_checks import VERDICTS
from registry.domain.mountings import ORIENTATIONS
from registry.queries.mounting_checks import mounting_check_page
from registry.web.page import known_by_id, moment, render

bp = Blueprint("mounting_checks", __name__)


@bp.get("/mounting-checks/<check_id>")
def one(check_id: str) -> Response:
    """One check of one stay, and what it says of the entry in force."""
    at, known, past = moment()
    page = known_by_id(check_id, lambda db: mounting_check_page(db, check_id, at, known))
    return render("mounting_checks/check.html", page=page, at=at, past=past, verdicts=VERDICTS, ways=ORIENTATIONS)
