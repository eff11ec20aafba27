"""Carried over: history that a team kept in a spreadsheet before, entered by a named keeper. What is not asked of it, and
what is: everything else."""

from collections.abc import Iterable

from registry.domain.people import RoleHeld, name_roles
from registry.domain.times import later, say_day
from registry.errors import Reason

#: How the log says that an entry was carried over.
VIA = "import"
#: Codes that do not stand against an act that is carried over, and why. No sign-off, training or inspection is invented
#: in their place: the entry says what was not asked. Roles at the day are not asked either; a keeper answers for it today.
NOT_ASKED = {
    "no_esd_signoff": "sign-offs of that day are not on record here",
    "esd_failed": "sign-offs of that day are not on record here",
    "not_trained": "who did it, and how they were trained, is not on record here",
    "not_accepted": "receiving of that day is not on record here",
}
#: Days before an import from which on nothing is carried over: who did it is here, and is asked what the door asks.
#: (Common practice, no source: a week is entered by hand.)
NOT_SINCE_DAYS = 7
#: How vehicles and bays are made is asked of a keeper as ever: there is nothing to go round.
OF_ANY_DAY = ("add_vehicle", "add_housing", "add_bay")


def reasons_too_recent(act: str, says: str, instants: Iterable[str], now: str) -> list[Reason]:
    """Whether a row tells of what happened in the last days, which goes through the door itself."""
    first = later(now, days=-NOT_SINCE_DAYS)
    newest = max(instants)
    if act in OF_ANY_DAY or newest < first:
        return []
    told = f"The row tells of {say_day(newest)}, less than {NOT_SINCE_DAYS} days before this import."
    then = f"Leave that out of the file: what happened since {say_day(first)} is entered at the door ({says})."
    return [Reason("too_soon", told, next=then)]


def reasons_of_doer(held: Iterable[RoleHeld], has_left: bool, may: frozenset[str]) -> list[Reason]:
    """Whether a row may name this person as who did it: somebody who ever might, or who has left.

    Refused and not only told: who did it is asked for years later, and nobody reads a remark then.
    """
    if has_left or may & {one.role for one in held}:
        return []
    told = f"Whom the row names as having done it was never {name_roles(may)} here."
    then = "Look who it was. If it was them, give them the role from the day they had it; or leave the cell empty."
    return [Reason("not_allowed", told, "done_by", then)]


def is_asked(reason: Reason) -> bool:
    """Whether this reason stands although the act is carried over.

    A half that was rejected has been inspected: there is nothing left to offer, and it stays out.
    """
    if reason.code == "not_accepted" and reason.offer is None:
        return True
    return reason.code not in NOT_ASKED
