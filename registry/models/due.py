"""When pairs are due for verification: read alike by the acts that are decided on it and by the pages that show it."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.contracts import Term, strictest
from registry.domain.plans import Plan
from registry.domain.verifications import MOVING, Due
from registry.inertial.due_dates import due_after_days, due_after_months
from registry.models.calibrations import calibration
from registry.models.contracts import terms_over_pairs
from registry.models.own_numbers import review_is
from registry.models.pairings import pairing
from registry.models.plans import plan_at
from registry.models.seeks import AT, EVER, ended_by, in_force, known, newest
from registry.models.verifications import hours_reading, verification, verification_interval

_ALL = bindparam("all_pairs", type_=sa.Integer)
_good, _goods = verification.alias("good"), verification.alias("goods")
_last, _lasts, _marks = (verification.alias(name) for name in ("last", "lasts", "marks"))
_hours, _intervals, _sheets = (
    hours_reading.alias("hours"),
    verification_interval.alias("intervals"),
    calibration.alias("sheets"),
)


def is_good(t: sa.FromClause) -> sa.ColumnElement[bool]:
    """Whether a verification is a result known good: a pass nobody rejected, a conditional pass accepted by name."""
    accepted = sa.and_(t.c.verdict == "conditional_pass", review_is(t, "accepted"))
    return sa.and_(sa.not_(review_is(t, "rejected")), sa.or_(t.c.verdict == "pass", accepted))


_newest_good = newest(
    _goods, "verified_at", _goods.c.pairing_id == pairing.c.id, _goods.c.kind.in_(MOVING), is_good(_goods)
)
_newest_sheet = (
    select(_sheets.c.id)
    .where(_sheets.c.pairing_id == pairing.c.id, known(_sheets), _sheets.c.entered_at <= AT)
    .order_by(_sheets.c.calibrated_on.desc(), _sheets.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)
#: What decides how it stands: what may move a due date, and whatever failed.
_newest_last = newest(
    _lasts,
    "verified_at",
    _lasts.c.pairing_id == pairing.c.id,
    sa.or_(_lasts.c.kind.in_(MOVING), _lasts.c.verdict == "fail"),
    sa.not_(review_is(_lasts, "rejected")),
)
_jumped = (
    select(_marks.c.jumped)
    .where(
        _marks.c.pairing_id == pairing.c.id, _marks.c.kind == "heading_check", known(_marks), _marks.c.verified_at <= AT,
        sa.not_(review_is(_marks, "rejected")),
    )
    .order_by(_marks.c.verified_at.desc(), _marks.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)  # fmt: skip
_interval_ended = ended_by(verification_interval, "ended_at")
_dues = (
    select(
        pairing.c.id, pairing.c.name, pairing.c.stated_on, _good.c.id.label("good_id"), _good.c.verified_at.label("good_at"), _good.c.hours_run.label("good_hours"),
        _last.c.id.label("last_id"), _last.c.kind, _last.c.verdict, _last.c.verified_at.label("last_at"), _last.c.seq.label("last_seq"), _jumped.label("jumped"),
        ended_by(_last, "reviewed_at").label("reviewed_at"), _last.c.hours_run.label("last_hours"), hours_reading.c.hours_run,
        sa.case((_interval_ended.is_(None), verification_interval.c.days)).label("days"),
        sa.case((_interval_ended.is_(None), verification_interval.c.most_hours)).label("most_hours"),
        calibration.c.calibrated_on, pairing.c.seq.label("stated_seq"),
    )
    .select_from(pairing)
    .outerjoin(_good, _good.c.id == _newest_good)
    .outerjoin(_last, _last.c.id == _newest_last)
    .outerjoin(hours_reading, hours_reading.c.id == newest(_hours, "read_at", _hours.c.pairing_id == pairing.c.id))
    .outerjoin(verification_interval, verification_interval.c.id == newest(_intervals, "since_at", _intervals.c.pairing_id == pairing.c.id))
    .outerjoin(calibration, calibration.c.id == _newest_sheet)
    .where(sa.or_(_ALL == 1, pairing.c.id.in_(bindparam("pairings", expanding=True))), in_force(pairing, "paired_at", "ended_at"))
)  # fmt: skip


def dues(
    db: sa.Connection, at: str, known_size: int = EVER, only: Iterable[str] | None = None, plan: Plan | None = None
) -> dict[str, Due]:
    """Pairing id -> when it is due, of every pair that holds at the instant or of these. Two statements, and one for the
    plan of all sites when it is not at hand: a pair goes from site to site, and meets the contracts of its vehicle.
    """
    plan = plan or plan_at(db, None, at, known_size)
    terms = terms_over_pairs(db, at, known_size)
    keys: dict[str, Any] = {"at": at, "known": known_size, "all_pairs": int(only is None), "pairings": list(only or ())}
    return {row["id"]: _due(row, at, plan, terms.get(row["id"], [])) for row in db.execute(_dues, keys).mappings()}


def days_in_force(due: Due) -> int:
    """The interval in whole days: as approved, or the calendar months from its start."""
    start = date.fromisoformat(due.good_on or due.due_on)
    return due.days or (due_after_months(start, due.months) - start).days


def _due(row: sa.RowMapping, at: str, plan: Plan, terms: list[Term]) -> Due:
    stops, held = strictest(terms)
    months = plan.count("verification_months")
    good_on = row["good_at"][:10] if row["good_at"] else None
    start = date.fromisoformat(good_on or row["stated_on"])
    due_on = due_after_days(start, row["days"]) if row["days"] else due_after_months(start, months)
    by_contract = due_after_months(start, held.months) if held and held.months else due_on
    held, due_on = (held, by_contract) if by_contract < due_on else (None, due_on)
    return Due(
        pairing_id=row["id"],
        pair=row["name"],
        due_on=due_on.isoformat(),
        good_on=good_on,
        good_id=row["good_id"],
        last_id=row["last_id"],
        last_kind=row["kind"],
        last_verdict=row["verdict"],
        last_on=row["last_at"][:10] if row["last_at"] else None,
        last_seq=row["last_seq"],
        reviewed=row["reviewed_at"] is not None,
        jumped=bool(row["jumped"]),
        days=row["days"],
        hours_left=_hours_left(row),
        calibrated_on=row["calibrated_on"],
        left_days=(due_on - date.fromisoformat(at[:10])).days,
        months=months,
        notice_days=plan.count("verification_notice_days"),
        stated_seq=row["stated_seq"],
        held_by=held.say() if held else "",
        stops_by=stops.say() if stops else "",
    )


def _hours_left(row: sa.RowMapping) -> str | None:
    """Hours that may still be run; None when no limit, or no counter, is known."""
    read = [Decimal(row[name]) for name in ("hours_run", "last_hours") if row[name] is not None]
    if row["most_hours"] is None or row["good_hours"] is None or not read:
        return None
    return format(Decimal(row["most_hours"]) - (max(read) - Decimal(row["good_hours"])), "f")
