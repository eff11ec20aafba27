"""All the acts there are. Importing this module declares them; `ACTS` then holds each by its name."""

from registry.acts import (  # noqa: F401
    amendments,
    attachments,
    deliveries,
    fleet,
    handling,
    holds,
    installs,
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
