"""One alignment: verdict, what to enter in the unit, the three parts, and what the fit left over."""

from flask import Blueprint, Response

from registry.domain.alignments import ANSWERS, JUDGED, NORTHS_OR_NONE, PART_WAYS, PARTS, VERDICTS, WAYS
from registry.domain.fleet import USES
from registry.output.residuals import Dot, residual_plot, said
from registry.queries.alignments import AlignmentPage, alignment_page
from registry.web.page import known_by_id, moment, render

bp = Blueprint("alignments", __name__)
WORDS = {
    "answers": ANSWERS,
    "judged": JUDGED,
    "norths": NORTHS_OR_NONE,
    "part_ways": PART_WAYS,
    "parts": PARTS,
    "uses": USES,
    "verdicts": VERDICTS,
    "ways": WAYS,
}


@bp.get("/alignments/<alignment_id>")
def one(alignment_id: str) -> Response:
    """One alignment of one stay, and what became of it."""
    at, known, past = moment()
    page = known_by_id(alignment_id, lambda db: alignment_page(db, alignment_id, at, known))
    return render(
        "alignments/alignment.html", page=page, at=at, past=past, words=WORDS, plot=_plot(page), settings=page.settings
    )


def _plot(page: AlignmentPage) -> tuple[str, str] | None:
    """The drawing of the residuals and its sentence."""
    dots = [Dot(row["name"], float(row["left_deg"]), float(row["sigma_deg"])) for row in page.residuals]
    if not dots:
        return None
    of = "dvl" if page.alignment.found_by == "dvl_run" else "yaw"
    tolerances = [float(row["tolerance_deg"]) for row in page.left if row["judged"] == of and row["tolerance_deg"]]
    tolerance = tolerances[0] if tolerances else None
    return residual_plot(dots, tolerance), said(dots, tolerance)
