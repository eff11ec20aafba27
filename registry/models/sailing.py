"""What stands against a vehicle for the days of a mission, read: for the act that starts it and for the pages before it."""

import sqlalchemy as sa

from registry.domain.findings import Finding
from registry.domain.fit import findings
from registry.domain.fit_use import ASKED
from registry.domain.sailing import voyage_left
from registry.models.fit import facts_at
from registry.models.seeks import EVER


def findings_to_sail(
    db: sa.Connection, vehicle_id: str, at: str, since: str, until: str | None, use: str, known: int = EVER
) -> list[Finding]:
    """Findings as they stand at `at`, asked about from `since` to the planned end and for the use of the mission."""
    asked = use if use in ASKED else None
    read = facts_at(db, at, known, [vehicle_id], voyage=voyage_left(since, until), use=asked)
    return findings(read[0].facts) if read else []
