"""The swap: go / no-go with the hull shut, lift, seat, sign. Each step is a page of its own and needs no script.

What was scanned so far travels in the address; nothing is written before the last page is signed. An empty bay skips
the lift and becomes an install.
"""

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, redirect, request, url_for

from registry import access
from registry.acts.act import Act
from registry.acts.door import Answer
from registry.acts.installs import InstallPair, RemovePair, SwapPairs
from registry.domain.times import stamp
from registry.errors import Refused
from registry.queries.bays import BayPage, bay_page
from registry.queries.handling import own_signoff
from registry.queries.settings import Held, held_by
from registry.queries.tray import Tray, tray
from registry.web.acts import landed, refused_form
from registry.web.fleet import found
from registry.web.page import render
from registry.web.signing import blank, check, choices_for, enter, posted
from registry.web.tones import NOTHING, STOPS, WHOLE, tone_of_lift, tone_of_seat

bp = Blueprint("swap", __name__, url_prefix="/bays/<bay>/swap")
#: Fields that were scanned on the way here; they are shown again only when something is wrong with them.
SCANNED = frozenset(
    {"bay", "sensor", "electronics", "sensor_in", "electronics_in", "sensor_out", "electronics_out", "seat_follows"}
)
SCANS = ("sensor_in", "electronics_in", "sensor_out", "electronics_out")


_ACTS: dict[str, type[Act]] = {cls.name: cls for cls in (InstallPair, RemovePair, SwapPairs)}


@dataclass(frozen=True)
class Step:
    """A step of the flow: the bay as it is, and what was scanned so far."""

    page: BayPage
    scans: dict[str, str]
    signoff: Any

    @property
    def empty(self) -> bool:
        return self.page.bay.pair is None

    @property
    def into(self) -> tuple[str, str]:
        return self.scans["sensor_in"], self.scans["electronics_in"]

    @property
    def out(self) -> tuple[str, str]:
        return self.scans["sensor_out"], self.scans["electronics_out"]

    def url(self, endpoint: str, **more: str) -> str:
        told = {name: text for name, text in (self.scans | more).items() if text}
        return url_for(f"swap.{endpoint}", bay=self.page.bay.code, **told)


def _step(bay: str) -> Step:
    at = stamp(access.now())
    id_ = found("bay", bay, at)
    with access.instance().database.reading() as db:
        page = bay_page(db, id_, at)
        signoff = own_signoff(db, access.person().id, at)
    assert page is not None
    scans = {name: request.args.get(name, "").strip()[:1000] for name in SCANS}
    return Step(page, scans, signoff)


@bp.get("")
def start(bay: str) -> Response:
    """Go / no-go: the labels of the pair that is to go in, read before the hull is opened."""
    step = _step(bay)
    answer, lying = None, None
    if all(step.into):
        answer = _go_or_not(step)
        lying = _tray(step.into)
    tone = NOTHING if answer is None else STOPS if answer.reasons else WHOLE
    return render(
        "fleet/go.html",
        step=step,
        answer=answer,
        tray=lying,
        tone=tone,
        holds=_holds(step, lying),
        at=stamp(access.now()),
    )


def _holds(step: Step, lying: Tray | None) -> Held | None:
    """What the electronics half that is to go in was loaded with last, wherever that was."""
    half = next((one.half for one in lying.halves if one.half.kind == "electronics"), None) if lying else None
    if half is None:
        return None
    with access.instance().database.reading() as db:
        return held_by(db, half.id, step.page.bay.id, stamp(access.now()))


@bp.get("/lift")
def lift(bay: str) -> Response:
    """Lift: both halves of the outgoing pair, scanned in hand."""
    step = _step(bay)
    if step.empty:
        return redirect(step.url("seat"), 303)  # type: ignore[return-value]
    lying = _tray(step.out) if all(step.out) else None
    there = {step.page.bay.sensor_id, step.page.bay.electronics_id}
    recorded = lying is not None and not lying.not_two_halves and {one.half.id for one in lying.halves} == there
    tone = tone_of_lift(lying, recorded)
    return render("fleet/lift.html", step=step, tray=lying, recorded=recorded, tone=tone)


@bp.get("/seat")
def seat(bay: str) -> Response:
    """Seat: both halves scanned in place, before the lid is on. Whole or mixed is said at once."""
    step = _step(bay)
    scanned = [request.args.get(name, "").strip()[:1000] for name in ("sensor_seen", "electronics_seen")]
    lying = _tray(scanned) if all(scanned) else None
    return render("fleet/seat.html", step=step, tray=lying, scanned=scanned, tone=tone_of_seat(lying))


@bp.get("/sign")
def sign(bay: str) -> Response:
    """Sign: what was lifted and seated, what this undoes, and the PIN."""
    step = _step(bay)
    cls = _act_of(step)
    choices, size = choices_for(cls)
    return _sign_page(step, blank(cls, _fields(step), choices, size))


@bp.post("/sign")
def signed(bay: str) -> Response:
    """Enter the swap, the install or the lift alone: what the page was shown for, whatever the bay holds since."""
    step = _step(bay)
    cls = _ACTS.get(request.form.get("act", "")) or _act_of(step)
    choices, _size = choices_for(cls)
    form = posted(cls, choices)
    try:
        return landed(enter(form))
    except Refused as refused:
        return refused_form(form, refused, "fleet/sign.html", **_shown(step, cls))


def _act_of(step: Step) -> type[Act]:
    """A lift alone when nothing is to go in yet, an install into an empty bay, else a swap."""
    if request.args.get("only") == "lift":
        return RemovePair
    return InstallPair if step.empty else SwapPairs


def _fields(step: Step) -> dict[str, Any]:
    bay = step.page.bay.code
    if _act_of(step) is RemovePair:
        return {
            "bay": bay,
            "sensor_out": step.out[0],
            "electronics_out": step.out[1],
            "reason": "swap",
            "seat_follows": True,
        }
    if step.empty:
        return {"bay": bay, "sensor": step.into[0], "electronics": step.into[1]}
    return {"bay": bay, **step.scans}


def _go_or_not(step: Step) -> Answer:
    """Checked as the swap it would be, with what the record has in the bay as what comes out."""
    sensor, electronics = map(_meant, step.into)
    if step.empty:
        return check({"act": "install_pair", "bay": step.page.bay.code, "sensor": sensor, "electronics": electronics})
    recorded = {"sensor_out": step.page.bay.sensor_code, "electronics_out": step.page.bay.electronics_code}
    return check(
        {
            "act": "swap_pairs",
            "bay": step.page.bay.code,
            **recorded,
            "sensor_in": sensor,
            "electronics_in": electronics,
        }
    )


def _meant(text: str) -> str:
    """What is asked about with the hull shut. A copy on the bag says which half as well as the half’s own label does;
    that the half is in place is claimed, and must be shown, only at the seat."""
    thing = _tray([text]).things[0]
    return thing.code if thing.copy else text


def _tray(texts: Any) -> Tray:
    with access.instance().database.reading() as db:
        return tray(db, list(texts), stamp(access.now()))


def _shown(step: Step, cls: type[Act]) -> dict[str, Any]:
    return {
        "step": step,
        "out": _tray(step.out) if all(step.out) else None,
        "into": _tray(step.into) if all(step.into) else None,
        "alone": cls is RemovePair,
        "into_empty": cls is InstallPair,
        "scanned": SCANNED,
    }


def _sign_page(step: Step, form: Any) -> Response:
    return render("fleet/sign.html", form=form, act=form.act_cls, **_shown(step, form.act_cls))
