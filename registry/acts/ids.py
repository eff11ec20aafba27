"""Ids of acts: UUIDs of version 7, made by whoever sends the act. The rows an act makes have ids derived from its own."""

import hashlib
import uuid
from collections.abc import Callable
from datetime import datetime


def new_id(now: datetime, randbits: Callable[[int], int]) -> str:
    """A UUID of version 7 (RFC 9562 section 5.7). Nothing ever reads a time from one: slips are printed months before."""
    ms = int(now.timestamp() * 1000)
    value = ms << 80 | 7 << 76 | randbits(12) << 64 | 2 << 62 | randbits(62)
    return str(uuid.UUID(int=value))


def row_id(*told: str) -> str:
    """The id of an act that a row of a file stands for: the same for the same words, so that a file sent twice acts once.

    Its instant is zero, since none stands in it; the rest (74 bits) comes from the hash of what is told.
    """
    digest = int.from_bytes(hashlib.sha256("\x1f".join(told).encode()).digest(), "big")
    value = 7 << 76 | (digest & 0xFFF) << 64 | 2 << 62 | (digest >> 12) & ((1 << 62) - 1)
    return str(uuid.UUID(int=value))
