"""Deliveries and their cartons."""

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found
from registry.domain.times import stamp
from registry.queries import deliveries


@bp.get("/deliveries")
def every_delivery() -> Response:
    """Every delivery, newest first, with how many cartons are entered and inspected."""
    with access.instance().database.reading() as db:
        return jsonify(deliveries.deliveries_told(db))


@bp.get("/deliveries/<ref>")
def delivery(ref: str) -> Response:
    """One delivery with every carton: as it came in, its half and partner, how far it is unpacked, what comes next."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        page = deliveries.delivery_page(db, found(db, "delivery", ref, at), at)
    return jsonify(page.told())
