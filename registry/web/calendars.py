"""The calendar of due days: read by programs that know its secret address and bring no cookie; made on one's own page."""

from flask import Blueprint, Response, abort, flash, redirect, request, url_for

from registry import access, calendar_keys, passwords
from registry.acts import log as acts_log
from registry.domain.people import May
from registry.domain.times import stamp
from registry.errors import Refused
from registry.output.calendars import MEDIA_TYPE, as_feed
from registry.queries import log
from registry.queries.calendars import due_days
from registry.web.account import own_page
from registry.web.landing import path_to

bp = Blueprint("calendars", __name__)
_waits = calendar_keys.Waits()


@bp.get("/calendar/<key>.ics")
def feed(key: str) -> Response:
    """Due days, as RFC 5545 tells them. A wrong secret finds nothing here, like any other address."""
    now, whence = access.now(), request.remote_addr or ""
    _waits.refuse_while_waiting(whence, now)
    with access.instance().database.reading() as db:
        whose = calendar_keys.owner(db, key, now)
        if whose is not None:
            days = due_days(db, stamp(now), whose.id, everybody=bool(whose.roles & May.EQUIP))
            head, outfit, name = acts_log.head(db), log.outfit_shown(db), acts_log.origin_line(db)
    if whose is None:
        _waits.count_wrong(whence, now)
        abort(404)
    _waits.forgive(whence)
    told = as_feed(
        days,
        name,
        outfit.name if outfit else "",
        head.recorded_at,
        lambda kind, id_: path_to(kind, id_, _external=True),
    )
    response = Response(told, mimetype=MEDIA_TYPE)
    response.headers["Content-Disposition"] = 'inline; filename="due-days.ics"'
    return response


@bp.post("/me/calendar")
def make() -> Response:
    """A new secret address, shown this once; the one before opens nothing any more."""
    database, who, now = access.instance().database, access.person(), access.now()
    try:
        passwords.check_secret(database, who.id, "password", request.form.get("password_for_calendar", ""), now)
    except Refused as refused:
        return own_page(refused=refused)
    key = calendar_keys.make_key(database, who.id, now)
    return own_page(address=url_for("calendars.feed", key=key, _external=True))


@bp.post("/me/calendar/end")
def end() -> Response:
    """The address opens nothing any more."""
    calendar_keys.end_key(access.instance().database, access.person().id, access.now())
    flash("Your calendar’s address opens nothing any more.")
    return redirect(url_for("account.me"), 303)  # type: ignore[return-value]
