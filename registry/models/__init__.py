"""Tables and guards, one module a feature. Importing this package declares all of them."""

from registry.models import (  # noqa: F401
    alignments,
    attachments,
    axis_checks,
    bench_marks,
    calibrations,
    deliveries,
    fleet,
    handling,
    holds,
    impacts,
    installs,
    log,
    meters,
    missions,
    mountings,
    openings,
    outcomes,
    pairings,
    people,
    plans,
    sightings,
    sites,
    units,
    verifications,
)
from registry.models.base import folded_tables, metadata

__all__ = ["folded_tables", "metadata"]
