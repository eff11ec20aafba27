"""Whether `.ci/run` is at work: there time is bounded, and the long runs do a third of what they do by hand; and there
nothing may be missing."""

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
IN_CI = bool(os.environ.get("PAIRBOOK_CI"))


def rounds(number: int) -> int:
    """How often something is repeated."""
    return -(-number // 3) if IN_CI else number


def some(things: Sequence[T]) -> Sequence[T]:
    """Which of many things alike are tried: every third, begun at one of the first three by their number."""
    return things[len(things) % 3 :: 3] if IN_CI else things
