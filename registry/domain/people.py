"""Roles, what each may do, and training: judged by the day of the deed, never by today."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.domain.times import NEVER, end_of_day, say, say_day
from registry.errors import Reason

ROLES = {
    "technician": "technician",
    "workshop_lead": "workshop lead",
    "verifier": "verifier",
    "release_authority": "release authority",
    "fleet_manager": "fleet manager",
    "auditor": "auditor",
    "keeper": "keeper",
}
TRAINING = {
    "esd": "ESD handling",
    "pressure_housings": "pressure housings",
    "lifting": "lifting",
    "lithium": "lithium batteries",
    "fibre": "fibre optics",
}


class May:
    """Who may do what: one name for each set of roles, used by acts and pages alike."""

    ANYONE = frozenset(ROLES)
    KEEP = frozenset({"keeper"})
    EQUIP = frozenset({"keeper", "workshop_lead"})
    RECEIVE = frozenset({"technician", "workshop_lead"})
    PAIR = frozenset({"workshop_lead"})
    INSTALL = frozenset({"technician", "workshop_lead"})
    FLEET = frozenset({"fleet_manager", "workshop_lead"})
    MOVE = frozenset({"technician", "workshop_lead", "fleet_manager"})
    SIGHT = frozenset({"technician", "workshop_lead", "fleet_manager", "auditor"})
    RELEASE = frozenset({"release_authority"})
    ACCEPT = frozenset({"release_authority", "fleet_manager"})
    VERIFY = frozenset({"verifier", "workshop_lead"})
    SHIP_CHECK = frozenset({"verifier", "workshop_lead", "technician"})
    REVIEW = frozenset({"verifier", "workshop_lead", "release_authority"})
    APPROVE = frozenset({"release_authority", "fleet_manager"})
    SETTLE = frozenset({"workshop_lead", "fleet_manager", "release_authority"})
    EXPORT = frozenset({"keeper", "auditor", "fleet_manager"})
    AUDIT = frozenset({"auditor"})
    ASSESS = frozenset({"verifier", "workshop_lead", "fleet_manager", "release_authority"})
    STATE = frozenset({"technician", "verifier", "workshop_lead"})
    AMEND = frozenset({"workshop_lead", "fleet_manager", "keeper"})


@dataclass(frozen=True, slots=True)
class RoleHeld:
    role: str
    given_at: str
    ended_at: str | None


@dataclass(frozen=True, slots=True)
class Trained:
    subject: str
    trained_on: str
    good_to_on: str


def roles_at(held: Iterable[RoleHeld], at: str) -> frozenset[str]:
    """The roles held at an instant."""
    return frozenset(r.role for r in held if r.given_at <= at < (r.ended_at or NEVER))


def name_roles(roles: Iterable[str]) -> str:
    """`a technician or a workshop lead`, in the order of the house."""
    named = [f"{'an' if ROLES[r][0] in 'aeiou' else 'a'} {ROLES[r]}" for r in ROLES if r in roles]
    return named[0] if len(named) == 1 else f"{', '.join(named[:-1])} or {named[-1]}"


def reasons_not_allowed(who: str, may: frozenset[str], roles: frozenset[str], at: str, deed: str) -> list[Reason]:
    """Whether somebody's roles at `at` allow what `deed` names ("install a pair")."""
    if roles & may:
        return []
    were = "were" if who == "you" else "was"
    held = f"{were} {name_roles(roles)}" if roles else "held no role"
    return [
        Reason(
            "not_allowed",
            f"Only {name_roles(may)} may {deed}. On {say(at)}, {who} {held}.",
            next="Ask one of them to do it, or ask a keeper to give the role.",
        )
    ]


def reasons_not_trained(who: str, subject: str, trainings: Iterable[Trained], at: str) -> list[Reason]:
    """Training of that subject, given by the day and good to the end of its last day."""
    known = [t for t in trainings if t.subject == subject and t.trained_on <= at[:10]]
    if any(at < end_of_day(t.good_to_on) for t in known):
        return []
    label = TRAINING[subject]
    if known:
        last = max(t.good_to_on for t in known)
        message = f"{who}’s training in {label} was good to {say_day(last)}."
    else:
        message = f"No training of {who} in {label} is on record for {say_day(at)}."
    return [
        Reason("not_trained", message, next="Have the training or refresher recorded, or let a trained person do it.")
    ]
