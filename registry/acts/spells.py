"""Times for which something holds for one thing: a role of a person, a type in a bay. They never overlap, and one that
is entered late ends where the next begins."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from registry.acts.entry import Entry, no_moment
from registry.domain.times import NEVER, as_datetime, say, write_rfc3339
from registry.errors import Reason


class Spell(NamedTuple):
    """One of these times. `until_at` is None while it holds."""

    id: str
    since_at: str
    since_offset_min: int
    until_at: str | None
    seq: int


def holding(spells: Iterable[Spell], at: str) -> Spell | None:
    """The spell in force at an instant."""
    return next((one for one in spells if one.since_at <= at < (one.until_at or NEVER)), None)


def until_next(spells: Iterable[Spell], at: str) -> str | None:
    """When the next spell begins after an instant, in RFC 3339; None when none does."""
    after = min((one for one in spells if one.since_at > at), key=lambda one: one.since_at, default=None)
    return write_rfc3339(as_datetime(after.since_at, after.since_offset_min)) if after else None


def reasons_not_to_end(
    since_at: str, ended_at: str | None, at: str, field: str, *, over: str, begun: str, nothing: str
) -> list[Reason]:
    """Why something that began then cannot be ended, answered or settled at an instant: it was already, or only began
    after. `over` and `begun` are sentences with a place for the instant, `nothing` what there is to do when it is over.
    """
    if ended_at:
        return [Reason("already_so", over.format(say(ended_at)), field, nothing)]
    if since_at >= at:
        return [Reason("overlaps_history", begun.format(say(since_at)), "happened_at", "Look at the day and time.")]
    return []


def ended(entry: Entry, until: str | None) -> dict[str, Any]:
    """The two columns for the end of a spell: filled in when it is over before the next begins."""
    return entry.moment("ended", until) if until else no_moment("ended")
