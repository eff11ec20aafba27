"""Impacts: what something found bad was used for, and its same batch."""

from typing import Any

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found, number, plain
from registry.domain.times import stamp
from registry.queries import impacts
from registry.queries.same_batch import batch_listed


@bp.get("/impact")
def every_impact() -> Response:
    """Impacts, the newest first, a hundred at a time: `skip=`."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        return jsonify({"at": at, "impacts": impacts.impacts_listed(db, at, skip=number("skip", 0))})


@bp.get("/impact/<ref>")
def impact(ref: str) -> Response:
    """One impact: its window, every line worst first with its answer, what was dropped, and the same batch."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        id_ = found(db, "impact", ref, at)
        page: Any = impacts.impact_page(db, id_, at)
        batch = batch_listed(db, "impact", id_, at)
    kin = [
        {"half": one.half.code, "shares": plain(one.kin), "answer": plain(one.answer), "hold": plain(one.hold)}
        for one in batch
    ]
    return jsonify({"at": at, **page.told(), "same_batch": kin})
