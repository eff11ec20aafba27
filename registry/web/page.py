"""What every page has: the outfit, the person, the log's size and root, signs, times, and the pages for what goes wrong."""

import base64
from collections.abc import Callable
from typing import Any, TypeVar

import sqlalchemy as sa
from flask import Flask, Response, abort, g, make_response, render_template, request, session
from markupsafe import Markup
from werkzeug.exceptions import HTTPException

from registry import access
from registry.acts import log as acts_log
from registry.acts.catalogue import ACTS
from registry.domain.alignments import say_state
from registry.domain.attachments import MOST_FILES, PURPOSES, say_size
from registry.domain.cautions import CAUTIONS, DEFERRAL
from registry.domain.codes import say_code
from registry.domain.fit_use import ASKED
from registry.domain.freshness import say_age, say_rest, say_scan
from registry.domain.mountings import say_angle, say_length, say_signed, say_thousandths
from registry.domain.people import name_roles
from registry.domain.settings import say_checksum
from registry.domain.texts import is_id, shown
from registry.domain.times import (
    CLOCK_LEAD,
    as_datetime,
    read_day,
    read_instant,
    say,
    say_day,
    say_offset,
    say_short,
    stamp,
)
from registry.errors import Offer, Reason, Refused
from registry.importing import Imports
from registry.models.seeks import EVER
from registry.output.discs import disc, sprite, symbol_name
from registry.problems import problem
from registry.queries import log as log_queries
from registry.web import landing
from registry.web.forms import attributes

T = TypeVar("T")
#: What an address may ask of a page; when it cannot be, the form comes back as it was typed.
TURNING = frozenset({"at", "known_on", "from", "to", "use"})


def render(template: str, status: int = 200, **context: Any) -> Response:
    """A page. The signs it used are drawn once, at its end."""
    return make_response(render_template(template, **context), status)


def moment() -> tuple[str, int, bool]:
    """(`at`, `known`, whether this is a past page), from the page's own question: `at=` turns it to an instant,
    `known_on=` to what was known when a day ended."""
    at, known = stamp(access.now()), EVER
    told = past_query()
    asked, day = told.get("at", ""), told.get("known_on", "")
    if asked:
        at = instant_of(asked, "at")
        if at > stamp(access.now() + CLOCK_LEAD):
            raise Refused(_still_to_come(at))
    if day:
        with access.instance().database.reading() as db:
            known = log_queries.size_on(db, day_of(day, "known_on"))
    return at, known, bool(asked or day)


def _still_to_come(at: str) -> Reason:
    told = f"{say(at)} is still to come: a page shows what is on record by now, or was at an instant in the past."
    return Reason(
        "wrong_form",
        told,
        "at",
        "To ask about days ahead, name a voyage on the fleet page: its first and its last day.",
    )


def known_by_id(id_: str, ask: Callable[[sa.Connection], T | None]) -> T:
    """What a query tells of the thing with this id; nothing has it: not found."""
    found = None
    if is_id(id_):
        with access.instance().database.reading() as db:
            found = ask(db)
    if found is None:
        abort(404)
    return found


def not_known_then(what: str) -> Refused:
    """The refusal of a page that is turned to a time at which the thing was not in the record."""
    return Refused(Reason("not_found", f"That {what} was not known then.", next="Look at it as it stands now."))


def instant_of(text: str, field: str) -> str:
    """A stamp from what a date-time field sends (UTC), from a day, or from RFC 3339."""
    text = text.strip()
    if "Z" not in text and "+" not in text[10:]:
        text = {10: f"{text}T00:00:00Z", 16: f"{text}:00Z", 19: f"{text}Z"}.get(len(text), text)
    try:
        return stamp(read_instant(text))
    except ValueError as problem:
        raise Refused(
            Reason("wrong_form", str(problem), field, "A day and time in UTC is written like 2026-05-04T09:12.")
        ) from None


def day_of(text: str, field: str) -> str:
    try:
        return read_day(text.strip())
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), field, "A day is written like 2026-05-04.")) from None


def register(app: Flask) -> None:
    app.context_processor(_context)
    app.jinja_env.globals.update(
        disc=_disc,
        act_url=act_url,
        path_to=landing.path_to,
        acts=ACTS,
        past_query=past_query,
        cautions=_cautions,
        attributes=attributes,
        way=_way,
        most_files=MOST_FILES,
        purposes=PURPOSES,
        say_angle=say_angle,
        say_scan=say_scan,
        say_thousandths=say_thousandths,
        say_length=say_length,
        say_signed=say_signed,
        say_state=say_state,
        say_checksum=say_checksum,
    )
    app.jinja_env.filters.update(
        figure=say_figure, chance=say_chance, code=say_code, said=say, day=say_day, short=say_short, clock=_clock, number="{:,}".format,
        east=say_offset, shown=shown, size=say_size, age=say_age, rest=say_rest,
        extract=lambda key, words: words[key], first_paragraph=lambda text: " ".join(text.strip().split("\n\n")[0].split()),
    )  # fmt: skip
    app.register_error_handler(Refused, refused_page)
    app.register_error_handler(HTTPException, _http_problem)
    app.register_error_handler(sa.exc.OperationalError, _database_away)


def _context() -> dict[str, Any]:
    """Asked of the database once a page: outfit, log size and root."""
    with access.instance().database.reading() as db:
        outfit, head = log_queries.outfit_shown(db), acts_log.head(db)
        root = base64.b64encode(acts_log.root(db, head.size)).decode()
    return {
        "outfit": outfit, "me": g.get("person"), "log_size": head.size, "log_root": root, "light": session.get("light", ""),
        "now_stamp": stamp(access.now()), "sprite": lambda: sprite(g.get("signs", set())), "bare": False, "past": False,
        "entering": Imports(access.instance()).window(), "file_limit": say_size(access.instance().files.most_bytes),
    }  # fmt: skip


def _disc(name: str, px: int = 24, alone: bool = False) -> Markup:
    use_sign(symbol_name(name, px))
    return disc(name, px, alone=alone)


def use_sign(*names: str) -> None:
    """Draw these symbols on this page."""
    if "signs" not in g:
        g.signs = set()
    g.signs.update(names)


def act_url(offer: Offer | str, **fields: str) -> str:
    """Where an act is done: its own page, with what is known filled in."""
    if isinstance(offer, Offer):
        offer, fields = offer.act, {name: str(value) for name, value in offer.fields.items()}
    return landing.act_page(offer, fields)


def _cautions(act: str) -> Markup:
    """How not to be hurt at this act, where it matters."""
    return Markup(render_template("parts/cautions.html", cautions=CAUTIONS.get(act, ()), deferral=DEFERRAL))


def _way(
    offer: Offer | str, words: str = "", css: str = "act second", *, or_who: bool = False, **fields: str
) -> Markup:
    """The way to an act, for those who may do it; for others who may, when it is an offer or `or_who` asks for it."""
    name = offer.act if isinstance(offer, Offer) else offer
    words = words or (offer.label if isinstance(offer, Offer) else ACTS[name].says)
    cls = ACTS[name]
    if past_query():
        return Markup("")  # nothing can be done on a past page
    if cls.may & access.person().roles:
        return Markup('<a class="{}" href="{}">{}</a>').format(css, act_url(offer, **fields), words)
    if isinstance(offer, Offer) or or_who:
        return Markup('<p class="soft small">{}: {} may.</p>').format(words, name_roles(cls.may))
    return Markup("")


def past_query() -> dict[str, str]:
    """What keeps links on a past page in the past."""
    return {name: request.args[name].strip() for name in ("at", "known_on") if request.args.get(name, "").strip()}


def say_figure(text: str | None) -> str:
    """A computed figure as people read it: what says something and no power of ten; a dash for none."""
    if text is None:
        return "—"
    value = float(text)
    digits = 4 if abs(value) >= 1 else 3 if abs(value) >= 0.1 else 6
    return f"{value:.{digits}f}".rstrip("0").rstrip(".").replace("-", "−")


def say_chance(text: str) -> str:
    """A probability in percent, never as certain as no measurement is."""
    percent = 100 * float(text)
    return "over 99.9 %" if percent > 99.9 else "under 0.1 %" if percent < 0.1 else f"{percent:.1f} %"


def _clock(text: str, offset: int = 0) -> str:
    return as_datetime(text, offset).strftime("%H:%M")


def refused_page(refused: Refused) -> Response:
    """The page of a refusal that no form shows itself."""
    if request.blueprint == "api" or request.path.startswith("/api/"):
        return problem(refused)
    turning = request.method == "GET" and refused.reasons[0].field in TURNING
    return render("refused.html", refused.status, reasons=refused.reasons, turning=turning, uses_asked=ASKED)


def _http_problem(problem: HTTPException) -> Response:
    code = {
        404: "not_found",
        405: "wrong_method",
        413: "too_large",
        401: "not_signed_in",
        403: "not_allowed",
        500: "failed",
    }.get(problem.code or 500)
    told = {
        404: ("Nothing is at this address.", "Look for it in the index, or scan its label."),
        405: ("This address does not take that.", "Go back and use the page’s own buttons."),
        413: ("This is larger than anything the registry takes.", "Send less at once."),
        401: ("This needs somebody who is signed in.", "Sign in and try again."),
        403: ("This is not yours to do.", "Ask a keeper."),
        500: (
            "The registry failed at this, by a fault of its own.",
            "Look in the log whether it was entered before you do it again, and tell the keeper what you did.",
        ),
    }.get(problem.code or 500, (str(problem.description or "The request cannot be read."), "Go back and try again."))
    if isinstance(problem, access.CSRFError):
        code, told = (
            "foreign_page",
            (
                "The form’s token is missing or old: it was opened before you signed in, or by somebody else.",
                "Open the page again. What you typed was not sent on.",
            ),
        )
    return refused_page(_Told(Reason(code or "wrong_form", told[0], next=told[1]), problem.code or 500))


class _Told(Refused):
    """A refusal with the status HTTP gave it."""

    def __init__(self, reason: Reason, status: int):
        super().__init__(reason)
        self._status = status

    @property
    def status(self) -> int:
        return self._status


def _database_away(_problem: Exception) -> Response:
    return refused_page(
        Refused(
            Reason(
                "busy",
                "A spreadsheet is being carried over, and nobody else can enter anything until it is."
                if Imports(access.instance()).window()
                else "The database does not answer.",
                next="Nothing was written. Try again in a minute; if it stays so, tell the keeper.",
            )
        )
    )
