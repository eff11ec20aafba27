"""Tables and guards, one module a feature. Importing this package declares all of them."""

from registry.models import (  # noqa: F401
    alignments,
    attachments,
    axis_checks,
    deliveries,
    fleet,
    handling,
    holds,
    installs,
    log,
    mountings,
    openings,
    pairings,
    people,
    sightings,
    sites,
    units,
)
from registry.models.base import folded_tables, metadata

__all__ = ["folded_tables", "metadata"]
