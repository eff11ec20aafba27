"""The label of one thing: its code, its address and its QR symbol."""

from flask import Blueprint, Response, abort, make_response

from registry import access
from registry.domain.codes import read_code
from registry.models.lookups import bearer
from registry.output.symbols import qr_png, qr_svg
from registry.queries import log

bp = Blueprint("labels", __name__)


def _host_of(code: str) -> str:
    """The host on our labels, when something bears this code."""
    try:
        code = read_code(code)
    except ValueError:
        abort(404)
    with access.instance().database.reading() as db:
        outfit = log.outfit_shown(db)
        if outfit is None or bearer(db, code) is None:
            abort(404)
    return outfit.label_host


@bp.get("/labels/<code>.svg")
def svg(code: str) -> Response:
    """The QR symbol as SVG."""
    response = make_response(qr_svg(_host_of(code), code))
    response.headers["Content-Type"] = "image/svg+xml"
    return response


@bp.get("/labels/<code>.png")
def png(code: str) -> Response:
    """The QR symbol as PNG."""
    response = make_response(qr_png(_host_of(code), code))
    response.headers["Content-Type"] = "image/png"
    return response
