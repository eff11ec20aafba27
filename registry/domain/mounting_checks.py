"""The mounting check: measured poses of a bay against the 24 ways a square bracket can hold a unit, and what it means.

It says how the unit sits, from what it felt; the axis and sign check says what it gives out. Neither stands in for the
other.
"""

from dataclasses import dataclass

from registry.domain.findings import Finding
from registry.domain.mountings import ORIENTATIONS
from registry.domain.times import say
from registry.errors import Offer

VERDICTS = {"agrees": "agrees", "contradicts": "contradicts", "cannot_decide": "cannot decide"}
#: Between names of orientations where several are left.
BETWEEN = "; "
RAISE_THE_BOW = "Raise the bow by 5° or more, record 60 s, and enter that pose together with the others."


def verdict_of(entered: str | None, left: tuple[str, ...]) -> str:
    """What the orientations that are left say of the entered one. Without an entry nothing can be decided about it."""
    if entered is None:
        return "cannot_decide"
    if entered not in left:
        return "contradicts"
    return "agrees" if left == (entered,) else "cannot_decide"


@dataclass(frozen=True, slots=True)
class MountingCheck:
    """A mounting check on record, newest of its stay. `verdict` was given for the entry of that day; `now` is what the
    same poses say of the entry in force."""

    id: str
    verdict: str
    told: str
    next: str
    checked_at: str
    seq: int
    left: tuple[str, ...]
    entered_then: str | None
    entered: str | None

    @property
    def now(self) -> str:
        return self.verdict if self.entered == self.entered_then else verdict_of(self.entered, self.left)

    @property
    def since(self) -> str:
        """What became of it when the mounting was entered anew; empty while the entry is the one it was judged by."""
        if self.entered == self.entered_then or self.entered is None:
            return ""
        return f"The bay is entered as {ORIENTATIONS[self.entered]} since; with that the same poses say: {VERDICTS[self.now]}."


def finding_of_mounting(check: MountingCheck | None, bay: str, bay_id: str) -> Finding | None:
    """What stands against a bay whose unit was measured to sit otherwise than its mounting says. Nothing else does: a check
    that is missing or cannot decide leaves the axis and sign check to speak.
    """
    if check is None or check.now != "contradicts":
        return None
    told = f"{check.told} {check.since or check.next} Checked {say(check.checked_at)}."
    offer = Offer("record_mounting", "Enter how the bay is mounted", {"bay": bay_id})
    fact = f"Bay {bay}: the measured mounting contradicts the entry"
    return Finding("stops", "mounting_contradicted", fact, told, check.seq, bay, offer)
