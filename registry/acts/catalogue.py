"""All the acts there are. Importing this module declares them; `ACTS` then holds each by its name."""

from registry.acts import (  # noqa: F401
    alignments,
    amendments,
    attachments,
    axis_checks,
    bench_marks,
    calibrations,
    carried_alignments,
    deliveries,
    dvl_runs,
    fleet,
    handling,
    holds,
    installs,
    intervals,
    meters,
    mountings,
    moves,
    openings,
    outfit,
    pairings,
    people,
    plans,
    sightings,
    sites,
    station_checks,
    swap_kits,
    types,
    unboxing,
    units,
    verifications,
)
from registry.acts.act import ACTS, LIFT

__all__ = ["ACTS", "LIFT"]
