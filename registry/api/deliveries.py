"""Deliveries and their cartons."""

from typing import Any

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found, plain
from registry.domain.times import stamp
from registry.queries import deliveries
from registry.queries.deliveries import CartonShown


@bp.get("/deliveries")
def every_delivery() -> Response:
    """Every delivery, newest first, with how many cartons are entered and inspected."""
    with access.instance().database.reading() as db:
        listed = [dict(row) for row in deliveries.deliveries_listed(db)]
    return jsonify({"deliveries": listed})


@bp.get("/deliveries/<ref>")
def delivery(ref: str) -> Response:
    """One delivery with every carton: as it came in, its half and partner, how far it is unpacked, what comes next."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        page = deliveries.delivery_page(db, found(db, "delivery", ref, at), at)
    return jsonify({**dict(page.row), "missing": page.missing, "contents": [_told(one) for one in page.cartons]})


def _told(one: CartonShown) -> dict[str, Any]:
    return {
        **dict(one.row),
        "state": one.carton.state(),
        "half": plain(one.half),
        "partner": plain(one.mate),
        "lines": [dict(line) for line in one.lines],
        "next": one.next.act if one.next else None,
    }
