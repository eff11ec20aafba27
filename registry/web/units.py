"""Pairs, halves and unit types."""

from flask import Blueprint, Response, request

from registry import access
from registry.domain.deliveries import OUTCOMES
from registry.domain.installs import REMOVAL_REASONS
from registry.domain.outcomes import FAULT_IN
from registry.domain.outcomes import OUTCOMES as REMOVALS
from registry.domain.times import stamp
from registry.domain.units import GRADES, KINDS, QUANTITIES, STATISTICS
from registry.domain.verifications import VERDICTS
from registry.output.lifelines import Bar, Lane, Peg, life_line
from registry.output.own_numbers import number_plot
from registry.output.pair_sheets import pair_sheet
from registry.queries import halves as halves_queries
from registry.queries import pairings, units
from registry.queries.deliveries import line_fields
from registry.queries.pairings import PairPage
from registry.web.fleet import found
from registry.web.page import moment, not_known_then, render
from registry.web.papers import printed
from registry.web.verifications import WORDS

bp = Blueprint("units", __name__)
PAGE = 100


@bp.get("/pairs")
def pairs() -> Response:
    """Every pair, live and ended."""
    at, known, past = moment()
    skip = _skip()
    with access.instance().database.reading() as db:
        listed = pairings.pairs_listed(db, at, known, skip=skip, most=PAGE + 1)
    return render(
        "units/pairs.html", pairs=listed[:PAGE], more=len(listed) > PAGE, skip=skip, step=PAGE, at=at, past=past
    )


@bp.get("/pairs/<ref>")
def pair(ref: str) -> Response:
    """One pair: verdict, life line, the same in words, both halves."""
    at, known, past = moment()
    id_ = found("pairing", ref, at)
    with access.instance().database.reading() as db:
        page = pairings.pair_page(db, id_, at, known)
    if page is None:
        raise not_known_then("pair")
    numbers, drift = page.verified.numbers, page.verified.drift
    plot = number_plot(numbers, drift) if numbers else None
    return render(
        "units/pair.html", page=page, line=_line(page, at), plot=plot, words=WORDS, at=at, past=past, grades=GRADES
    )


@bp.get("/pairs/<ref>/sheet.pdf")
def sheet(ref: str) -> Response:
    """The sheet of one pair, as PDF."""
    id_ = found("pairing", ref, moment()[0])
    return printed("pair", pair_sheet, id_)


def _line(page: PairPage, at: str) -> str:
    stays = [Bar(s.installed_at, s.removed_at, s.vehicle, f"bay {s.letter}") for s in page.stays]
    holds = [Bar(h.placed_at, h.released_at, "on hold", "", hatched=True) for h in page.holds]
    checks = [Peg(v["verified_at"], VERDICTS[v["verdict"]]) for v in page.verified.verifications]
    lanes = [
        Lane("In a vehicle", "In", stays),
        Lane("Verified", "Verified", pegs=checks),
        Lane("Holds", "Holds", holds),
    ]
    first = min([page.paired_at, *(s.installed_at for s in page.stays)])
    return life_line(lanes, first, page.ended_at or at)


@bp.get("/halves")
def halves() -> Response:
    """Every half, by type and serial."""
    at, known, past = moment()
    skip = _skip()
    with access.instance().database.reading() as db:
        listed = halves_queries.halves_listed(db, at, known, skip=skip, most=PAGE + 1)
    return render(
        "units/halves.html", halves=listed[:PAGE], more=len(listed) > PAGE, skip=skip, step=PAGE, at=at, past=past
    )


@bp.get("/halves/<ref>")
def half(ref: str) -> Response:
    """One half: its labels, its pair, where it is, its history."""
    at, known, past = moment()
    id_ = found("half", ref, at)
    with access.instance().database.reading() as db:
        page = units.half_page(db, id_, at, known)
    if page is None:
        raise not_known_then("half")
    diary = {"removal_outcomes": REMOVALS, "fault_in": FAULT_IN, "removal_reasons": REMOVAL_REASONS}
    return render("units/half.html", page=page, at=at, past=past, outcomes=OUTCOMES, **diary)


@bp.get("/types")
def types() -> Response:
    """Unit types with their class and the statements they accept."""
    with access.instance().database.reading() as db:
        listed = units.types_listed(db, stamp(access.now()))
    return render(
        "units/types.html",
        types=listed,
        grades=GRADES,
        kinds=KINDS,
        quantities=QUANTITIES,
        statistics=STATISTICS,
        scope_fields=line_fields,
    )


def _skip() -> int:
    text = request.args.get("skip", "0")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 8 else 0
