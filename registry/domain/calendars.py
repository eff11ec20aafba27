"""Due days as entries of a calendar: what is due, on which day, and the name the entry keeps however the day moves."""

from dataclasses import dataclass
from datetime import date, timedelta

from registry.domain.times import say_day

KINDS = {
    "verification": "Verification due",
    "meter": "Meter due",
    "training": "Refresher due",
    "station": "Station check due",
}
#: Every due day says when it is over: a calendar shows it as a day of its own place.
ENDS = "The day ends at 24:00 UTC."


@dataclass(frozen=True, slots=True)
class DueDay:
    """One thing that is due on a day. `key` names the thing for good: its id, or the ids of person and subject;
    `page` is (kind, code or id) of its page."""

    kind: str
    key: str
    on: str
    what: str
    told: str
    page: tuple[str, str]

    @property
    def title(self) -> str:
        return f"{KINDS[self.kind]}: {self.what}"

    @property
    def words(self) -> str:
        return f"{self.told} {ENDS}"

    @property
    def until(self) -> str:
        """The day after: the end of an all-day entry is not part of it (RFC 5545, 3.6.1)."""
        return (date.fromisoformat(self.on) + timedelta(days=1)).isoformat()

    def uid(self, log: str) -> str:
        """The same for as long as the thing is; `log` is the name of this log, so that two registries never clash."""
        host, _, letter = log.partition("/")
        return f"{self.kind}-{self.key}-{letter}@{host}"


def good_to(day: str) -> str:
    return f"Good to {say_day(day)}."
