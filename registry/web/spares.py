"""Spares: of a bay, for a voyage, and the plan that makes most vehicles fit with the fewest openings."""

from typing import Any

from flask import Blueprint, Response, request

from registry import access, planner
from registry.domain.fewest_openings import say_minutes, say_score
from registry.domain.fit import VERDICTS
from registry.domain.fit_use import ASKED
from registry.domain.sailings import Sailing, read_sailing, sailing
from registry.domain.times import later
from registry.errors import Reason, Refused
from registry.queries.fleet import vehicles_at
from registry.queries.spares import bay_spares
from registry.queries.voyages import voyage as voyage_of
from registry.web.fleet import found
from registry.web.page import instant_of, moment, not_known_then, render

bp = Blueprint("spares", __name__)


@bp.get("/bays/<ref>/spares")
def of_bay(ref: str) -> Response:
    """Every free pair as a spare of this bay, best first, and the swap kit of its housing."""
    at, known, past = moment()
    id_ = found("bay", ref, at)
    with access.instance().database.reading() as db:
        one = bay_spares(db, id_, at, known)
    if one is None:
        raise not_known_then("bay")
    return render("spares/of_bay.html", one=one, at=at, past=past)


@bp.get("/spares")
def voyage() -> Response:
    """For a voyage: which vehicles have no ready spare aboard, and what falls due on the way."""
    at, known, past = moment()

    def ask(named: list[Sailing]) -> Any:
        with access.instance().database.reading() as db:
            return voyage_of(db, planner.looked_up(db, named, at), at, known)

    return _asked("spares/voyage.html", at, known, past, ask)


@bp.get("/fewest-openings")
def fewest() -> Response:
    """For a set of sailings: the plan that makes most vehicles fit with the fewest openings and hours."""
    at, known, past = moment()
    accept = request.args.get("accept_care") == "yes"

    def ask(named: list[Sailing]) -> Any:
        return planner.planned(access.instance().database, named, at, known, accept_care=accept)

    return _asked(
        "spares/fewest.html", at, known, past, ask, accept_care=accept, say_minutes=say_minutes, say_score=say_score
    )


def _asked(template: str, at: str, known: int, past: bool, ask: Any, **more: Any) -> Response:
    """The form, what was typed into it, and the answer or every reason why there is none."""
    shown, reasons = None, ()
    try:
        named = sailings_asked()
        shown = ask(named) if named else None
    except Refused as refused:
        reasons = refused.reasons
    with access.instance().database.reading() as db:
        vehicles = sorted(vehicles_at(db, at, known), key=lambda one: one.name)
    status = 200 if not reasons else Refused(*reasons).status
    return render(
        template, status, shown=shown, reasons=reasons, vehicles=vehicles, typed=_typed(at), uses=ASKED, verdicts=VERDICTS, at=at, past=past, **more,
    )  # fmt: skip


def sailings_asked() -> list[Sailing]:
    """The sailings an address asks for: `sailing=` lines, and `vehicle=` (many) with one `from=`, `to=` and `use=`."""
    args = request.args
    lines = [line for text in args.getlist("sailing") for line in text.splitlines() if line.strip()]
    try:
        named = [read_sailing(line) for line in lines]
        # A link that names a vehicle alone ticks it in the form; nothing is asked yet.
        ticked = args.getlist("vehicle") if "from" in args or "to" in args else []
        if ticked:
            if not (args.get("from") and args.get("to")):
                raise ValueError("Say from when to when they sail.")
            ends = [instant_of(args[name], name) for name in ("from", "to")]
            named += [sailing(one, *ends, args.get("use") or None) for one in ticked]
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), "sailing", "Look at the sailing, and ask again.")) from None
    return named


def _typed(at: str) -> dict[str, Any]:
    """What stands in the form: what was sent, else tomorrow morning and a week from then."""
    args = request.args
    morning = f"{later(at, days=1)[:10]}T06:00"
    return {
        "from": args.get("from", morning)[:16],
        "to": args.get("to", f"{later(at, days=8)[:10]}T18:00")[:16],
        "use": args.get("use", ""),
        "vehicles": args.getlist("vehicle"),
        "sailing": "\n".join(args.getlist("sailing")),
    }
