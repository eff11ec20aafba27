"""What takes longer than a page may: named by an act before the lock, worked out somewhere else, kept in the entry."""

import json
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from registry.acts.act import Case
from registry.acts.attachments import reasons_of_files
from registry.acts.shapes import FileGiven
from registry.errors import Reason

#: Told how far it is: a share of the whole, or None while that is not known, and words.
Told = Callable[[float | None, str], None]


class LongWork(NamedTuple):
    """Which act asks, the files it is worked out from (hashes), and every figure that goes into it.

    Two acts that ask the same get the same answer: after a wrong PIN nothing is worked out again.
    """

    act: str
    files: tuple[str, ...]
    figures: dict[str, Any]

    @property
    def key(self) -> str:
        return json.dumps(self, sort_keys=True)


def reasons_of_work(case: Case, files: Iterable[FileGiven]) -> list[Reason]:
    """Why there is nothing worked out: a file is not there, or the computation says why not."""
    if reasons := reasons_of_files(case, files):
        return reasons
    if cannot := case.ready.get("cannot"):
        return [Reason("cannot_compute", cannot[0], "files", cannot[1] or None)]
    return []
