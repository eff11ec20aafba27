"""Meters: which there are, until when they are good, and what each one proved."""

from flask import Blueprint, Response

from registry import access
from registry.domain.meters import AS_FOUND
from registry.domain.readings import METER_KINDS
from registry.domain.times import stamp
from registry.queries import meters
from registry.web.fleet import found
from registry.web.page import render

bp = Blueprint("meters", __name__)


@bp.get("/meters")
def every() -> Response:
    """Every meter; those out of use last."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        listed = meters.meters_listed(db, at)
    return render("meters/meters.html", meters=listed, kinds=METER_KINDS, today=at[:10])


@bp.get("/meters/<ref>")
def one(ref: str) -> Response:
    """One meter: its calibrations, and what rests on it."""
    at = stamp(access.now())
    id_ = found("meter", ref, at)
    with access.instance().database.reading() as db:
        page = meters.meter_page(db, id_, at)
    return render("meters/meter.html", page=page, kinds=METER_KINDS, as_found=AS_FOUND, today=at[:10])
