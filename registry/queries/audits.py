"""Audits as pages show them: how far each is, the lines that are answered, and where to walk next.

A line that nobody has answered tells its place and nothing of what is expected there.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.audits import HullToOpen, counts_of
from registry.models.audit_lines import newest_answer, place
from registry.models.audits import audit, audit_answer, audit_line
from registry.models.fleet import bay, vehicle
from registry.models.people import person_private
from registry.models.seeks import EVER
from registry.models.sightings import discrepancy
from registry.models.sites import site
from registry.models.units import half
from registry.queries.audit_bays import PlaceLeft, ScanTold, audit_bays

#: Lines a page shows at once.
PAGE = 50
_auditor, _closer, _by = (person_private.alias(name) for name in ("auditor", "closer", "by_name"))
_total = select(sa.func.count()).where(audit_line.c.audit_id == audit.c.id).scalar_subquery()
_done = (
    select(sa.func.count(audit_answer.c.audit_line_id.distinct())).where(audit_answer.c.audit_id == audit.c.id).scalar_subquery()
)  # fmt: skip
_audits = (
    select(
        audit.c.id, audit.c.reference, audit.c.scope, audit.c.site_id, audit.c.vehicle_id, audit.c.against, audit.c.auditor_id, audit.c.opened_at, audit.c.closed_at, audit.c.words,
        audit.c.seq, audit.c.closed_seq, site.c.name.label("site"), vehicle.c.name.label("vehicle"), _auditor.c.name.label("auditor"), _closer.c.name.label("closed_by"),
        _total.label("lines"), _done.label("answered"),
    )
    .outerjoin(site, site.c.id == audit.c.site_id)
    .outerjoin(vehicle, vehicle.c.id == audit.c.vehicle_id)
    .outerjoin(_auditor, _auditor.c.person_id == audit.c.auditor_id)
    .outerjoin(_closer, _closer.c.person_id == audit.c.closed_by_id)
    .order_by(audit.c.opened_at.desc(), audit.c.id)
)  # fmt: skip
_one = _audits.where(audit.c.id == bindparam("audit"))
_lines = (
    select(
        audit_line.c.id, audit_line.c.number, audit_line.c.bay_id, audit_line.c.half_id, audit_line.c.label, vehicle.c.name, bay.c.letter, bay.c.code.label("bay_code"),
        half.c.kind, half.c.code, audit_answer.c.verdict, audit_answer.c.expected, audit_answer.c.found, audit_answer.c.told, audit_answer.c.answered_at,
        audit_answer.c.seq, _by.c.name.label("by"),
    )
    .select_from(audit_line)
    .outerjoin(bay, bay.c.id == audit_line.c.bay_id)
    .outerjoin(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(half, half.c.id == audit_line.c.half_id)
    .outerjoin(audit_answer, audit_answer.c.id == newest_answer)
    .outerjoin(_by, _by.c.person_id == audit_answer.c.by_id)
    .where(audit_line.c.audit_id == bindparam("audit"))
)  # fmt: skip
_in_order = _lines.order_by(audit_line.c.number)
#: Those that differ first, then the newest.
_answered = _lines.where(audit_answer.c.id.is_not(None)).order_by(
    sa.case((audit_answer.c.verdict == "sighted", 1), else_=0), audit_answer.c.answered_at.desc(), audit_line.c.number.desc()
)  # fmt: skip
_some_answered = _answered.limit(bindparam("most")).offset(bindparam("skip"))
_loose_left = _in_order.where(audit_answer.c.id.is_(None), audit_line.c.half_id.is_not(None))
_last_vehicle = (
    select(bay.c.vehicle_id)
    .join(audit_line, audit_line.c.bay_id == bay.c.id)
    .join(audit_answer, audit_answer.c.audit_line_id == audit_line.c.id)
    .where(audit_answer.c.audit_id == bindparam("audit"))
    .order_by(audit_answer.c.answered_at.desc(), audit_answer.c.seq.desc())
    .limit(1)
)
_settler = person_private.alias("settler")
_ends = (
    select(
        discrepancy.c.id, discrepancy.c.words, discrepancy.c.noted_at, discrepancy.c.settled_at, discrepancy.c.answer, discrepancy.c.seq,
        discrepancy.c.closed_seq, _settler.c.name.label("settled_by"),
    )
    .outerjoin(_settler, _settler.c.person_id == discrepancy.c.settled_by_id)
    .where(discrepancy.c.voided_seq.is_(None), discrepancy.c.seq.in_(select(audit_answer.c.seq).where(audit_answer.c.audit_id == bindparam("audit"))))
    .order_by(discrepancy.c.settled_at.is_not(None), discrepancy.c.noted_at, discrepancy.c.id)
)  # fmt: skip
_tally = (
    select(audit_answer.c.verdict)
    .select_from(audit_line)
    .outerjoin(audit_answer, audit_answer.c.id == newest_answer)
    .where(audit_line.c.audit_id == bindparam("audit"))
)


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line with its place in words and, once it is answered, with what was expected there and what was found.
    `scan` is the last scan of what the record has in that bay."""

    id: str
    number: int
    place: str
    bay_code: str | None
    half_code: str | None
    label: str | None
    verdict: str | None
    expected: str
    found: str
    told: str
    answered_at: str | None
    by: str | None
    seq: int | None
    scan: ScanTold | None

    @property
    def disc(self) -> str:
        """The sign that stands for it."""
        signs = {
            "sighted": "whole",
            "halves_apart": "mixed",
            "elsewhere": "mixed",
            "stranger": "unknown",
            "missing": "empty",
        }
        return signs.get(self.verdict or "", "await" if self.verdict is None else "sealed")


@dataclass(frozen=True, slots=True)
class AuditPage:
    """An audit as it stands: what it is, how far it is, where to walk next, what differed."""

    row: sa.RowMapping
    counts: dict[str, int]
    lines: tuple[LineShown, ...]
    left: tuple[PlaceLeft, ...]
    next: PlaceLeft | None
    hulls: tuple[HullToOpen, ...]
    discrepancies: tuple[sa.RowMapping, ...]
    loose_left: tuple[LineShown, ...]
    scans: dict[str, ScanTold]
    skip: int

    @property
    def total(self) -> int:
        return sum(self.counts.values())

    @property
    def answered(self) -> int:
        return self.total - self.counts.get("expected", 0)

    @property
    def shelves_left(self) -> int:
        return self.total - self.answered - len(self.left)

    @property
    def open_ends(self) -> int:
        return sum(1 for one in self.discrepancies if one["settled_at"] is None)

    def told(self) -> dict[str, Any]:
        """All of it as plain data: what JSON says, over HTTP and at the command line alike."""
        return {
            **dict(self.row), "counts": self.counts, "answered": self.answered, "total": self.total, "lines": [asdict(one) for one in self.lines],
            "left": [asdict(one) for one in self.left], "next": asdict(self.next) if self.next else None, "hulls_to_open": [{**asdict(one), "told": one.told(), "waited": one.waited()} for one in self.hulls],
            "discrepancies": [dict(one) for one in self.discrepancies],
        }  # fmt: skip


def audits_listed(db: sa.Connection) -> list[sa.RowMapping]:
    """Every audit, newest first, with how many of its lines are answered."""
    return list(db.execute(_audits).mappings())


def audits_told(db: sa.Connection) -> dict[str, Any]:
    """The list as plain data."""
    return {"audits": [dict(row) for row in audits_listed(db)]}


def audit_page(
    db: sa.Connection, audit_id: str, at: str, viewer: str | None = None, *, skip: int = 0, missing: bool = False
) -> AuditPage:
    """One audit as it stands. `viewer` is who asks; `missing` shows what is still expected on the shelves."""
    keys = {"audit": audit_id, "at": at, "known": EVER}
    row = db.execute(_one, keys).mappings().one()
    counts = counts_of(db.execute(_tally, keys).scalars())
    bays = audit_bays(
        db, audit_id, row["closed_at"] or at, row["closed_seq"] or EVER, viewer, closed=row["closed_at"] is not None
    )
    lines = _shown(db.execute(_some_answered, {**keys, "most": PAGE, "skip": skip}), bays.scans)
    last = db.execute(_last_vehicle, keys).scalar()
    loose = _shown(db.execute(_loose_left, keys), {}) if missing else ()
    ends = tuple(db.execute(_ends, keys).mappings())
    return AuditPage(row, counts, lines, bays.left, bays.next(last), bays.hulls, ends, loose, bays.scans, skip)


def audit_lines(db: sa.Connection, page: AuditPage) -> tuple[LineShown, ...]:
    """Every line of an audit in its order: what a certificate lists."""
    return _shown(db.execute(_in_order, {"audit": page.row["id"]}), page.scans)


def _shown(rows: Iterable[sa.Row], scans: Mapping[str, ScanTold]) -> tuple[LineShown, ...]:
    return tuple(
        LineShown(
            row.id, row.number, _capital(place(row)), row.bay_code, row.code, row.label, row.verdict, row.expected or "", row.found or "", row.told or "",
            row.answered_at, row.by, row.seq, scans.get(row.id),
        )
        for row in rows
    )  # fmt: skip


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
