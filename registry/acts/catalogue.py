"""All the acts there are. Importing this module declares them; `ACTS` then holds each by its name."""

from registry.acts import (  # noqa: F401
    amendments,
    attachments,
    bench_marks,
    calibrations,
    deliveries,
    fleet,
    handling,
    holds,
    installs,
    intervals,
    meters,
    moves,
    openings,
    outfit,
    pairings,
    people,
    plans,
    sightings,
    sites,
    station_checks,
    types,
    unboxing,
    units,
    verifications,
)
from registry.acts.act import ACTS, LIFT

__all__ = ["ACTS", "LIFT"]
