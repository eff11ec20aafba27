"""The list of an impact as it was frozen and counted anew: its lines with their newest answers, what they lack, and what
history as it stands now would make of it."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.codes import say_code
from registry.domain.impacts import KINDS, SUBJECTS, Asked, Use, Window, differ, reasons_unanswered
from registry.domain.missions import counted_km
from registry.domain.verifications import KINDS as VERIFIED
from registry.errors import Reason
from registry.models.amended_missions import told_by_act
from registry.models.calibrations import calibration
from registry.models.columns import Id
from registry.models.impact_uses import found_bad
from registry.models.impacts import impact, impact_answer, impact_hold, impact_line
from registry.models.meters import meter
from registry.models.missions import mission_distance
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import EVER
from registry.models.units import half
from registry.models.verifications import verification

IMPACT = bindparam("impact", type_=Id)
_answers, _distances = impact_answer.alias("answers"), mission_distance.alias("distances")
_newest_answer = (
    select(_answers.c.id)
    .where(_answers.c.impact_line_id == impact_line.c.id)
    .order_by(_answers.c.answered_at.desc(), _answers.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)
_newest_distance = (
    select(_distances.c.id)
    .where(_distances.c.mission_id == impact_line.c.mission_id, told_by_act(_distances))
    .order_by(_distances.c.told_at.desc(), _distances.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)
#: Every line ever listed, with its newest answer and, of a mission, what it ran as told last.
lines = (
    select(
        impact_line, impact_answer.c.id.label("answer_id"), impact_answer.c.answer, impact_answer.c.heading_deg, impact_answer.c.error_m, impact_answer.c.error_m_per_km,
        impact_answer.c.words, impact_answer.c.answered_by_id, impact_answer.c.answered_at, impact_answer.c.seq.label("answer_seq"),
        mission_distance.c.distance_km, mission_distance.c.aided_by, mission_distance.c.stretch_km,
    )
    .select_from(impact_line)
    .outerjoin(impact_answer, impact_answer.c.id == _newest_answer)
    .outerjoin(mission_distance, mission_distance.c.id == _newest_distance)
    .order_by(impact_line.c.starts_on, impact_line.c.id)
)  # fmt: skip
of_impact = lines.where(impact_line.c.impact_id == IMPACT)
_these = lines.where(impact_line.c.id.in_(bindparam("lines", expanding=True)))
_its_pair = sa.func.coalesce(impact.c.pairing_id, verification.c.pairing_id, calibration.c.pairing_id)
#: Each impact with what it is called by.
impacts = (
    select(impact, pairing.c.id.label("its_pairing_id"), pairing.c.name.label("pair"), half.c.code.label("half_code"), half.c.kind.label("half_kind"), verification.c.kind.label("verification_kind"), calibration.c.certificate, meter.c.name.label("meter"), person_private.c.name.label("person"))
    .select_from(impact)
    .outerjoin(verification, verification.c.id == impact.c.verification_id)
    .outerjoin(calibration, calibration.c.id == impact.c.calibration_id)
    .outerjoin(pairing, pairing.c.id == _its_pair)
    .outerjoin(half, half.c.id == impact.c.half_id)
    .outerjoin(meter, meter.c.id == impact.c.meter_id)
    .outerjoin(person_private, person_private.c.person_id == impact.c.person_id)
    .order_by(impact.c.found_at.desc(), impact.c.seq.desc())
)  # fmt: skip
one_impact = impacts.where(impact.c.id == IMPACT)
_impact = select(impact).where(impact.c.id == IMPACT)
_of_hold = (
    select(impact_hold.c.impact_id).where(impact_hold.c.hold_id == bindparam("hold")).order_by(impact_hold.c.impact_id)
)


@dataclass(frozen=True, slots=True)
class Counted:
    """What an impact would list as history stands now, and how that differs from its list."""

    window: Window
    added: tuple[Use, ...]
    dropped: tuple[str, ...]  # ids of lines


def counted_of(row: Any) -> str | None:
    """The distance of a mission over which a heading that is off counts; None when nobody told it."""
    return None if row["distance_km"] is None else counted_km(row["distance_km"], row["aided_by"], row["stretch_km"])


def asked_of(db: sa.Connection, ids: list[str]) -> list[Asked]:
    """These lines as their answers are decided on."""
    return [
        Asked(row["id"], row["kind"], row["told"], row["listed_at"], row["dropped_at"] is not None, row["mission_id"], counted_of(row))
        for row in db.execute(_these, {"lines": ids, "known": EVER}).mappings()
    ]  # fmt: skip


def impact_row(db: sa.Connection, impact_id: str) -> sa.RowMapping:
    return db.execute(_impact, {"impact": impact_id}).mappings().one()


def live_lines(db: sa.Connection, impact_id: str) -> list[sa.RowMapping]:
    """The lines that stand on the list."""
    return [
        row
        for row in db.execute(of_impact, {"impact": impact_id, "known": EVER}).mappings()
        if row["dropped_at"] is None
    ]


def impacts_of_hold(db: sa.Connection, hold_id: str) -> list[str]:
    return list(db.execute(_of_hold, {"hold": hold_id}).scalars())


def reasons_of_impacts(db: sa.Connection, hold_id: str, now: str) -> list[Reason]:
    """Why a hold stays: what its thing was used for is not answered, line by line."""
    reasons = []
    for impact_id in impacts_of_hold(db, hold_id):
        unanswered = sum(line["answer"] is None for line in live_lines(db, impact_id))
        counted = counted_now(db, impact_id, now)
        on = name_of(db, impact_id)
        reasons += reasons_unanswered(impact_id, on, unanswered, len(counted.added), len(counted.dropped))
    return reasons


def say_subject(row: Any) -> str:
    """What an impact is of: `pair QH-0388`, `heading check on a known mark of p3`, `meter BT-04`."""
    if row["half_id"]:
        return f"{row['half_kind']} half {say_code(row['half_code'])}"
    if row["verification_id"]:
        return f"{VERIFIED[row['verification_kind']]} of {row['pair']}"
    if row["calibration_id"]:
        return f"certificate {row['certificate']} of {row['pair']}"
    if row["meter_id"]:
        return f"meter {row['meter']}"
    return f"the work of {row['person'] or 'somebody'}" if row["person_id"] else f"pair {row['pair']}"


def name_of(db: sa.Connection, impact_id: str) -> str:
    return say_subject(db.execute(one_impact, {"impact": impact_id}).mappings().one())


def counted_now(db: sa.Connection, impact_id: str, now: str) -> Counted:
    """The list of an impact worked out again."""
    row = impact_row(db, impact_id)
    subject = next(name for name in SUBJECTS if row[name])
    window, uses = found_bad(
        db, subject, row[subject], row["found_at"], now, good_on=row["good_on"], shown_by=row["shown_by_id"]
    )
    listed = {(line["kind"], line[f"{line['kind']}_id"]): line["id"] for line in live_lines(db, impact_id)}
    added, dropped = differ(listed, uses)
    return Counted(window, tuple(added), tuple(listed[key] for key in dropped))


def use_columns(use: dict[str, Any]) -> dict[str, Any]:
    """The columns of a line that say what it is of."""
    return {f"{kind}_id": use["id"] if kind == use["kind"] else None for kind in KINDS}
