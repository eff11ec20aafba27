"""Missions, and one with everything it rode on."""

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found, moment, number
from registry.errors import Reason, Refused
from registry.queries import missions


@bp.get("/missions")
def every_mission() -> Response:
    """Missions, the newest first, a hundred at a time: `skip=`."""
    at, known = moment()
    with access.instance().database.reading() as db:
        listed = missions.missions_listed(db, at, known, skip=number("skip", 0))
    return jsonify({"at": at, "missions": [{**dict(row), "state": missions.state_of(row)} for row in listed]})


@bp.get("/missions/<ref>")
def mission(ref: str) -> Response:
    """One mission: each bay with the share of each pair, what it rested on, hours with no alignment, findings at sailing."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = missions.mission_page(db, found(db, "mission", ref, at), at, known)
    if page is None:
        raise Refused(Reason("not_found", "That mission was not known then.", "ref", "Ask for a later instant."))
    return jsonify({"at": at, **page.told()})
