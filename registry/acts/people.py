"""People: who works here, in which roles from when to when, with which training; and the outfit itself."""

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.ids import new_id
from registry.acts.shapes import DayText, Line, PersonRef, one_from
from registry.domain.calendar import months_later
from registry.domain.codes import ALPHABET
from registry.domain.people import REFRESHER_MONTHS, ROLES, TRAINING, May
from registry.domain.times import say, say_day, write_rfc3339
from registry.errors import Reason
from registry.models.people import departure, person_private, person_role

Role = one_from(ROLES)
Subject = one_from(TRAINING)

_live_roles = select(person_role.c.id, person_role.c.role, person_role.c.given_at, person_role.c.seq).where(
    person_role.c.person_id == bindparam("person"), person_role.c.ended_at.is_(None), person_role.c.voided_seq.is_(None)
)
_left = select(departure.c.left_at).where(departure.c.person_id == bindparam("person"))
_same_name = select(person_private.c.person_id).where(person_private.c.name == bindparam("name"))


class PersonPrivate(BaseModel):
    """What is kept of a person outside the log, so that it can be taken out of the registry one day."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    name: Line = Field(title="Name", description="As it stands on the badge.")
    badge: Line | None = Field(None, title="Badge", description="Number or text of the badge, if it has one.")


def keep_person_private(db: sa.Connection, person: str, private: dict[str, Any]) -> None:
    known = db.execute(select(person_private.c.person_id).where(person_private.c.person_id == person)).first()
    if known:
        db.execute(person_private.update().where(person_private.c.person_id == person).values(**private))
    else:
        db.execute(person_private.insert(), {"person_id": person, **private})


class FoundOutfit(Act, name="found_outfit", may=May.KEEP, says="Found the registry"):
    """Open the log: the outfit it is kept for, and its first keeper. The first entry of every registry."""

    private = PersonPrivate

    outfit: Line = Field(title="Outfit", description="Whose units and vehicles these are.")
    origin: Line = Field(
        "K", title="First character of codes", description="One character; no two registries that may meet share it."
    )
    label_host: Line = Field(
        "pairbook.example", title="Host on labels", description="The host that the labels’ addresses name."
    )
    invented: bool = Field(
        False, title="Invented data", description="Everything in this registry is made up, to show how it works."
    )
    anchor_on: DayText | None = Field(None, title="Anchor day", description="The day that invented history ends on.")

    def decide(self, case: Case) -> Decision:
        reasons = []
        if case.size:
            reasons.append(
                Reason(
                    "already_known",
                    "This registry has been founded; its log is not empty.",
                    next="Use it, or choose another instance folder.",
                )
            )
        if self.origin not in ALPHABET:
            reasons.append(
                Reason("wrong_form", f"“{self.origin}” cannot begin a code. Choose one of {ALPHABET}.", "origin")
            )
            return Decision(reasons)
        # The registry has no letter of its own yet: the drawer is told the one this act brings.
        return Decision(reasons, {"origin": self.origin, "code": case.draw(self.origin)})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        named = {name: entry.body[name] for name in ("origin", "label_host", "invented", "anchor_on")}
        return [
            Add("outfit", {"id": entry.id, "name": entry.body["outfit"], **named}),
            Add("person", {"id": entry.by, "code": entry.decided["code"]}),
            _role_row(entry, entry.derived("role"), entry.by, "keeper"),
        ]

    @staticmethod
    def keep_private(db: sa.Connection, entry: Entry, private: dict[str, Any]) -> None:
        keep_person_private(db, entry.by, private)


def founding(
    now: datetime, randbits: Callable[[int], int], *, outfit: str, keeper: str, **more: Any
) -> tuple[dict[str, Any], str]:
    """The first act of a registry as it is sent, and the id its keeper will have: nobody is there yet to sign it."""
    id_ = new_id(now, randbits)
    told = {
        "act": "found_outfit",
        "version": 1,
        "id": id_,
        "happened_at": write_rfc3339(now),
        "outfit": outfit,
        "private": {"name": keeper},
        **more,
    }
    return told, str(uuid.uuid5(uuid.UUID(id_), "person"))


class AddPerson(Act, name="add_person", may=May.KEEP, says="Add a person"):
    """A person who may sign acts once they have a role and a password."""

    private = PersonPrivate

    role: Role | None = Field(None, title="First role", description="More can be given later.")

    def decide(self, case: Case) -> Decision:
        name = case.ready.get("private", {}).get("name")
        reasons = []
        if name and case.db.execute(_same_name, {"name": name}).first():
            reasons.append(
                Reason(
                    "already_known",
                    f"{name} is in the registry already.",
                    "private.name",
                    "Add what tells the two apart.",
                )
            )
        return Decision(reasons, {"code": case.draw()})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        made: list[Effect] = [Add("person", {"id": entry.id, "code": entry.decided["code"]})]
        if entry.body["role"]:
            made.append(_role_row(entry, entry.derived("role"), entry.id, entry.body["role"]))
        return made

    @staticmethod
    def keep_private(db: sa.Connection, entry: Entry, private: dict[str, Any]) -> None:
        keep_person_private(db, entry.id, private)


class RenamePerson(Act, name="rename_person", may=May.KEEP, says="Change a person’s name"):
    """Put another name or badge beside a person. The log keeps that it was done, not the name."""

    private = PersonPrivate

    person: PersonRef = Field(title="Person")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return []

    @staticmethod
    def keep_private(db: sa.Connection, entry: Entry, private: dict[str, Any]) -> None:
        keep_person_private(db, entry.ids["person"], private)


class GiveRole(Act, name="give_role", may=May.KEEP, says="Give a role"):
    """A role that a person holds from the instant of the act on."""

    person: PersonRef = Field(title="Person")
    role: Role = Field(title="Role")

    def decide(self, case: Case) -> Decision:
        person = case.ids["person"]
        reasons = [_gone(left)] if (left := case.db.execute(_left, {"person": person}).scalar()) else []
        live = {row.role: row for row in case.db.execute(_live_roles, {"person": person})}
        if self.role in live:
            reasons.append(
                Reason(
                    "already_so",
                    f"That person is {ROLES[self.role]} since {say_day(live[self.role].given_at)}.",
                    "role",
                    "There is nothing to do.",
                )
            )
        return Decision(reasons, touched=max((row.seq for row in live.values()), default=0))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_role_row(entry, entry.id, entry.ids["person"], entry.body["role"])]


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
        None, title="Good to", description=f"{REFRESHER_MONTHS} months later, if the plan says nothing else."
    )
    given_by: Line = Field("in house", title="Given by")

    def decide(self, case: Case) -> Decision:
        reasons = []
        good_to = self.good_to_on or months_later(self.trained_on, REFRESHER_MONTHS)
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
                    f"{TRAINING[self.subject]} is usually refreshed after {REFRESHER_MONTHS} months.",
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
    """Ends a person's account and roles. Their signatures stand, judged by their authority on the day."""

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


def _role_row(entry: Entry, id_: str, person: str, role: str) -> Add:
    return Add(
        "person_role", {"id": id_, "person_id": person, "role": role, **entry.moment("given"), **no_moment("ended")}
    )


def _gone(left: str) -> Reason:
    return Reason("already_so", f"That person left on {say_day(left)}.", "person", "Choose somebody who is here.")


def _before(given: str) -> Reason:
    return Reason(
        "overlaps_history",
        f"The role was given on {say(given)}; it cannot end before.",
        "happened_at",
        "Look at the day and time.",
    )
