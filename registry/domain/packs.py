"""What an evidence pack tells, and what its document is called."""

from typing import NamedTuple

FORMAT, VERSION = "pairbook evidence pack", 1
#: The name of the document in the PDF it is attached to.
FILE = "evidence.json"


class Statement(NamedTuple):
    """One thing that is told, in words that name nobody, and the entries of the log it rests on."""

    told: str
    entries: tuple[int, ...]
