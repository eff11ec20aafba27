"""Bench marks: the surveyed headings of each site."""

from flask import Blueprint, Response

from registry import access
from registry.domain.norths import NORTHS
from registry.queries import bench_marks
from registry.web.page import moment, render

bp = Blueprint("bench_marks", __name__)


@bp.get("/marks")
def every() -> Response:
    """Every mark with the survey in force, and the surveys before."""
    at, known, past = moment()
    with access.instance().database.reading() as db:
        listed = bench_marks.marks_listed(db, at, known)
    return render("bench_marks/marks.html", marks=listed, norths=NORTHS, at=at, past=past)
