"""One finding against a vehicle: what every feature that has something to say about deploying says it with; and the named
acceptance of one."""

from dataclasses import dataclass

from registry.domain.times import end_of_day, say_day
from registry.domain.voyages import Voyage
from registry.errors import Offer


@dataclass(frozen=True, slots=True)
class Acceptance:
    """What somebody accepted by name. `evidence` is the entry the finding rested on; `from_on` the day the voyage
    begins, None when it holds from its own instant on; `to_on` its last day."""

    id: str
    bay: str | None
    finding: str
    use: str | None
    evidence: int
    fact: str
    who: str
    reason: str
    accepted_at: str
    from_on: str | None
    to_on: str
    seq: int

    @property
    def since(self) -> str:
        return max(self.accepted_at, f"{self.from_on}T00:00:00.000000Z") if self.from_on else self.accepted_at

    @property
    def until(self) -> str:
        return end_of_day(self.to_on)

    def is_about(self, found: "Finding") -> bool:
        """Whether it answers this finding: another entry under it is another fact, and nobody has accepted that."""
        mine = (self.bay, self.finding, self.use, self.evidence)
        return mine == (found.bay, found.code, found.use, found.seq)

    def holds(self, at: str, voyage: Voyage | None) -> bool:
        """Whether it holds at the instant or, when a voyage is asked about, from its beginning to its end."""
        if voyage is None or at < self.accepted_at:
            return self.since <= at < self.until
        begins = not self.from_on or f"{self.from_on}T00:00:00.000000Z" <= voyage.since
        return begins and voyage.until <= self.until

    def say(self) -> str:
        stop = "" if self.reason[-1:] in ".!?…" else "."
        return f"Accepted by {self.who} {self.say_period()}: {self.reason}{stop}"

    def say_period(self) -> str:
        if self.from_on:
            return f"for the voyage {Voyage(f'{self.from_on}T00:00:00.000000Z', self.until).say()}"
        return f"until {say_day(self.to_on)}"


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. `bay` is the letter it is about, if any; `seq` the entry that is its evidence.

    `use` is the use it was judged for, when that is not the bay’s own. `offer` is the act that clears it. What is `care` has `accepted` when a named person accepted it for the time asked
    about, else `answer`, the act that would; `acceptance_told` says who accepted it, also when that is over.
    """

    severity: str
    code: str
    fact: str
    told: str
    seq: int | None = None
    bay: str | None = None
    offer: Offer | None = None
    accepted: Acceptance | None = None
    acceptance_told: str = ""
    answer: Offer | None = None
    use: str | None = None
