"""Verification: what is due, one verification in full, with its drawings."""

from flask import Blueprint, Response

from registry import access
from registry.domain.verifications import FOLLOWS, KINDS, QUANTITIES, REVIEWS, RULES, VERDICTS
from registry.output.bench import allan_plot, trace_plot
from registry.queries import verifications
from registry.queries.impacts import impact_of_verification
from registry.queries.verifications import VerificationPage
from registry.web.page import known_by_id, moment, render

bp = Blueprint("verifications", __name__)
WORDS = {
    "follows": FOLLOWS,
    "kinds": KINDS,
    "quantities": QUANTITIES,
    "reviews": REVIEWS,
    "rules": RULES,
    "verdicts": VERDICTS,
}
#: So many pairs are listed, worst first; JSON and the command line tell of all.
MOST = 200
#: How grave a verdict looks, and the sign that stands for it.
BANDS = {
    "pass": ("", "whole"),
    "conditional_pass": ("care", "whole"),
    "conditional_fail": ("care", "unknown"),
    "cannot_decide": ("unsure", "unknown"),
    "fail": ("stops", "hold"),
}


@bp.get("/verifications")
def every() -> Response:
    """When every pair is due, worst first, and what awaits review."""
    at, known, past = moment()
    with access.instance().database.reading() as db:
        listed = verifications.due_listed(db, at, known)
        waiting = verifications.awaiting_review(db, at, known)
    return render(
        "verifications/verifications.html", dues=listed, waiting=waiting, most=MOST, words=WORDS, at=at, past=past
    )


@bp.get("/verifications/<verification_id>")
def one(verification_id: str) -> Response:
    """One verification: verdict, lines, what it rests on, what was recorded, what it puts in doubt."""
    page = known_by_id(verification_id, lambda db: verifications.verification_page(db, verification_id))
    with access.instance().database.reading() as db:
        impact = impact_of_verification(db, verification_id)
    band = BANDS[page.row["verdict"]]
    return render(
        "verifications/verification.html", page=page, impact=impact, band_of=band, words=WORDS, drawn=_drawn(page)
    )


def _drawn(page: VerificationPage) -> dict[str, str]:
    """The drawings of a static test."""
    if page.recorded is None:
        return {}
    trace = page.recorded["trace"]
    return {
        "rates": trace_plot("Rates", "deg/h", trace["rate_deg_h"], trace["every_s"], 3),
        "forces": trace_plot("Specific force", "mm/s²", _thousandfold(trace["force_m_s2"]), trace["every_s"], 1),
        "allan": allan_plot(page.recorded["allan"]),
    }


def _thousandfold(rows: list[list[float]]) -> list[list[float]]:
    return [[1000 * value for value in row] for row in rows]
