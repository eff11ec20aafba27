"""Carried over: history that a team kept in a spreadsheet before, entered by a named keeper. What is not asked of it, and
what is: everything else."""

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


def is_asked(reason: Reason) -> bool:
    """Whether this reason stands although the act is carried over.

    A half that was rejected has been inspected: there is nothing left to offer, and it stays out.
    """
    if reason.code == "not_accepted" and reason.offer is None:
        return True
    return reason.code not in NOT_ASKED
