"""What stands against a mission since it sailed: something it rode on was found bad, and what was answered to it."""

from dataclasses import dataclass

from registry.domain.impacts import ANSWERS

#: Answers from the worst on; a line that nobody answered may be as bad as any, short of data that were withdrawn.
WORST_FIRST: tuple[str | None, ...] = ("withdrawn", None, "usable", "not_affected")
_UNANSWERED = "found bad, not answered yet"


@dataclass(frozen=True, slots=True)
class MissionImpact:
    """A line of an impact that is of the mission. `unnamed` is `of` without the name of a person; `entries` are the
    finding, the count that listed the line, and every answer; the newest answer counts."""

    id: str
    of: str
    unnamed: str
    reason: str
    found_at: str
    line_id: str
    listed_at: str
    answer: str | None
    heading_deg: str | None
    error_m: str | None
    words: str
    answered_at: str | None
    answered_by: str | None
    entries: tuple[int, ...]

    @property
    def state(self) -> str:
        return ANSWERS[self.answer] if self.answer else _UNANSWERED

    @property
    def answer_said(self) -> str:
        """`Affected, usable with a stated uncertainty: 46.1 m.`"""
        metres = f": {float(self.error_m):.1f} m" if self.error_m else ""
        return f"{self.state[0].upper()}{self.state[1:]}{metres}."


def worst_first(impacts: list[MissionImpact]) -> tuple[MissionImpact, ...]:
    """The worst answer first; of answers alike, the one that costs most."""
    return tuple(
        sorted(impacts, key=lambda one: (WORST_FIRST.index(one.answer), -float(one.error_m or 0), one.found_at, one.id))
    )
