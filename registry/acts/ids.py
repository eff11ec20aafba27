"""Ids of acts: UUIDs of version 7, made by whoever sends the act. The rows an act makes have ids derived from its own."""

import uuid
from collections.abc import Callable
from datetime import datetime


def new_id(now: datetime, randbits: Callable[[int], int]) -> str:
    """A UUID of version 7 (RFC 9562 section 5.7). Nothing ever reads a time from one: slips are printed months before."""
    ms = int(now.timestamp() * 1000)
    value = ms << 80 | 7 << 76 | randbits(12) << 64 | 2 << 62 | randbits(62)
    return str(uuid.UUID(int=value))
