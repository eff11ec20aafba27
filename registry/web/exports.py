"""Taking the record out: which tables and how, and the file."""

from flask import Blueprint, Response, request

from registry import access, exporting
from registry.domain.exports import FORMATS
from registry.domain.people import May, name_roles
from registry.errors import Refused
from registry.queries import exports
from registry.web.page import render

bp = Blueprint("exports", __name__)


@bp.get("/export")
def choose() -> Response:
    """Tables to tick, and in which form."""
    return _page()


@bp.post("/export")
def written_out() -> Response:
    """The file; what cannot be had comes back with why."""
    told, database = request.form, access.instance().database
    try:
        made = exporting.export(
            database,
            access.person(),
            told.get("format", ""),
            told.getlist("table"),
            bool(told.get("names")),
            access.now(),
        )
    except Refused as refused:
        return _page(refused)
    response = Response(made.chunks, mimetype=made.media_type)
    response.headers["Content-Disposition"] = f'attachment; filename="{made.name}"'
    return response


def _page(refused: Refused | None = None) -> Response:
    with access.instance().database.reading() as db:
        counts = exports.counts(db)
    return render(
        "exports/export.html",
        refused.status if refused else 200,
        counts=counts,
        formats=FORMATS,
        told=request.form,
        may=bool(access.person().roles & May.EXPORT),
        who=name_roles(May.EXPORT),
        reasons=refused.reasons if refused else [],
    )
