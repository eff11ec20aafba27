"""Missions: every one, and one with everything it rode on."""

import sqlalchemy as sa
from flask import Blueprint, Response, request

from registry import access
from registry.domain.fit import VERDICTS
from registry.domain.fleet import USES
from registry.output.mission_packs import mission_pack
from registry.output.sheets import Question
from registry.queries import missions
from registry.queries.mission_acts import acts_of_mission
from registry.web.fleet import found
from registry.web.page import moment, not_known_then, render
from registry.web.papers import printed

bp = Blueprint("missions", __name__)
PAGE = 100


@bp.get("/missions")
def every() -> Response:
    """Every mission, the newest first."""
    at, known, past = moment()
    text = request.args.get("skip", "0")
    skip = int(text) if text.isascii() and text.isdigit() and len(text) < 8 else 0
    with access.instance().database.reading() as db:
        listed = missions.missions_listed(db, at, known, skip=skip, most=PAGE + 1)
    return render(
        "missions/missions.html",
        missions=listed[:PAGE],
        more=len(listed) > PAGE,
        skip=skip,
        step=PAGE,
        at=at,
        past=past,
    )


@bp.get("/missions/<ref>")
def one(ref: str) -> Response:
    """One mission: what it rode on bay by bay, findings at sailing, and what throws doubt on it."""
    at, known, past = moment()
    id_ = found("mission", ref, at)
    with access.instance().database.reading() as db:
        page = missions.mission_page(db, id_, at, known)
        acts = acts_of_mission(db, id_)
    if page is None:
        raise not_known_then("mission")
    return render("missions/mission.html", page=page, acts=acts, at=at, past=past, uses=USES, verdicts=VERDICTS)


@bp.get("/missions/<ref>/pack.pdf")
def pack(ref: str) -> Response:
    """The evidence pack of one mission, as PDF."""

    def drawn(db: sa.Connection, id_: str, question: Question, printed_at: str) -> bytes:
        return mission_pack(db, id_, question, printed_at, access.instance().log_key(db))

    return printed("mission", drawn, found("mission", ref, moment()[0]))
