"""Factory calibrations: one certificate as it was entered."""

from flask import Blueprint, Response

from registry.domain.calibrations import say_uncertainty
from registry.queries import calibrations
from registry.web.page import known_by_id, render

bp = Blueprint("calibrations", __name__)


@bp.get("/calibrations/<calibration_id>")
def one(calibration_id: str) -> Response:
    """One certificate: results as found and as left, uncertainty, standards, the file."""
    page = known_by_id(calibration_id, lambda db: calibrations.calibration_page(db, calibration_id))
    return render("calibrations/calibration.html", page=page, say_uncertainty=say_uncertainty)
