"""Fit to deploy of one vehicle, at an instant, for a planned voyage and a use."""

from flask import Response, jsonify, request

from registry import access
from registry.api.asking import bp, found, moment
from registry.domain.fit_use import ASKED
from registry.domain.voyages import read_voyage
from registry.errors import Reason, Refused
from registry.queries.fits import fit_record, question_record
from registry.queries.fleet import vehicles_at


@bp.get("/vehicles/<ref>/fit")
def fit(ref: str) -> Response:
    """The findings of a vehicle at `at`, for a voyage `from` `to` (days or instants) and a `use`. A voyage that is over is judged as it began, unless `at` says otherwise."""
    try:
        voyage = read_voyage(request.args.get("from", ""), request.args.get("to", ""))
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), "from", "Send days like 2026-05-15, or instants.")) from None
    use = request.args.get("use") or None
    if use and use not in ASKED:
        told = f"“{use[:40]}” is no use a vehicle is judged for."
        raise Refused(Reason("wrong_form", told, "use", f"Known: {', '.join(ASKED)}."))
    at, known = moment()
    if voyage and voyage.until <= at and not request.args.get("at"):
        at = voyage.since
    with access.instance().database.reading() as db:
        states = vehicles_at(db, at, known, [found(db, "vehicle", ref, at)], voyage=voyage, use=use)
    if not states:
        raise Refused(Reason("not_found", "That vehicle was not known then.", "ref", "Ask for a later instant."))
    return jsonify(question_record(at, request.args.get("known_on"), voyage, use) | fit_record(states[0]))
