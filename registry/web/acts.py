"""Every act has a page: its form, made from the act; what it refuses, beside the fields; where one lands after it."""

from typing import Any

from flask import Blueprint, Response, abort, flash, redirect, request, url_for
from wtforms import FieldList

from registry import access
from registry.acts.act import Act, Deed
from registry.acts.catalogue import ACTS
from registry.acts.door import Done
from registry.domain.people import name_roles
from registry.domain.times import say
from registry.errors import Reason, Refused
from registry.under_way import UnderWay, of
from registry.web import landing
from registry.web.before import before
from registry.web.forms import ActForm, form_for
from registry.web.page import render
from registry.web.signing import anew, blank, choices_for, enter, posted
from registry.web.uploads import take_in

#: A page that shows how far something is asks again so often.
LOOK_AGAIN_S = 2
_ROWS = [str(number) for number in range(60)]
bp = Blueprint("acts", __name__)
#: Done once, when the registry is made; never by a page.
_NOT_BY_PAGE = {"found_outfit"}
#: The features in the order people meet them, with the words of the index.
FEATURES = {
    "missions": "Missions", "deliveries": "Deliveries", "unboxing": "Unboxing", "installs": "Install, remove, swap", "second_checks": "A second person’s check", "handling": "ESD handling", "station_checks": "Checks of stations", "meters": "Meters", "swap_kits": "Swap kits", "plans": "The plan", "holds": "Holds", "impacts": "Impacts", "same_batch": "The same batch", "acceptances": "Acceptance by name", "sightings": "Sightings", "audits": "Audits", "audit_sightings": "Sightings in an audit", "openings": "Housings and knocks",
    "mountings": "Mountings and lever arms", "mounting_checks": "Mounting checks", "axis_checks": "Axis and sign checks", "alignments": "Alignments", "dvl_runs": "DVL runs", "carried_alignments": "Alignments after a swap",
    "settings": "Settings sheets and loads", "readbacks": "Read-backs", "closing_sheets": "Closing sheets", "type_settings": "Ports and firmware of types",
    "verifications": "Verification", "intervals": "Intervals", "calibrations": "Factory calibration", "bench_marks": "Bench marks", "moves": "Moves", "repairs": "To repair and back", "loans": "Loans", "crossings": "Border crossings", "pairings": "Pairs", "units": "Halves", "outcomes": "Outcomes of removals",
    "types": "Unit types", "fleet": "Vehicles and bays", "contracts": "Contracts", "sites": "Sites and stations", "attachments": "Files",
    "people": "People", "amendments": "Amending", "amended_bays": "Amending", "amended_people": "Amending", "amended_missions": "Amending", "withdrawals": "Amending",
}  # fmt: skip


@bp.get("/acts")
def index() -> Response:
    """Every act, by feature, with who may do it."""
    listed = {
        words: [
            (cls, bool(cls.may & access.person().roles), name_roles(cls.may))
            for cls in ACTS.values()
            if FEATURES.get(cls.feature) == words and cls.name not in _NOT_BY_PAGE
        ]
        for words in dict.fromkeys(FEATURES.values())
    }
    return render("acts/index.html", listed=listed)


@bp.get("/act/<name>")
def do(name: str) -> Response:
    """The form of one act, with what the address says filled in."""
    cls = _act(name)
    choices, size = choices_for(cls)
    return _page(blank(cls, _given(cls), choices, size))


@bp.post("/act/<name>")
def done(name: str) -> Response:
    """Enter the act, or show it again with every reason."""
    cls = _act(name)
    choices, _size = choices_for(cls)
    form = posted(cls, choices)
    try:
        entered = enter(form)
    except Refused as refused:
        return refused_form(form, refused)
    return landed(entered)


@bp.get("/act/<name>/<act_id>")
def under_way(name: str, act_id: str) -> Response:
    """How far an act is whose long work runs; once that is done, on to what it made, or its form with every reason."""
    cls, one = _act(name), of(act_id, access.person().id)
    if one and one.done:
        return landed(one.done)
    if one and one.refused:
        choices, _size = choices_for(cls)
        form = posted(cls, choices, one.typed)
        take_in(form)  # the files kept when it was sent stay with it
        return refused_form(form, one.refused)
    if one is None:
        raise Refused(_not_under_way())
    response = render("acts/under_way.html", act=cls, job=one.job)
    response.headers["Refresh"] = str(LOOK_AGAIN_S)
    return response


def _not_under_way() -> Reason:
    told = "No act of yours is being worked out under this address: it was entered long since, or the server was started anew before it was done."
    return Reason("not_found", told, next="Look in the log whether it was entered; if not, enter it again.")


def landed(entered: Done | UnderWay) -> Response:
    """On to the page of what the act was about, telling that it is in the log; or to how far it is."""
    if isinstance(entered, UnderWay):
        where = url_for("acts.under_way", name=entered.sent["act"], act_id=entered.sent["id"])
        return redirect(where, 303)  # type: ignore[return-value]
    entry = entered.entry
    again = " It was there already." if entered.again else ""
    flash(f"In the log as entry {entry.seq:,}: {ACTS[entry.act].says.lower()}, {say(entry.at)}.{again}")
    # The page of a sign-off tells every reading itself.
    remarks = [] if entry.act == "sign_esd" else entered.remarks
    for remark in [*remarks, *(f"Out of order: {r['message']}" for r in entry.out_of_order())]:
        flash(remark)
    return redirect(landing.after(entry), 303)  # type: ignore[return-value]


def refused_form(form: ActForm, refused: Refused, template: str = "acts/do.html", **context: Any) -> Response:
    """The form once more: every reason beside its field and once on top, everything typed kept."""
    rest = form.show(refused.reasons)
    anew(form, refused)
    overridable = (
        isinstance(form.act_cls, type)
        and issubclass(form.act_cls, Deed)
        and any(r.overridable for r in refused.reasons)
    )
    return _page(form, refused.status, template, reasons=refused.reasons, rest=rest, overridable=overridable, **context)


def _page(form: ActForm, status: int = 200, template: str = "acts/do.html", **context: Any) -> Response:
    cls = form.act_cls
    allowed = bool(cls.may & access.person().roles) or issubclass(cls, Deed)
    told = before(form)
    return render(
        template, status, form=form, act=cls, allowed=allowed, who=name_roles(cls.may), before=told, **context
    )


def _act(name: str) -> type[Act]:
    cls = ACTS.get(name)
    if cls is None or name in _NOT_BY_PAGE:
        abort(404)
    return cls


def _given(cls: type[Act]) -> dict[str, Any]:
    """Fields named in the address, `list-0-field` for the rows of a list. The rest of the address is not looked at."""
    given: dict[str, Any] = {}
    rowed = {
        name
        for name in cls.model_fields
        if getattr(getattr(form_for(cls), name, None), "field_class", None) is FieldList
    }
    for name, value in request.args.items():
        outer, _, rest = name.partition("-")
        number, _, inner = rest.partition("-")
        if outer not in cls.model_fields or len(value) > 1000:
            continue
        rows = given.setdefault(outer, []) if inner and number in _ROWS and outer in rowed else None
        if isinstance(rows, list):
            rows += [{} for _ in range(int(number) + 1 - len(rows))]
            rows[int(number)][inner] = value
        elif not rest and not isinstance(given.get(outer), list):
            given[outer] = value
    return given
