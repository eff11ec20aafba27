"""People with their roles and training, sites with their stations."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import select

from registry.models.people import departure, person, person_private, person_role, training
from registry.models.seeks import AT, EVER, KNOWN, in_force, known
from registry.models.sites import site, station

_people = (
    select(person.c.id, person.c.code, person_private.c.name, person_private.c.badge, departure.c.left_at)
    .outerjoin(person_private, person_private.c.person_id == person.c.id)
    .outerjoin(departure, sa.and_(departure.c.person_id == person.c.id, departure.c.left_at <= AT))
    .where(person.c.seq <= KNOWN)
    .order_by(person_private.c.name)
)
_roles = (
    select(person_role.c.person_id, person_role.c.role, person_role.c.given_at)
    .where(in_force(person_role, "given_at", "ended_at"))
    .order_by(person_role.c.given_at)
)
_trainings = (
    select(training.c.person_id, training.c.subject, training.c.trained_on, training.c.good_to_on)
    .where(known(training))
    .order_by(training.c.trained_on)
)
_sites = select(site).order_by(site.c.name)
_stations = (
    select(station.c.id, station.c.code, station.c.name, station.c.kind, station.c.site_id, site.c.name.label("site"))
    .join(site, site.c.id == station.c.site_id)
    .order_by(site.c.name, station.c.name)
)


@dataclass(frozen=True, slots=True)
class PersonShown:
    """A person with roles and training in force at the instant."""

    id: str
    code: str
    name: str | None
    badge: str | None
    left_at: str | None
    roles: tuple[str, ...]
    trainings: tuple[sa.Row, ...]


def people_listed(db: sa.Connection, at: str, known_size: int = EVER) -> list[PersonShown]:
    """Everybody, by name."""
    keys = {"at": at, "known": known_size}
    roles = db.execute(_roles, keys).all()
    # The newest training of each subject says until when it holds.
    trainings = {(t.person_id, t.subject): t for t in db.execute(_trainings, keys)}
    return [
        PersonShown(
            *row,
            tuple(r.role for r in roles if r.person_id == row.id),
            tuple(t for (who, _), t in trainings.items() if who == row.id),
        )
        for row in db.execute(_people, keys)
    ]


def sites_listed(db: sa.Connection) -> list[sa.RowMapping]:
    return list(db.execute(_sites).mappings())


def stations_listed(db: sa.Connection) -> list[sa.RowMapping]:
    return list(db.execute(_stations).mappings())
