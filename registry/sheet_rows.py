"""A row of a spreadsheet from outside, whatever the file, and what no sheet that anybody keeps comes to."""

from dataclasses import dataclass, field
from typing import Any

from registry.domain.imports import MOST_ROWS
from registry.errors import Reason, Refused

#: So many rows without a cell, one after the other, are no sheet that anybody keeps.
MOST_EMPTY = 100_000


@dataclass(slots=True)
class Row:
    """A row by its number in the file: letter of a column -> its cell, and what is wrong with the row, each a sentence."""

    number: int
    cells: dict[str, Any]
    faults: list[str] = field(default_factory=list)


def no(told: str, then: str) -> Refused:
    """The file is refused, in a sentence of what is wrong and one of what to do."""
    return Refused(Reason("wrong_file", told, "file", then))


def refuse_too_many(count: int) -> None:
    """Raise `Refused` at more rows than are taken."""
    if count > MOST_ROWS + 1:
        raise no(f"The file has more than {MOST_ROWS:,} rows.", "Send it in parts.")


def refuse_emptiness(count: int) -> None:
    """Raise `Refused` at more empty rows in a row than anybody means."""
    if count > MOST_EMPTY:
        told = f"The file has more than {MOST_EMPTY:,} empty rows, one after the other."
        raise no(told, "Delete them, save the sheet and send it again.")
