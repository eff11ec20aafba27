"""ESD sign-offs on record: one person at one station for a time, and whether one holds at an instant."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import NEVER, later, say
from registry.errors import Reason


@dataclass(frozen=True, slots=True)
class Signoff:
    """A sign-off on record."""

    id: str
    person: str
    station: str
    station_kind: str
    site_id: str
    signed_at: str
    good_to_at: str
    ended_at: str | None
    verdict: str


def good_to(signed_at: str, hours: int) -> str:
    """Until when a sign-off signed then holds, by the hours of the plan."""
    return later(signed_at, hours=hours)


def reasons_without_signoff(
    person: str, signoffs: Iterable[Signoff], at: str, *, named: Signoff | None = None, site_id: str | None = None
) -> tuple[list[Reason], Signoff | None]:
    """Whether a sign-off of that very person holds at `at`, and which. `signoffs` are in the order they were signed
    (of two in one instant, as they were entered); `named` is the one the act points at, if any.

    A protected area protects at its own site only; a field kit goes along.
    """
    own = [s for s in signoffs if s.person == person and s.signed_at <= at]
    reason = _why_not_signed(person, own[-1] if own else None, at, named, site_id)
    return ([reason], None) if reason else ([], own[-1])


def _why_not_signed(
    person: str, last: Signoff | None, at: str, named: Signoff | None, site_id: str | None
) -> Reason | None:
    def missing(told: str, do: str = "Take the readings and sign for yourself before the bag or the hull is opened."):
        return Reason("no_esd_signoff", told, "esd_signoff", do)

    if named and named.person != person:
        return missing("That sign-off is another person’s; nobody signs for another.")
    if last is None:
        return missing(f"There is no ESD sign-off of the person who did it before {say(at)}.")
    if named and named.id != last.id:
        told = f"That sign-off was not the last: another was signed at {last.station} on {say(last.signed_at)}."
        return missing(told, "Leave the field empty, or look at the time.")
    ended = min(last.good_to_at, last.ended_at or NEVER)
    if not last.signed_at <= at < ended:
        return missing(f"The last sign-off, at {last.station}, held from {say(last.signed_at)} to {say(ended)}.")
    if last.verdict != "pass":
        told = f"The last sign-off, at {last.station} on {say(last.signed_at)}, is {last.verdict}."
        return Reason("esd_failed", told, "esd_signoff", "Mend what failed, read again and sign.")
    if site_id and last.station_kind == "protected_area" and last.site_id != site_id:
        return missing(f"The last sign-off is at {last.station}, which is at another site than the vehicle.")
    return None
