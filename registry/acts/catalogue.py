"""All the acts there are. Importing this module declares them; `ACTS` then holds each by its name."""

from registry.acts import (  # noqa: F401
    alignments,
    amendments,
    attachments,
    axis_checks,
    carried_alignments,
    deliveries,
    dvl_runs,
    fleet,
    handling,
    holds,
    installs,
    mountings,
    moves,
    openings,
    outfit,
    pairings,
    people,
    sightings,
    sites,
    types,
    unboxing,
    units,
)
from registry.acts.act import ACTS, LIFT

__all__ = ["ACTS", "LIFT"]
