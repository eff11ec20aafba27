"""Whether the people an act names may do it: roles and training by the day of what was done, accounts and acts of the
office by today."""

from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Deed, Signer
from registry.domain.carrying import reasons_of_doer
from registry.domain.people import May, RoleHeld, Trained, reasons_not_allowed, roles_at
from registry.domain.times import say_day
from registry.errors import Reason
from registry.models.people import departure, person_role, training

_roles = select(person_role.c.role, person_role.c.given_at, person_role.c.ended_at).where(
    person_role.c.person_id == bindparam("person"), person_role.c.voided_seq.is_(None)
)
_left = select(departure.c.left_at).where(departure.c.person_id == bindparam("person"))
_trained = select(training.c.subject, training.c.trained_on, training.c.good_to_on).where(
    training.c.person_id == bindparam("person"), training.c.voided_seq.is_(None)
)


def roles_of(case: Case, person: str) -> list[RoleHeld]:
    return [RoleHeld(*row) for row in case.db.execute(_roles, {"person": person})]


def trainings_of(case: Case, person: str) -> list[Trained]:
    return [Trained(*row) for row in case.db.execute(_trained, {"person": person})]


def reasons_of_authority(act: Act, signer: Signer, case: Case) -> list[Reason]:
    """Every reason why these people may not do, enter or check this act."""
    if case.size == 0:
        return []  # The first act founds the registry; it names its own first keeper.
    reasons = _not_here(case, signer)
    deed = act.says[0].lower() + act.says[1:]
    if isinstance(act, Deed):
        doer = "you" if case.done_by == case.by else "the person who did it"
        reasons += reasons_not_allowed(doer, act.may, roles_at(roles_of(case, case.done_by), case.at), case.at, deed)
        if case.done_by != case.by:
            enterers = act.may | May.AMEND
            reasons += reasons_not_allowed(
                "you", enterers, roles_at(roles_of(case, case.by), case.now), case.now, f"enter for another: {deed}"
            )
        reasons += _second(act, signer, case)
    else:
        at = case.at if act.happened else case.now
        reasons += reasons_not_allowed("you", act.may, roles_at(roles_of(case, case.by), at), at, deed)
    return reasons


def reasons_of_carrying(act: Act, signer: Signer, case: Case) -> list[Reason]:
    """Only a keeper who is here today carries history over; whom a row names as who did it might once, or has left."""
    deed = f"carry over: {act.says[0].lower()}{act.says[1:]}"
    held = roles_at(roles_of(case, case.by), case.now)
    reasons = _not_here(case, signer) + reasons_not_allowed("you", May.KEEP, held, case.now, deed)
    if case.done_by != case.by or getattr(act, "done_by", None):
        has_left = case.db.execute(_left, {"person": case.done_by}).first() is not None
        reasons += reasons_of_doer(roles_of(case, case.done_by), has_left, act.may)
    return reasons


def _not_here(case: Case, signer: Signer) -> list[Reason]:
    left = case.db.execute(_left, {"person": signer.person}).scalar()
    if left and left <= case.now:
        return [
            Reason(
                "not_signed_in",
                f"Your account ended on {say_day(left)}.",
                next="Let somebody who is here enter it for you.",
            )
        ]
    return []


def _second(act: Deed, signer: Signer, case: Case) -> list[Reason]:
    if not act.second:
        return []
    second = case.ids["second"]
    if second in (case.done_by, case.by):
        return [
            Reason(
                "needs_second_person",
                "The second person is another one than who did it or signs it.",
                "second",
                "Let somebody else check it.",
            )
        ]
    if signer.second != second:
        return [
            Reason(
                "needs_second_person",
                "The second person has not signed with their own PIN.",
                "second",
                "Let them type their PIN, or leave the field empty.",
            )
        ]
    if not roles_at(roles_of(case, second), case.at):
        return [
            Reason(
                "needs_second_person",
                "The second person held no role on that day.",
                "second",
                "Let somebody with a role check it.",
            )
        ]
    return []
