"""What the form that starts a mission shows beside its fields: what stands against the vehicle it would send out."""

from registry import access
from registry.acts.references import resolve
from registry.domain.findings import Finding
from registry.domain.sailing import against
from registry.domain.times import stamp
from registry.errors import Reason
from registry.queries.missions import mission_page


def against_start(named: str) -> list[Finding]:
    """What stands against starting the mission of this id or reference now; nothing when none is meant."""
    now = stamp(access.now())
    with access.instance().database.reading() as db:
        found = resolve(db, "mission", named, now, "mission")
        page = None if isinstance(found, Reason) else mission_page(db, found, now)
    return against(page.ahead) if page else []
