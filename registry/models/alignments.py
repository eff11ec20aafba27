"""Alignments of a stay with their parts and residuals, and what was answered to them."""

from typing import Any

import sqlalchemy as sa

from registry.domain.alignments import ANSWERS, JUDGED, NORTHS_OR_NONE, PART_WAYS, PARTS, VERDICTS, WAYS
from registry.models.base import column, folded, instant, maybe, once, one_of, to
from registry.models.columns import Figure

_ANGLES = ("roll", "pitch", "yaw")


def _judged() -> list[Any]:
    """What is left of one angle, and the verdict on it."""
    return [
        column("judged", sa.Text),
        maybe("left_deg", Figure),
        column("left_sigma_deg", Figure),
        maybe("tolerance_deg", Figure),
        column("verdict", sa.Text),
        column("told", sa.Text),
        column("next", sa.Text),
        one_of("judged", *JUDGED),
        one_of("verdict", *VERDICTS),
    ]


#: `before_id` is the alignment it was carried over from; the angles are those of plate and unit together, and what is
#: judged is the gravest of its rows in `alignment_left`.
alignment = folded(
    "alignment",
    to("installation"),
    to("bay_mounting", nullable=True),
    to("alignment", "before_id", nullable=True),
    column("found_by", sa.Text),
    *(maybe(f"{name}_deg", Figure) for name in _ANGLES),
    *(maybe(f"{name}_sigma_deg", Figure) for name in _ANGLES),
    *_judged(),
    maybe("cost_percent", Figure),
    maybe("cost_m_per_km", Figure),
    column("cost_told", sa.Text),
    column("north", sa.Text),
    column("north_told", sa.Text),
    column("words", sa.Text),
    *instant("aligned"),
    one_of("found_by", *WAYS),
    one_of("north", *NORTHS_OR_NONE),
    sa.Index("ix_alignment_installation_id", "installation_id", "aligned_at", "seq"),
)

alignment_part = folded(
    "alignment_part",
    to("alignment"),
    column("part", sa.Text),
    column("found_by", sa.Text),
    *(maybe(f"{name}_deg", Figure) for name in _ANGLES),
    *(maybe(f"{name}_sigma_deg", Figure) for name in _ANGLES),
    maybe("scale", Figure),
    maybe("scale_sigma", Figure),
    column("method", sa.Text),
    column("source", sa.Text),
    one_of("part", *PARTS),
    one_of("found_by", *PART_WAYS),
    once("alignment_part_once", "alignment_id", "part", sentence="An alignment has each part once."),
)

#: What is left of each angle that is judged: found by this alignment, or taken over from the one before it.
alignment_left = folded(
    "alignment_left",
    to("alignment"),
    *_judged(),
    once("alignment_left_once", "alignment_id", "judged", sentence="An alignment judges each angle once."),
)

alignment_residual = folded(
    "alignment_residual",
    to("alignment"),
    column("number", sa.Integer),
    column("name", sa.Text),
    column("left_deg", Figure),
    column("sigma_deg", Figure),
    once("alignment_residual_once", "alignment_id", "number", sentence="Residuals are counted once each."),
)

alignment_answer = folded(
    "alignment_answer",
    to("alignment"),
    column("answer", sa.Text),
    maybe("residual_deg", Figure),
    maybe("sigma_deg", Figure),
    column("told", sa.Text),
    column("words", sa.Text),
    *instant("answered"),
    one_of("answer", *ANSWERS),
    sa.Index("ix_alignment_answer_alignment_id", "alignment_id", "answered_at", "seq"),
)
