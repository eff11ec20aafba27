"""Impacts: the list of them, and one with its lines ranked by harm, their answers, and what history would make of it now."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.impacts import rank
from registry.models.holds import hold
from registry.models.impact_lists import (
    IMPACT,
    Counted,
    counted_now,
    counted_of,
    impacts,
    of_impact,
    one_impact,
    say_subject,
)
from registry.models.impacts import impact, impact_answer, impact_hold, impact_line, impact_window
from registry.models.people import person_private
from registry.models.seeks import AT, EVER
from registry.models.verifications import verification

_listed = select(impact_line.c.id).where(impact_line.c.impact_id == impact.c.id, impact_line.c.dropped_at.is_(None))
_lines = _listed.with_only_columns(sa.func.count()).scalar_subquery()
_answered = (
    _listed.with_only_columns(sa.func.count())
    .where(impact_line.c.id.in_(select(impact_answer.c.impact_line_id)))
    .scalar_subquery()
)
_every = (
    impacts.add_columns(_lines.label("lines"), _answered.label("answered"))
    .where(impact.c.found_at <= AT)
    .limit(bindparam("most"))
    .offset(bindparam("skip"))
)
_windows = (
    select(impact_window)
    .where(impact_window.c.impact_id == IMPACT)
    .order_by(impact_window.c.counted_at.desc(), impact_window.c.seq.desc())
)
_holds = (
    select(hold.c.id, hold.c.reason, hold.c.placed_at, hold.c.released_at)
    .join(impact_hold, impact_hold.c.hold_id == hold.c.id)
    .where(impact_hold.c.impact_id == IMPACT)
    .order_by(hold.c.placed_at, hold.c.id)
)
_people = select(person_private.c.person_id, person_private.c.name).where(
    person_private.c.person_id.in_(bindparam("people", expanding=True))
)
_shown = select(verification.c.verified_at).where(verification.c.id == bindparam("shown"))
_of_verification = select(impact.c.id).where(impact.c.shown_by_id == bindparam("shown"))


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line with its answer. `most_m` is what the whole of it would have done over the mission; `even_m` what it did
    if it grew evenly since the last good result: for ranking only."""

    row: sa.RowMapping
    counted_km: str | None
    most_m: float | None
    even_m: float | None
    answered_by: str | None

    @property
    def harm(self) -> tuple[int, float]:
        return rank(
            self.even_m if self.even_m is not None else self.most_m, self.row["kind"], self.counted_km is not None
        )


@dataclass(frozen=True, slots=True)
class ImpactPage:
    """One impact. `lines` stand on the list, worst first; `dropped` were on it; `windows` are its counts, newest first."""

    row: sa.RowMapping
    subject: str
    found_by: str | None
    windows: tuple[sa.RowMapping, ...]
    lines: tuple[LineShown, ...]
    dropped: tuple[LineShown, ...]
    holds: tuple[sa.RowMapping, ...]
    now: Counted

    @property
    def unanswered(self) -> int:
        return sum(line.row["answer"] is None for line in self.lines)

    @property
    def outdated(self) -> bool:
        return bool(self.now.added or self.now.dropped)

    def told(self) -> dict[str, Any]:
        """All of it by name: what JSON says, over HTTP and at the command line alike."""
        return {
            "id": self.row["id"], "of": self.subject, "reason": self.row["reason"], "found_at": self.row["found_at"], "heading_deg": self.row["heading_deg"],
            "window": dict(self.windows[0]), "earlier_windows": [dict(one) for one in self.windows[1:]], "unanswered": self.unanswered,
            "lines": [_line_told(line) for line in self.lines], "dropped": [_line_told(line) for line in self.dropped],
            "would_add": [use.told for use in self.now.added], "would_drop": len(self.now.dropped), "holds": [dict(one) for one in self.holds],
        }  # fmt: skip


def _line_told(line: LineShown) -> dict[str, Any]:
    names = ("id", "kind", "told", "starts_on", "ends_on", "listed_at", "dropped_at", "answer", "heading_deg", "error_m", "error_m_per_km", "words", "answered_at")  # fmt: skip
    told = {name: line.row[name] for name in names}
    subject = line.row[f"{line.row['kind']}_id"]
    return {**told, "of": subject, "counted_km": line.counted_km, "at_most_m": line.most_m, "if_even_m": line.even_m, "answered_by": line.answered_by}  # fmt: skip


def impacts_listed(db: sa.Connection, at: str, *, skip: int = 0, most: int = 100) -> list[dict[str, Any]]:
    """Impacts, the newest first, each with how many lines it has, how many are answered, and how many it would gain and
    lose as history stands now."""
    return [
        _listed_told(db, row, at) for row in db.execute(_every, {"at": at, "skip": skip, "most": most}).mappings().all()
    ]


def _listed_told(db: sa.Connection, row: sa.RowMapping, at: str) -> dict[str, Any]:
    now = counted_now(db, row["id"], at)
    told = {name: row[name] for name in ("id", "reason", "found_at", "lines", "answered")}
    return {**told, "of": say_subject(row), "would_add": len(now.added), "would_drop": len(now.dropped)}


def say_change(one: dict[str, Any]) -> str:
    """What counting an impact of the list anew would change; empty when nothing would."""
    if not one["would_add"] and not one["would_drop"]:
        return ""
    return f"History was amended: counted anew it would gain {one['would_add']} and lose {one['would_drop']}."


def impact_of_verification(db: sa.Connection, verification_id: str) -> str | None:
    """The impact that a failed verification opened."""
    return db.execute(_of_verification, {"shown": verification_id}).scalar()


def impact_page(db: sa.Connection, impact_id: str, at: str) -> ImpactPage | None:
    """One impact as it stands, or None when there is none of that id."""
    row = db.execute(one_impact, {"impact": impact_id}).mappings().first()
    if row is None:
        return None
    windows = tuple(db.execute(_windows, {"impact": impact_id}).mappings())
    lines = list(db.execute(of_impact, {"impact": impact_id, "known": EVER}).mappings())
    people = {row["opened_by_id"], *(line["answered_by_id"] for line in lines if line["answered_by_id"])}
    names = {one.person_id: one.name for one in db.execute(_people, {"people": sorted(people)})}
    ranked = sorted((_shown_line(line, row, windows[0], names) for line in lines), key=lambda one: one.harm)
    return ImpactPage(
        row, say_subject(row), names.get(row["opened_by_id"]), windows,
        tuple(one for one in ranked if one.row["dropped_at"] is None), tuple(one for one in ranked if one.row["dropped_at"]),
        tuple(db.execute(_holds, {"impact": impact_id}).mappings()), counted_now(db, impact_id, at),
    )  # fmt: skip


def _shown_line(line: sa.RowMapping, row: sa.RowMapping, window: sa.RowMapping, names: dict[str, str]) -> LineShown:
    counted = counted_of(line) if line["kind"] == "mission" else None
    most, even = _harm(line, row, window, counted)
    return LineShown(line, counted, most, even, names.get(line["answered_by_id"]))


def _harm(
    line: sa.RowMapping, row: sa.RowMapping, window: sa.RowMapping, counted: str | None
) -> tuple[float | None, float | None]:
    """(metres if all of it was there, metres if it grew evenly from the last good result to the finding)."""
    if counted is None or row["heading_deg"] is None:
        return None, None
    from registry.inertial.look_back import cross_track_m, even_drift

    metres, off = 1000 * float(counted), float(row["heading_deg"])
    most = abs(cross_track_m(off, metres))
    if window["good_deg"] is None or not off:
        return most, None
    first, found = date.fromisoformat(window["since_on"]), date.fromisoformat(row["found_at"][:10])
    if found <= first:
        return most, None
    last = min(date.fromisoformat(line["ends_on"] or window["until_on"]), found)
    days = max((last - first).days, 0)
    guess = even_drift(float(window["good_deg"]), off, (found - first).days, [days], abs(off))
    return most, abs(cross_track_m(guess.expected_error[0], metres))
