"""Tables and guards, one module a feature. Importing this package declares all of them."""

from registry.models import (  # noqa: F401
    acceptances,
    alignments,
    amendments,
    attachments,
    audits,
    axis_checks,
    bench_marks,
    calendars,
    calibrations,
    closing_sheets,
    contracts,
    deliveries,
    fleet,
    handling,
    holds,
    installs,
    log,
    meters,
    mounting_checks,
    mountings,
    movement,
    openings,
    pairings,
    people,
    plans,
    settings,
    sightings,
    sites,
    swap_kits,
    type_settings,
    units,
    verifications,
)
from registry.models.base import folded_tables, metadata

__all__ = ["folded_tables", "metadata"]
