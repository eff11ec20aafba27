"""ESD sign-offs: choose the station, take the readings, sign; the verdict is worked out."""

from flask import Blueprint, Response, abort, request, url_for

from registry import access
from registry.acts.handling import SignEsd
from registry.acts.references import resolve
from registry.domain.handling import LIMITS, REQUIRED, STATION_KINDS, VALID_H
from registry.domain.texts import is_id
from registry.domain.times import CLOCK_LEAD, stamp
from registry.errors import Reason, Refused
from registry.queries import people
from registry.web.acts import landed, refused_form
from registry.web.page import render
from registry.web.signing import blank, choices_for, enter, posted

bp = Blueprint("handling", __name__)


@bp.get("/esd")
def sign() -> Response:
    """Without a station: choose one, with one's last sign-off. With it: the readings it asks for."""
    ref = request.args.get("station", "")
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        stations = people.stations_listed(db)
        own = people.own_signoff(db, access.person().id, at)
        if not ref:
            return render(
                "handling/choose.html",
                stations=stations,
                own=own,
                at=at,
                kinds=STATION_KINDS,
                hours=VALID_H,
                last=people.signoffs_listed(db, at, 12),
            )
        id_ = resolve(db, "station", ref, at, "station")
    if isinstance(id_, Reason):
        raise Refused(id_)
    choices, size = choices_for(SignEsd)
    form = blank(SignEsd, {"station": id_}, choices, size)
    return render("handling/sign.html", form=form, act=SignEsd, **_about(stations, id_))


@bp.post("/esd")
def signed() -> Response:
    """Enter the readings."""
    choices, _size = choices_for(SignEsd)
    form = posted(SignEsd, choices)
    with access.instance().database.reading() as db:
        stations = people.stations_listed(db)
    try:
        return landed(enter(form))
    except Refused as refused:
        about = _about(stations, form.station.data or "")
        # Without its station the readings cannot be asked for one by one: the act's own form shows everything.
        return refused_form(form, refused, "handling/sign.html" if about else "acts/do.html", **about)


def _about(stations: list, station_id: str) -> dict[str, object]:
    station = next((one for one in stations if one["id"] == station_id), None)
    if station is None:
        return {}
    return {
        "station": station,
        "asked": [(name, LIMITS[name]) for name in REQUIRED[station["kind"]]],
        "kit": station["kind"] == "field_kit",
        "hours": VALID_H,
        "back": url_for("handling.sign"),
    }


@bp.get("/esd/<signoff_id>")
def one(signoff_id: str) -> Response:
    """One sign-off: its verdict, every reading with the limit that was in force."""
    at = stamp(access.now() + CLOCK_LEAD)
    with access.instance().database.reading() as db:
        shown = people.signoff_shown(db, signoff_id, at) if is_id(signoff_id) else None
    if shown is None:
        abort(404)
    return render(
        "handling/signoff.html",
        signoff=shown[0],
        readings=shown[1],
        limits=LIMITS,
        at=at,
        mine=shown[0]["person_id"] == access.person().id,
    )
