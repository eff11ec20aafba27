"""Names of people: kept outside the log, so that they can be taken out of the registry one day."""

from typing import Any

import sqlalchemy as sa
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts.shapes import Line
from registry.errors import Reason
from registry.models.people import person_private

_kept = select(person_private.c.name, person_private.c.badge).where(person_private.c.person_id == bindparam("person"))
_same_name = select(person_private.c.person_id).where(person_private.c.name == bindparam("text"))
_same_badge = select(person_private.c.person_id).where(person_private.c.badge == bindparam("text"))


class PersonPrivate(BaseModel):
    """What is kept of a person outside the log, so that it can be taken out of the registry one day."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    name: Line = Field(title="Name", description="As it stands on the badge.")
    badge: Line | None = Field(None, title="Badge", description="Number or text of the badge, if it has one.")


def keep(db: sa.Connection, person: str, private: dict[str, Any]) -> None:
    """Keep what was told of a person; what was left out stays as it is."""
    known = db.execute(select(person_private.c.person_id).where(person_private.c.person_id == person)).first()
    if known:
        db.execute(person_private.update().where(person_private.c.person_id == person).values(**private))
    else:
        db.execute(person_private.insert(), {"person_id": person, **private})


def is_kept(db: sa.Connection, person: str, private: dict[str, Any]) -> bool:
    """Whether this very name and badge are kept of a person, or nothing any more."""
    row = db.execute(_kept, {"person": person}).mappings().first()
    return row is None or all(row[field] == text for field, text in private.items())


def reasons_of_names(db: sa.Connection, private: dict[str, Any], person: str | None = None) -> list[Reason]:
    """Another person has that name or badge already. `person` is the one being renamed, if any."""
    reasons = []
    for field, query in (("name", _same_name), ("badge", _same_badge)):
        text = private.get(field)
        holder = db.execute(query, {"text": text}).scalar() if text else None
        if holder and holder != person:
            told = f"{text} is in the registry already." if field == "name" else f"Another person has the badge {text}."
            do = "Add what tells the two apart." if field == "name" else "Look at the badge again."
            reasons.append(Reason("already_known", told, f"private.{field}", do))
    return reasons
