"""Locks of the HTTP doors: who is asking, from which page, and the headers every answer carries.

Deny by default: an endpoint is closed to strangers unless it stands in OPEN. Unsafe requests by session need a form
token and must come from a page of ours; unsafe requests by token carry no cookie and need neither.
"""

from datetime import datetime
from typing import Any, cast
from urllib.parse import urlsplit

from flask import Flask, Response, abort, current_app, g, redirect, request, session, url_for
from flask_wtf.csrf import CSRFError, CSRFProtect

from registry import accounts, photos
from registry.accounts import Person
from registry.acts.attachments import takes_files
from registry.domain.attachments import MOST_FILES
from registry.errors import Reason, Refused
from registry.instance import Instance

SESSION_S = accounts.SESSION_DAYS * 86400
#: The only endpoints a stranger reaches. The calendar is opened by the secret in its address, and by nothing else.
OPEN = frozenset({"static", "account.sign_in", "account.light", "api.openapi", "calendars.feed"})
#: Endpoints that take a picture, and the most bytes of a request to them; every other body stays within the app's limit.
#: Only somebody who is known may send so much.
PICTURES = {"scan.photographed": photos.MOST_BYTES + 64 * 1024, "api.read": photos.MOST_BYTES}
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=()",
}
csrf = CSRFProtect()


def instance() -> Instance:
    return cast(Instance, current_app.extensions["pairbook"])


def now() -> datetime:
    """The instant of this request, read once."""
    if "now" not in g:
        g.now = current_app.extensions["pairbook_clock"]()
    return cast(datetime, g.now)


def dice() -> Any:
    return current_app.extensions["pairbook_dice"]


def person() -> Person:
    """Who is asking. Only endpoints in OPEN may be reached by nobody."""
    found = cast(Person | None, g.get("person"))
    if found is None:
        abort(401)
    return found


def install(app: Flask) -> None:
    csrf.init_app(app)
    app.before_request(_let_in)
    app.after_request(_finish)


def _let_in() -> Response | None:
    g.person, g.by_token = None, False
    if request.endpoint == "static":
        return None
    _recognise()
    _let_pictures_in()
    if g.person is None and request.blueprint == "api" and request.endpoint not in OPEN:
        raise Refused(
            Reason(
                "not_signed_in",
                "This needs a token.",
                next="Send Authorization: Bearer with a token made on your own page.",
            )
        )
    if _brings_files():
        if g.person is None:  # A photo is too much to read from somebody who must sign in anew.
            return cast(Response, redirect(url_for("account.sign_in"), 303))
        request.max_content_length = MOST_FILES * instance().files.most_bytes + current_app.config["MAX_CONTENT_LENGTH"]
    if request.method not in SAFE and not g.by_token:
        _refuse_foreign_page()
        csrf.protect()
    if g.person is None and request.endpoint not in OPEN:
        if request.endpoint is None:
            return None  # nothing is there: the same 404 for everybody
        kept = request.full_path if request.method == "GET" else None
        return cast(Response, redirect(url_for("account.sign_in", next=kept), 303))
    return None


def _let_pictures_in() -> None:
    """Raise the limit where pictures are taken, before anything reads the body; say at once when it is too much."""
    most = PICTURES.get(request.endpoint or "")
    if most is None or g.person is None:
        return
    request.max_content_length = most
    if (request.content_length or 0) > most:
        raise Refused(photos.too_large("photo"))


def _brings_files() -> bool:
    """A form in parts for an act, or a file over JSON: larger than what else is sent, from those who are signed in."""
    if request.endpoint == "acts.done" and request.mimetype == "multipart/form-data":
        return takes_files((request.view_args or {}).get("name", ""))
    return request.endpoint in ("api.send_file", "imports.take", "api.take_import")


def _recognise() -> None:
    """By token when one is sent, else by the session cookie."""
    header = request.headers.get("Authorization", "")
    if header:
        scheme, _, key = header.partition(" ")
        with instance().database.reading() as db:
            g.person = accounts.token_person(db, key.strip(), now()) if scheme.lower() == "bearer" else None
        g.by_token = True
        if g.person is None:
            raise Refused(
                Reason(
                    "not_signed_in",
                    "That token opens nothing: it was ended, or it was copied wrong.",
                    next="Make a new one on your own page.",
                )
            )
    elif key := session.get("key"):
        with instance().database.reading() as db:
            g.person = accounts.session_person(db, key, now())
        if g.person is None:
            session.pop("key", None)


def _refuse_foreign_page() -> None:
    """A form token can be stolen with a page; the browser's own word on where a request comes from cannot."""
    site = request.headers.get("Sec-Fetch-Site")
    origin = request.headers.get("Origin")
    foreign = site not in (None, "same-origin", "none") or (
        origin is not None and urlsplit(origin).netloc != request.host
    )
    if foreign or origin == "null":
        raise Refused(
            Reason(
                "foreign_page",
                "This was sent from a page that is not ours. Nothing was done.",
                next="Open the page here and send it again.",
            )
        )


def _finish(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint != "static":
        response.headers.setdefault("Cache-Control", "no-store")
        response.vary.add("Cookie")
    if instance().settings.https:
        response.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
    return response


__all__ = ["HEADERS", "OPEN", "CSRFError", "csrf", "dice", "install", "instance", "now", "person"]
