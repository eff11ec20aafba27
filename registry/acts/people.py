"""People: who works here, in which roles from when to when, with which training."""

import sqlalchemy as sa
from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.names import PersonPrivate, reasons_of_names
from registry.acts.shapes import DayText, Line, PersonRef, one_from
from registry.acts.spells import Spell, ended, holding, until_next
from registry.domain.calendar import months_later
from registry.domain.people import ROLES, TRAINING, May
from registry.domain.times import say, say_day
from registry.errors import Reason
from registry.models.people import departure, person_role
from registry.models.plans import plan_at
from registry.models.seeks import EVER, in_force

Role = one_from(ROLES)
Subject = one_from(TRAINING)

_live_roles = select(person_role.c.id, person_role.c.role, person_role.c.given_at, person_role.c.seq).where(
    person_role.c.person_id == bindparam("person"),
    person_role.c.ended_at.is_(None),
    person_role.c.voided_seq.is_(None),
)
_spells = select(
    person_role.c.id, person_role.c.given_at, person_role.c.given_offset_min, person_role.c.ended_at, person_role.c.seq,
    person_role.c.role,
).where(person_role.c.person_id == bindparam("person"), person_role.c.voided_seq.is_(None))  # fmt: skip
_keepers = select(sa.func.count(person_role.c.person_id.distinct())).where(
    person_role.c.role == "keeper", in_force(person_role, "given_at", "ended_at")
)
_left = select(departure.c.left_at).where(departure.c.person_id == bindparam("person"))


class AddPerson(Act, name="add_person", may=May.KEEP, says="Add a person"):
    """A person who may sign acts once they have a role and a password."""

    private = PersonPrivate

    role: Role | None = Field(None, title="First role", description="More can be given later.")

    def decide(self, case: Case) -> Decision:
        return Decision(reasons_of_names(case.db, case.ready.get("private", {})), {"code": case.draw()})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        made: list[Effect] = [Add("person", {"id": entry.id, "code": entry.decided["code"]})]
        if entry.body["role"]:
            made.append(_role_row(entry, entry.derived("role"), entry.id, entry.body["role"]))
        return made

    @staticmethod
    def whose(entry: Entry) -> str:
        return entry.id


class RenamePerson(Act, name="rename_person", may=May.KEEP, says="Change a person’s name"):
    """Put another name or badge beside a person. The log keeps that it was done, not the name."""

    private = PersonPrivate

    person: PersonRef = Field(title="Person")

    def decide(self, case: Case) -> Decision:
        return Decision(reasons_of_names(case.db, case.ready.get("private", {}), case.ids["person"]))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return []


class GiveRole(Act, name="give_role", may=May.KEEP, says="Give a role"):
    """A role that a person holds from the instant of the act on, or until they got it again."""

    person: PersonRef = Field(title="Person")
    role: Role = Field(title="Role")

    def decide(self, case: Case) -> Decision:
        person = case.ids["person"]
        reasons = [_gone(left)] if (left := case.db.execute(_left, {"person": person}).scalar()) else []
        rows = case.db.execute(_spells, {"person": person}).all()
        spells = [Spell(*row[:-1]) for row in rows if row.role == self.role]
        held = holding(spells, case.at)
        if held and held.until_at:
            told = f"That person was {ROLES[self.role]} from {say(held.since_at)} to {say(held.until_at)}."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Give it from the end of that time on."))
        elif held:
            told = f"That person is {ROLES[self.role]} since {say_day(held.since_at)}."
            reasons.append(Reason("already_so", told, "role", "There is nothing to do."))
        touched = max((row.seq for row in rows), default=0)
        return Decision(reasons, {"until": until_next(spells, case.at)}, touched)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_role_row(entry, entry.id, entry.ids["person"], entry.body["role"], entry.decided["until"])]


class EndRole(Act, name="end_role", may=May.KEEP, says="End a role"):
    """A role that a person no longer holds. What they did in it stands."""

    person: PersonRef = Field(title="Person")
    role: Role = Field(title="Role")

    def decide(self, case: Case) -> Decision:
        live = [row for row in case.db.execute(_live_roles, {"person": case.ids["person"]}) if row.role == self.role]
        if not live:
            return Decision(
                [Reason("already_so", f"That person is not {ROLES[self.role]}.", "role", "There is nothing to end.")]
            )
        row = live[0]
        reasons = [] if row.given_at < case.at else [_before(row.given_at)]
        if self.role == "keeper" and case.db.execute(_keepers, {"at": case.now, "known": EVER}).scalar() == 1:
            told = "That person is the last keeper; nobody could give a role any more."
            reasons.append(Reason("own_work", told, "person", "Give somebody else the role of keeper first."))
        return Decision(reasons, {"role_id": row.id}, row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Close("person_role", entry.decided["role_id"], entry.moment("ended"))]


class RecordTraining(Act, name="record_training", may=May.KEEP | May.EQUIP, says="Record training"):
    """Training a person had, good until its refresher is due."""

    person: PersonRef = Field(title="Person")
    subject: Subject = Field(title="Subject")
    trained_on: DayText = Field(title="Trained on")
    good_to_on: DayText | None = Field(
        None, title="Good to", description="Empty: as many months later as the plan says."
    )
    given_by: Line = Field(
        "in house", title="Given by", description="The school or outfit. Names of people do not go into the log."
    )

    def decide(self, case: Case) -> Decision:
        reasons = []
        months = plan_at(case.db, None, case.at).count("refresher_months")
        good_to = self.good_to_on or months_later(self.trained_on, months)
        if self.trained_on > case.now[:10]:
            reasons.append(
                Reason(
                    "in_the_future",
                    f"{say_day(self.trained_on)} has not come yet.",
                    "trained_on",
                    "Enter the day the training was had.",
                )
            )
        if good_to <= self.trained_on:
            reasons.append(
                Reason(
                    "wrong_form",
                    "It cannot be good to a day before it was had.",
                    "good_to_on",
                    f"{TRAINING[self.subject]} is refreshed after {months} months by the plan.",
                )
            )
        return Decision(reasons, {"good_to_on": good_to})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {name: entry.body[name] for name in ("subject", "trained_on", "given_by")}
        return [
            Add(
                "training",
                {"id": entry.id, "person_id": entry.ids["person"], **told, "good_to_on": entry.decided["good_to_on"]},
            )
        ]


class RecordDeparture(Act, name="record_departure", may=May.KEEP, says="Record that a person left"):
    """Ends a person’s account and roles. Their signatures stand, judged by their authority on the day."""

    person: PersonRef = Field(title="Person")

    def decide(self, case: Case) -> Decision:
        person = case.ids["person"]
        reasons = []
        if left := case.db.execute(_left, {"person": person}).scalar():
            reasons.append(_gone(left))
        if person == case.by:
            reasons.append(Reason("own_work", "Nobody ends their own account.", "person", "Let another keeper do it."))
        rows = case.db.execute(_live_roles, {"person": person}).all()
        late = [row for row in rows if row.given_at >= case.at]
        reasons += [_before(row.given_at) for row in late]
        return Decision(reasons, {"roles": sorted(row.id for row in rows)}, max((row.seq for row in rows), default=0))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        ended = [Close("person_role", role, entry.moment("ended")) for role in entry.decided["roles"]]
        return [Add("departure", {"id": entry.id, "person_id": entry.ids["person"], **entry.moment("left")}), *ended]


def _role_row(entry: Entry, id_: str, person: str, role: str, until: str | None = None) -> Add:
    row = {"id": id_, "person_id": person, "role": role, **entry.moment("given"), **ended(entry, until)}
    return Add("person_role", row)


def _gone(left: str) -> Reason:
    return Reason("already_so", f"That person left on {say_day(left)}.", "person", "Choose somebody who is here.")


def _before(given: str) -> Reason:
    return Reason(
        "overlaps_history",
        f"The role was given on {say(given)}; it cannot end before.",
        "happened_at",
        "Look at the day and time.",
    )
