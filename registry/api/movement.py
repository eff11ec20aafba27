"""What is lent, at repair, or about to cross a border."""

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, moment
from registry.queries.movement import movements


@bp.get("/movements")
def out_of_the_house() -> Response:
    """Loans with their day of return, halves at repair, planned crossings. Flags of a crossing are a reminder only."""
    at, known = moment()
    with access.instance().database.reading() as db:
        return jsonify({"at": at, **movements(db, at, known).told()})
