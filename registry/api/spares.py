"""Spares of a bay, spares for a voyage, and the plan of fewest openings."""

from flask import Response, jsonify, request

from registry import access, planner
from registry.api.asking import bp, found, moment, plain
from registry.domain.sailings import Sailing, read_sailing
from registry.errors import Reason, Refused
from registry.queries import spares
from registry.queries.voyages import voyage


@bp.get("/bays/<ref>/spares")
def bay_spares(ref: str) -> Response:
    """Every free pair as a spare of this bay, best first: what it still needs, where it lies; and the bay’s swap kit."""
    at, known = moment()
    with access.instance().database.reading() as db:
        one = spares.bay_spares(db, found(db, "bay", ref, at), at, known)
    if one is None:
        raise Refused(Reason("not_found", "That bay was not known then.", "ref", "Ask for a later instant."))
    return jsonify({"at": at, **one.told()})


@bp.get("/spares")
def voyage_spares() -> Response:
    """For sailings (`sailing=`, many): which bays have no ready spare aboard, and what falls due on the way."""
    at, known = moment()
    with access.instance().database.reading() as db:
        listed = voyage(db, planner.looked_up(db, _sailings(), at), at, known)
    return jsonify({"at": at, "vehicles": [one.told() for one in listed]})


@bp.get("/fewest-openings")
def fewest_openings() -> Response:
    """For sailings (`sailing=`, many): the plan that makes most vehicles fit with the fewest openings and hours. A proposal."""
    at, known = moment()
    accept = request.args.get("accept_care") == "yes"
    plan = planner.planned(access.instance().database, _sailings(), at, known, accept_care=accept)
    return jsonify({"at": at, **plain(plan.told())})


def _sailings() -> list[Sailing]:
    try:
        return [read_sailing(text) for text in request.args.getlist("sailing") if text.strip()]
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), "sailing", "Write it as told, and ask again.")) from None
