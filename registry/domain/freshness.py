"""How old the proof is that a pair is where the record has it, and how many days rest on it.

A scan at the bay proves it: of both halves as they went in, or by a sighting that found what is recorded.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from registry.domain.findings import Finding
from registry.domain.times import say, say_day
from registry.errors import Offer


def days_since(proved_at: str, at: str) -> int:
    """Days of the calendar from the scan to the instant; none when the scan is of that day or later."""
    return max((date.fromisoformat(at[:10]) - date.fromisoformat(proved_at[:10])).days, 0)


def say_age(proved_at: str, at: str) -> str:
    """`today`, `yesterday`, `12 days ago`, `14 months ago`: as people say how old something is, by days of the calendar."""
    days = days_since(proved_at, at)
    if days < 2:
        return "yesterday" if days == 1 else "today"
    if days < 61:
        return f"{days} days ago"
    return f"{days // 30} months ago" if days < 730 else f"{days // 365} years ago"


def say_rest(days: int) -> str:
    """`12 mission days rest on it`: what somebody would have to answer for if the pair were not there."""
    if days == 0:
        return "no mission day rests on it"
    return f"{days:,} mission {'day rests' if days == 1 else 'days rest'} on it"


def say_scan(proved_at: str | None, days: int, at: str, before: str = "") -> str:
    """`Last scanned there 3 May 2026, 12 days ago; 5 mission days rest on it.` With `before`, for what is read later:
    `12 days before the audit was closed`."""
    if proved_at is None:
        return f"Never scanned there; {say_rest(days)}."
    passed = days_since(proved_at, at)
    age = f"{passed:,} {'day' if passed == 1 else 'days'} {before}" if before else say_age(proved_at, at)
    return f"Last scanned there {say_day(proved_at)}, {age}; {say_rest(days)}."


def say_seen(proved_at: str | None, days: int) -> str:
    """`3 May 2026, 09:25 UTC; 5 mission days rest on it`, for a sheet that has a place of its own for the last scan."""
    return f"{say(proved_at) if proved_at else 'Never'}; {say_rest(days)}"


def say_mission_days(days: int) -> str:
    """`12 mission days`, `no mission days`"""
    return f"{days:,} mission {'day' if days == 1 else 'days'}" if days else "no mission days"


def days_resting(spans: Iterable[tuple[str, str | None]], proved_at: str, at: str) -> int:
    """Days of work that rest on the scan: of the spans (from, to or still running) what lies after it, up to the instant.

    Days are calendar days in UTC: a day that two spans share counts once, and one that is only begun counts whole.
    """
    days: set[int] = set()
    for since, until in spans:
        first, last = max(since, proved_at), min(until or at, at)
        if first <= last:
            days |= set(
                range(date.fromisoformat(first[:10]).toordinal(), date.fromisoformat(last[:10]).toordinal() + 1)
            )
    return len(days)


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something seen or done that puts in doubt what the record has in a bay: a half was sighted elsewhere or not there, or
    the vehicle was on loan. `half` is the half it is about, None for the whole vehicle."""

    kind: str
    at: str
    told: str
    seq: int
    half: str | None = None


def findings_of_doubts(
    doubts: Iterable[Doubt], bay: str, bay_id: str, pair: str, proved_at: str | None, installed_at: str
) -> list[Finding]:
    """What stands against a bay whose pair was not scanned there since. A scan that finds the pair there clears it.

    `proved_at` is None for a pair that was carried over and that nobody has scanned in its bay yet.
    """
    since = [one for one in doubts if one.at > (proved_at or installed_at)]
    if not since:
        return []
    last = max(since, key=lambda one: (one.at, one.seq))
    proof = (
        f"{pair} was scanned there last on {say_day(proved_at)}." if proved_at else f"{pair} was never scanned there."
    )
    offer = Offer("record_sighting", f"Sight bay {bay}", {"bay": bay_id})
    strayed = {one.half for one in since if one.kind == "elsewhere"}
    if len(strayed) == 1:
        fact = f"Bay {bay}: its halves were sighted at different places"
        return [Finding("stops", "halves_apart", fact, f"{last.told} {proof}", last.seq, bay, offer)]
    why = {
        "loan": "since a loan",
        "elsewhere": "since a sighting elsewhere",
        "not_there": "since a sighting that found something else",
    }
    fact = f"Bay {bay}: not confirmed {why[last.kind]}"
    return [Finding("care", "not_confirmed", fact, f"{last.told} {proof}", last.seq, bay, offer)]
