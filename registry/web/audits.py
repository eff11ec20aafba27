"""Audits: the list, one audit with its big scan field, and the certificate.

What was scanned so far travels in the address, as on the scan line; nothing is kept beside the rows, so that an audit goes
on after a break where it stood, on any device.
"""

from dataclasses import dataclass

from flask import Blueprint, Response, request

from registry import access
from registry.acts.audit_sightings import SightBay, SightShelf
from registry.acts.housings import asked_of_eyes
from registry.domain.audits import ANSWERS, EXPECTED, SCOPES, VERDICTS, say_not_settled, say_outside
from registry.domain.codes import say_code
from registry.domain.second_checks import say_counts
from registry.domain.sightings import say_two_of_a_kind, two_of_a_kind
from registry.domain.times import stamp
from registry.domain.units import KINDS
from registry.errors import Reason, Refused
from registry.models.audit_lines import line_of_bay
from registry.output.audit_sheets import audit_sheet
from registry.output.audits import certificate
from registry.queries import audits
from registry.queries.second_checks import checks_in_audit
from registry.queries.tray import Tray, tray
from registry.web.acts import landed, refused_form
from registry.web.fleet import found
from registry.web.page import render
from registry.web.papers import printed
from registry.web.signing import blank, choices_for, enter, posted
from registry.web.tones import tone_of_tray

bp = Blueprint("audits", __name__, url_prefix="/audits")
WORDS = {"scopes": SCOPES, "verdicts": VERDICTS, "answers": ANSWERS, "expected": EXPECTED}
#: What one bay or one stretch of shelf holds; more is sighted in the next round.
MOST = 40


@bp.get("")
def every() -> Response:
    """Every audit, newest first."""
    with access.instance().database.reading() as db:
        listed = audits.audits_listed(db)
    return render("audits/audits.html", audits=listed, words=WORDS)


@bp.get("/<ref>")
def one(ref: str) -> Response:
    """One audit: scan a bay and what sits in it; how far it is; what differed."""
    id_, at = found("audit", ref, stamp(access.now())), stamp(access.now())
    texts = [text[:1000] for text in [*request.args.getlist("on"), request.args.get("text", "")] if text.strip()][:MOST]
    missing, skip = bool(request.args.get("missing")), _skip()
    with access.instance().database.reading() as db:
        page = audits.audit_page(db, id_, at, access.person().id, skip=skip, missing=missing)
        lying, checked = tray(db, texts, at), checks_in_audit(db, id_, at)
        outside = next((bay for bay in lying.of("bay") if line_of_bay(db, id_, bay.id) is None), None)
        eyes = [] if outside else [told for bay in lying.of("bay")[:1] for told in asked_of_eyes(db, bay.id, at)]
    which = which_of(lying)
    cls, fields = _sighting(page, lying) if not (which or outside) else (None, {})
    words = request.args.get("words", "")[:1000]
    form = blank(cls, {**fields, "audit": id_, "words": words}, {}, 0) if cls else None
    keep = list(dict.fromkeys(thing.keep for thing in lying.things))
    asked = [
        f"{kind}_unread" for kind in KINDS if lying.halves and not fields.get(kind, "-") and not fields["strangers"]
    ]
    return render(
        "audits/audit.html", page=page, tray=lying, keep=keep, form=form, words=WORDS, tone=tone_of_tray(lying), which=which, outside=outside, told_outside=say_outside(outside.name, page.row["reference"]) if outside else "", asked=asked, eyes=eyes, told=words, missing=missing, now=at, per_page=audits.PAGE, checked=say_counts(checked), not_settled=say_not_settled(page.open_ends),
    )  # fmt: skip


@bp.post("/<ref>/sight")
def sight(ref: str) -> Response:
    """Enter what was scanned; back on the page of the audit the next place is named."""
    found("audit", ref, stamp(access.now()))
    cls = SightBay if "bay" in request.form else SightShelf
    choices, _size = choices_for(cls)
    form = posted(cls, choices)
    try:
        entered = enter(form)
    except Refused as refused:
        return refused_form(form, refused)
    return landed(entered)


@bp.get("/<ref>/certificate")
def closed(ref: str) -> Response:
    """The certificate of a closed audit."""
    at = stamp(access.now())
    id_ = found("audit", ref, at)
    with access.instance().database.reading() as db:
        sheet = certificate(db, id_, at)
    if sheet is None:
        told = "That audit is not closed yet: it has no certificate."
        raise Refused(Reason("not_open", told, next="Answer every line, then close it."))
    return render("audits/certificate.html", sheet=sheet, words=WORDS, id=id_)


@bp.get("/<ref>/certificate.pdf")
def sheet(ref: str) -> Response:
    """The certificate of a closed audit, as PDF."""
    return printed("audit", audit_sheet, found("audit", ref, stamp(access.now())))


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to what cannot be sighted together: what is kept on the line, and what goes into the words instead."""

    label: str
    keep: list[str]
    words: str


@dataclass(frozen=True, slots=True)
class Which:
    """What was scanned that does not go together in one bay, as a sentence, and the answers to choose from."""

    told: str
    choices: tuple[Choice, ...]


def which_of(lying: Tray) -> Which | None:
    """The question that scans of one bay leave open: two bays, or two halves of one kind in it. None of them is dropped."""
    if not (bays := {thing.code: thing for thing in lying.of("bay")}):
        return None
    if len(bays) > 1:
        told = f"Two bays were scanned: {' and '.join(one.name for one in bays.values())}. Sight one after the other."
        return Which(told, _choices(lying, {one.id: one.name for one in bays.values()}, "{} only"))
    if not (halves := two_of_a_kind(one.half for one in lying.halves)):
        return None
    bay = next(iter(bays.values()))
    told = f"{say_two_of_a_kind(halves[0].kind, [say_code(one.code) for one in halves])} Which was in {bay.name}?"
    return Which(told, _choices(lying, {one.id: one.say() for one in halves}, "The {} was in it"))


def _choices(lying: Tray, asked: dict[str, str], label: str) -> tuple[Choice, ...]:
    """An answer for each of the things asked about (id -> name); the others are told of in words."""
    found = []
    for id_, name in asked.items():
        others = {other: words for other, words in asked.items() if other != id_}
        keep = list(dict.fromkeys(thing.keep for thing in lying.things if thing.id not in others))
        found.append(Choice(label.format(name), keep, f"Scanned besides: {', '.join(others.values())}."))
    return tuple(found)


def _skip() -> int:
    text = request.args.get("skip", "0")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0


def _sighting(page: audits.AuditPage, lying: Tray) -> tuple[type[SightBay] | type[SightShelf] | None, dict[str, str]]:
    """Which act fits what was scanned, with its fields; none while the place or the halves are still to be scanned."""
    if page.row["closed_at"]:
        return None, {}
    strange = "\n".join(thing.text for thing in lying.of("unknown") if thing.label and thing.label.ok)
    if bays := lying.of("bay"):
        halves = {one.half.kind: one.scan for one in lying.halves}
        fields = {"bay": bays[0].code, "sensor": halves.get("sensor", ""), "electronics": halves.get("electronics", "")}
        empty = {"empty": True} if not (lying.halves or strange) else {}
        return SightBay, {**fields, "strangers": strange, **empty}
    if page.row["scope"] == "site" and (lying.halves or strange):
        return SightShelf, {"halves": "\n".join(one.scan for one in lying.halves), "strangers": strange}
    return None, {}
