"""Pairs and halves."""

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found, moment, plain
from registry.errors import Reason, Refused
from registry.queries import pairings, units


@bp.get("/pairs/<ref>")
def pair(ref: str) -> Response:
    """One pair with both halves, its stays and holds."""
    at, known = moment()
    page = _pair(ref, at, known)
    told = plain(page)
    told.pop("events")
    return jsonify({"at": at, "state": page.disc, **told})


@bp.get("/pairs/<ref>/history")
def pair_history(ref: str) -> Response:
    """What happened to a pair, newest first."""
    at, known = moment()
    page = _pair(ref, at, known)
    return jsonify({"at": at, "pair": page.name, "events": plain(page.events)})


@bp.get("/halves/<ref>")
def half(ref: str) -> Response:
    """One half with its labels, pairs, place and history."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = units.half_page(db, found(db, "half", ref, at), at, known)
    if page is None:
        raise Refused(Reason("not_found", "That half was not known then.", next="Ask for a later instant."))
    return jsonify(
        {
            "at": at,
            **plain(page.half),
            "labels": [dict(row._mapping) for row in page.labels],
            "pairs": plain(page.pairings),
            "history": plain(page.events),
            "files": plain(page.files),
        }
    )


def _pair(ref: str, at: str, known: int) -> pairings.PairPage:
    with access.instance().database.reading() as db:
        page = pairings.pair_page(db, found(db, "pairing", ref, at), at, known)
    if page is None:
        raise Refused(Reason("not_found", "That pair was not known then.", next="Ask for a later instant."))
    return page
