"""All the acts there are. Importing this module declares them; `ACTS` then holds each by its name."""

from registry.acts import (  # noqa: F401
    amendments,
    attachments,
    deliveries,
    fleet,
    handling,
    holds,
    installs,
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
)
from registry.acts.act import ACTS, LIFT

__all__ = ["ACTS", "LIFT"]
