"""How much the long runs do: all they say by hand, a third of it where time is bounded (`.ci/run`)."""

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
BOUNDED = bool(os.environ.get("PAIRBOOK_CI"))


def rounds(number: int) -> int:
    """How often something is repeated."""
    return -(-number // 3) if BOUNDED else number


def some(things: Sequence[T]) -> Sequence[T]:
    """Which of many things alike are tried: every third, begun at one of the first three by their number."""
    return things[len(things) % 3 :: 3] if BOUNDED else things
