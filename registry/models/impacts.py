"""Impacts: what something found bad was used for, line by line; the answer of a named person to each line; the holds that
close only when every line has one; and what the same batch asks of other halves."""

import sqlalchemy as sa

from registry.domain.impacts import ANSWERS, KINDS, KINSHIPS, SUBJECTS
from registry.models.base import Stay, column, folded, instant, maybe, one_of, says, to
from registry.models.columns import Day, Figure

_LINE = tuple(f"{kind}_id" for kind in KINDS)


def _one(names: tuple[str, ...]) -> str:
    return " + ".join(f"(CASE WHEN {name} IS NULL THEN 0 ELSE 1 END)" for name in names) + " = 1"


#: `shown_by_id` is the verification that found it; `heading_deg` what the heading is off by, as far as anybody read it.
impact = folded(
    "impact",
    to("pairing", nullable=True),
    to("half", nullable=True),
    to("verification", nullable=True),
    to("calibration", nullable=True),
    to("meter", nullable=True),
    to("person", nullable=True),
    to("verification", "shown_by_id", nullable=True),
    column("reason", sa.Text),
    maybe("good_on", Day),
    maybe("heading_deg", Figure),
    to("person", "opened_by_id"),
    *instant("found"),
    says("impact_of_one_thing", _one(tuple(SUBJECTS)), "An impact is of one thing."),
    *(sa.Index(f"ix_impact_{name}", name) for name in SUBJECTS),
    sa.Index("ix_impact_shown_by_id", "shown_by_id"),
)

#: From the last good result (None: since receipt) to when it left use, as it was counted; anew with every new count.
impact_window = folded(
    "impact_window",
    to("impact"),
    maybe("since_on", Day),
    column("until_on", Day),
    maybe("good_deg", Figure),
    column("told", sa.Text),
    *instant("counted"),
    sa.Index("ix_impact_window_impact_id", "impact_id", "counted_at", "seq"),
)

impact_hold = folded(
    "impact_hold",
    to("impact"),
    to("hold"),
    sa.Index("ix_impact_hold_impact_id", "impact_id"),
    sa.Index("ix_impact_hold_hold_id", "hold_id"),
)

#: One use. It is dropped when history was amended and it rests no longer on what was found; the row stays.
impact_line = folded(
    "impact_line",
    to("impact"),
    column("kind", sa.Text),
    to("mission", nullable=True),
    to("alignment", nullable=True),
    to("calibration", nullable=True),
    to("verification", nullable=True),
    to("esd_signoff", nullable=True),
    to("station_check", nullable=True),
    column("told", sa.Text),
    column("starts_on", Day),
    maybe("ends_on", Day),
    *instant("listed"),
    *instant("dropped", nullable=True, closing=True),
    one_of("kind", *KINDS),
    says("impact_line_of_one_thing", _one(_LINE), "A line of an impact is of one thing."),
    sa.Index("ix_impact_line_impact_id", "impact_id"),
    changes="closes",
    stay=Stay("listed_at", "dropped_at"),
)

#: The newest answer to a line counts. Figures are those it was computed from, and what came out.
impact_answer = folded(
    "impact_answer",
    to("impact_line"),
    column("answer", sa.Text),
    maybe("heading_deg", Figure),
    maybe("distance_km", Figure),
    maybe("error_m", Figure),
    maybe("error_m_per_km", Figure),
    column("words", sa.Text),
    to("person", "answered_by_id"),
    *instant("answered"),
    one_of("answer", *ANSWERS),
    sa.Index("ix_impact_answer_impact_line_id", "impact_line_id", "answered_at", "seq"),
)

#: Another half of the same batch: put on hold by name, or not, with the reason.
batch_answer = folded(
    "batch_answer",
    to("hold", nullable=True),
    to("impact", nullable=True),
    to("half"),
    column("kinship", sa.Text),
    column("answer", sa.Text),
    to("hold", "placed_id", nullable=True),
    column("words", sa.Text),
    to("person", "answered_by_id"),
    *instant("answered"),
    one_of("kinship", *KINSHIPS),
    one_of("answer", "held", "refused"),
    says("batch_answer_from_one_thing", "(hold_id IS NULL) <> (impact_id IS NULL)", "A batch is asked about from a hold or an impact."),
    says("batch_answer_held_by_a_hold", "(answer = 'held') = (placed_id IS NOT NULL)", "Who is held is held by a hold."),
    sa.Index("ix_batch_answer_hold_id", "hold_id"),
    sa.Index("ix_batch_answer_impact_id", "impact_id"),
)  # fmt: skip
