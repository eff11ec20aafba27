"""How often the long runs repeat: as often as they say by hand, a third of it where time is bounded (`.ci/run`)."""

import os


def rounds(number: int) -> int:
    return -(-number // 3) if os.environ.get("PAIRBOOK_CI") else number
