"""People, sites and stations."""

from flask import Blueprint, Response, flash, redirect, request, session, url_for

from registry import access, accounts, passwords
from registry.domain.fleet import SITE_KINDS
from registry.domain.handling import STATION_KINDS
from registry.domain.people import ROLES, TRAINING, May
from registry.domain.texts import is_id
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.queries import people
from registry.web.page import render

bp = Blueprint("people", __name__)


@bp.get("/people")
def everybody() -> Response:
    """Everybody, with roles and training."""
    return _people()


@bp.post("/people/secret")
def set_secret() -> Response:
    """A keeper gives somebody a first, or another, password or PIN."""
    who, kind, secret = (request.form.get(name, "") for name in ("person", "kind", "secret"))
    if not access.person().roles & May.KEEP:
        raise Refused(
            Reason(
                "not_allowed",
                "Only a keeper sets somebody else’s password or PIN.",
                next="Ask a keeper, or change your own on your own page.",
            )
        )
    try:
        with access.instance().database.reading() as db:
            known = accounts.person_now(db, who, access.now()) if is_id(who) else None
        if known is None or kind not in ("password", "pin"):
            raise Refused(
                Reason("wrong_form", "Choose who it is for and what it is.", next="Choose both and send it again.")
            )
        me = access.person()
        keep = session.get("key") if who == me.id else None
        told: dict[passwords.Secret, str] = {kind: secret}  # type: ignore[dict-item]
        passwords.set_secrets(access.instance().database, who, told, access.now(), by=me.id, keep=keep)
    except Refused as refused:
        return _people(refused)
    flash(f"{known.name} has a new {'PIN' if kind == 'pin' else 'password'} from now on.")
    return redirect(url_for("people.everybody"), 303)  # type: ignore[return-value]


def _people(refused: Refused | None = None) -> Response:
    with access.instance().database.reading() as db:
        listed = people.people_listed(db, stamp(access.now()))
    keeper = bool(access.person().roles & May.KEEP)
    return render(
        "people/people.html",
        refused.status if refused else 200,
        people=listed,
        roles=ROLES,
        subjects=TRAINING,
        keeper=keeper,
        reasons=refused.reasons if refused else [],
    )


@bp.get("/sites")
def sites() -> Response:
    """Sites with their ESD stations."""
    with access.instance().database.reading() as db:
        listed, stations = people.sites_listed(db), people.stations_listed(db)
    return render(
        "people/sites.html", sites=listed, stations=stations, site_kinds=SITE_KINDS, station_kinds=STATION_KINDS
    )
