"""ESD sign-offs: choose the station, take the readings, sign; the verdict is worked out. Stations with their checks."""

from typing import Any

from flask import Blueprint, Response, request, url_for

from registry import access
from registry.acts.handling import SignEsd
from registry.acts.readings import open_name
from registry.acts.references import resolve
from registry.domain.handling import ASKED, IN_PLACE_OF_STRAP, OPEN_HULL_PLAN, STATION_KINDS
from registry.domain.plans import Plan
from registry.domain.readings import QUANTITIES, limit_of
from registry.domain.times import CLOCK_LEAD, stamp
from registry.errors import Reason, Refused
from registry.models.plans import plan_at
from registry.queries import handling, people
from registry.web.acts import landed, refused_form
from registry.web.fleet import found
from registry.web.page import known_by_id, render
from registry.web.signing import blank, choices_for, enter, posted

bp = Blueprint("handling", __name__)


@bp.get("/esd")
def sign() -> Response:
    """Without a station: choose one, with one's last sign-off. With it: the readings it asks for."""
    ref = request.args.get("station", "")
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        if not ref:
            return _choose(db, at)
        id_ = resolve(db, "station", ref, at, "station")
        if isinstance(id_, Reason):
            raise Refused(id_)
        about, meters = _about(db, id_, at), handling.meters_last_used(db, id_)
    choices, size = choices_for(SignEsd)
    # What was read with the same meters yesterday mostly is today: one look in place of typing.
    form = blank(SignEsd, {"station": id_, "meters": "\n".join(meters)}, choices, size)
    return render("handling/sign.html", form=form, act=SignEsd, **about)


@bp.post("/esd")
def signed() -> Response:
    """Enter the readings."""
    choices, _size = choices_for(SignEsd)
    form = posted(SignEsd, choices)
    try:
        return landed(enter(form))
    except Refused as refused:
        station_id = form.station.data or ""
        with access.instance().database.reading() as db:
            known = {one["id"] for one in people.stations_listed(db)}
            about = _about(db, station_id, stamp(access.now())) if station_id in known else {}
        # Without its station the readings cannot be asked for one by one: the act's own form shows everything.
        return refused_form(form, refused, "handling/sign.html" if about else "acts/do.html", **about)


def _choose(db: Any, at: str) -> Response:
    return render(
        "handling/choose.html",
        stations=people.stations_listed(db),
        checks=handling.checks_standing(db, at),
        own=handling.own_signoff(db, access.person().id, at),
        at=at,
        kinds=STATION_KINDS,
        hours=plan_at(db, None, at).count("signoff_holds_h"),
        last=handling.signoffs_listed(db, at, 12),
    )


def _about(db: Any, station_id: str, at: str) -> dict[str, Any]:
    """What the page of the readings tells of a station: its readings with their limits, and its last check."""
    page = handling.station_page(db, station_id, at, 1)
    plan = plan_at(db, page.row["site_id"], at)
    return {
        "station": page.row,
        "check": page.check,
        "asked": [(name, limit_of(name, plan), open_name(name)) for name in _asked(page.row["kind"], plan)],
        "kit": page.row["kind"] == "field_kit",
        "steps": OPEN_HULL_PLAN,
        "hours": plan.count("signoff_holds_h"),
        "back": url_for("handling.sign"),
    }


def _asked(kind: str, plan: Plan) -> list[str]:
    """The readings of such a station; what may stand in for the strap only where the plan lets it."""
    return [name for name in ASKED[kind] if name not in IN_PLACE_OF_STRAP or plan.allows(IN_PLACE_OF_STRAP[name])]


@bp.get("/esd/<signoff_id>")
def one(signoff_id: str) -> Response:
    """One sign-off: its verdict, every reading with the limit that was in force."""
    at = stamp(access.now() + CLOCK_LEAD)
    page = known_by_id(signoff_id, lambda db: handling.signoff_page(db, signoff_id, at))
    mine = page.row["person_id"] == access.person().id
    return render("handling/signoff.html", page=page, quantities=QUANTITIES, at=at, mine=mine)


@bp.get("/stations/<ref>")
def station(ref: str) -> Response:
    """One station: its last check and whether it still speaks, the checks before, who signed there."""
    at = stamp(access.now())
    id_ = found("station", ref, at)
    with access.instance().database.reading() as db:
        page = handling.station_page(db, id_, at)
    steps = OPEN_HULL_PLAN if page.row["kind"] == "field_kit" else ()
    return render("handling/station.html", page=page, kinds=STATION_KINDS, quantities=QUANTITIES, at=at, steps=steps)
