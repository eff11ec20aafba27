"""Factory calibrations: one certificate as it was entered."""

from flask import Blueprint, Response, abort

from registry import access
from registry.domain.calibrations import say_uncertainty
from registry.domain.texts import is_id
from registry.queries import calibrations
from registry.web.page import render

bp = Blueprint("calibrations", __name__)


@bp.get("/calibrations/<calibration_id>")
def one(calibration_id: str) -> Response:
    """One certificate: results as found and as left, uncertainty, standards, the file."""
    if not is_id(calibration_id):
        abort(404)
    with access.instance().database.reading() as db:
        page = calibrations.calibration_page(db, calibration_id)
    if page is None:
        abort(404)
    return render("calibrations/calibration.html", page=page, say_uncertainty=say_uncertainty)
