"""The impacts whose lists a mission stands on, with what was answered: one statement, however many there are."""

from itertools import groupby

import sqlalchemy as sa
from sqlalchemy import bindparam

from registry.domain.mission_impacts import MissionImpact, worst_first
from registry.models.impact_lists import impacts, say_subject
from registry.models.impacts import impact, impact_answer, impact_line
from registry.models.people import person_private
from registry.models.seeks import AT, KNOWN, in_force, known

_answerer = person_private.alias("answerer")
_told_by_then = sa.and_(
    impact_answer.c.impact_line_id == impact_line.c.id, known(impact_answer), impact_answer.c.answered_at <= AT
)
#: A row for each answer, the newest of a line first; one row for a line that has none.
_of_mission = (
    impacts.join(impact_line, impact_line.c.impact_id == impact.c.id)
    .outerjoin(impact_answer, _told_by_then)
    .outerjoin(_answerer, _answerer.c.person_id == impact_answer.c.answered_by_id)
    .add_columns(
        impact_line.c.id.label("line_id"), impact_line.c.seq.label("line_seq"), impact_line.c.listed_at, impact_answer.c.answer, impact_answer.c.heading_deg.label("answer_deg"),
        impact_answer.c.error_m, impact_answer.c.words, impact_answer.c.answered_at, impact_answer.c.seq.label("answer_seq"), _answerer.c.name.label("answered_by"),
    )
    .where(impact_line.c.mission_id == bindparam("mission"), in_force(impact_line, "listed_at", "dropped_at"), impact.c.seq <= KNOWN)
    .order_by(None)
    .order_by(impact_line.c.id, impact_answer.c.answered_at.desc(), impact_answer.c.seq.desc())
)  # fmt: skip


def impacts_of_mission(db: sa.Connection, mission_id: str, at: str, known_size: int) -> tuple[MissionImpact, ...]:
    """What of a mission was found bad, as far as it was known: the worst answer first."""
    rows = db.execute(_of_mission, {"mission": mission_id, "at": at, "known": known_size}).mappings()
    return worst_first([_told(list(group)) for _line, group in groupby(rows, key=lambda row: row["line_id"])])


def _told(rows: list[sa.RowMapping]) -> MissionImpact:
    newest = rows[0]
    seqs = {newest["seq"], newest["line_seq"], *(row["answer_seq"] for row in rows if row["answer_seq"])}
    told = {name: newest[name] for name in ("id", "reason", "found_at", "line_id", "listed_at", "answer", "error_m", "answered_at", "answered_by")}  # fmt: skip
    return MissionImpact(
        **told, of=say_subject(newest), unnamed=say_subject({**newest, "person": None}), heading_deg=newest["answer_deg"],
        words=newest["words"] or "", entries=tuple(sorted(seqs)),
    )  # fmt: skip
