"""A planned voyage: from when until when, read from days or instants."""

from dataclasses import dataclass

from registry.domain.times import as_datetime, end_of_day, later, read_day, read_instant, say_day, stamp


@dataclass(frozen=True, slots=True)
class Voyage:
    """From the stamp `since` on, and over at the stamp `until`: a voyage to the 29th ends when that day does."""

    since: str
    until: str

    @property
    def last_on(self) -> str:
        """Its last day."""
        return later(self.until, microseconds=-1)[:10]

    @property
    def hours(self) -> float:
        return (as_datetime(self.until) - as_datetime(self.since)).total_seconds() / 3600

    def say(self) -> str:
        """`15 to 29 May 2026`, the day once when it is one."""
        first, last = say_day(self.since), say_day(self.last_on)
        if first == last:
            return first
        days, months = first.split(), last.split()
        kept = [word for place, word in enumerate(days) if place == 0 or days[place:] != months[place:]]
        return f"{' '.join(kept)} to {last}"


def read_voyage(since: str, until: str) -> Voyage | None:
    """The voyage that two texts name, each a day or an instant with its offset; None when both are empty.

    A day to begin is its first moment; a day to end is its last. ValueError says what is wrong, in a sentence.
    """
    since, until = since.strip(), until.strip()
    if not since and not until:
        return None
    if not since or not until:
        raise ValueError(f"A voyage has two ends: say {'from when' if not since else 'until when'} it goes, too.")
    first = stamp(read_instant(since)) if "T" in since.upper() else f"{read_day(since)}T00:00:00.000000Z"
    last = stamp(read_instant(until)) if "T" in until.upper() else end_of_day(read_day(until))
    voyage = Voyage(first, last)
    if last <= first:
        raise ValueError(f"A voyage from {say_day(first)} cannot end on {say_day(voyage.last_on)}. Look at the days.")
    return voyage
