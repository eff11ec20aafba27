"""The certificate of an audit: everything a sheet of paper says of it, with the checkpoint it stands on."""

import base64
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa

from registry.acts import log
from registry.domain.audits import SCOPES, WHAT_IT_IS, say_not_settled
from registry.domain.second_checks import say_counts
from registry.queries.audits import AuditPage, LineShown, audit_lines, audit_page
from registry.queries.second_checks import checks_in_audit


@dataclass(frozen=True, slots=True)
class Certificate:
    """A closed audit as it is printed. `log_size` and `root` (base64) are the log up to the entry that closed it: whoever
    holds a later copy can show that every entry named here stands in it unchanged."""

    reference: str
    what_it_is: str
    scope: str
    where: str
    against: str
    auditor: str
    opened_at: str
    opened_seq: int
    closed_at: str
    closed_by: str
    words: str
    counts: dict[str, int]
    seated_pairs_checked: dict[str, int]
    lines: tuple[LineShown, ...]
    discrepancies: tuple[sa.RowMapping, ...]
    not_settled: int
    log_size: int
    root: str

    @property
    def total(self) -> int:
        return len(self.lines)

    @property
    def as_recorded(self) -> int:
        return self.counts.get("sighted", 0)

    @property
    def told_not_settled(self) -> str:
        """How many discrepancies are not settled, in a sentence; nothing where all are."""
        return say_not_settled(self.not_settled)

    @property
    def checked(self) -> str:
        """How many seated pairs were looked at by somebody else than who seated them, in a sentence."""
        return say_counts(self.seated_pairs_checked)

    def told(self) -> dict[str, Any]:
        """All of it as plain data."""
        named = {
            name: getattr(self, name) for name in self.__dataclass_fields__ if name not in ("lines", "discrepancies")
        }
        lines = [asdict(line) for line in self.lines]
        return {**named, "lines": lines, "discrepancies": [dict(one) for one in self.discrepancies]}


def certificate(db: sa.Connection, audit_id: str, at: str) -> Certificate | None:
    """The certificate of a closed audit; None while it is open."""
    page: AuditPage = audit_page(db, audit_id, at)
    row = page.row
    if row["closed_at"] is None:
        return None
    size = row["closed_seq"]
    return Certificate(
        reference=row["reference"], what_it_is=WHAT_IT_IS, scope=SCOPES[row["scope"]], where=row["site"] or row["vehicle"] or "", against=row["against"],
        auditor=row["auditor"] or "", opened_at=row["opened_at"], opened_seq=row["seq"], closed_at=row["closed_at"], closed_by=row["closed_by"] or "", words=row["words"] or "",
        counts=page.counts, seated_pairs_checked=checks_in_audit(db, audit_id, at), lines=audit_lines(db, page), discrepancies=page.discrepancies, not_settled=page.open_ends,
        log_size=size, root=base64.b64encode(log.root(db, size)).decode(),
    )  # fmt: skip
