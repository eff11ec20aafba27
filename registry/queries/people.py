"""People with their roles and training, sites with their stations, and sign-offs."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.handling import esd_reading, esd_signoff
from registry.models.people import departure, person, person_private, person_role, training
from registry.models.seeks import AT, EVER, KNOWN, ended_by, in_force, known
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
_signoffs = (
    select(
        esd_signoff.c.id, esd_signoff.c.person_id, person_private.c.name.label("person"), station.c.name.label("station"), station.c.kind, station.c.code.label("station_code"),
        site.c.name.label("site"), esd_signoff.c.signed_at, esd_signoff.c.verdict, esd_signoff.c.good_to_at, ended_by(esd_signoff, "ended_at").label("ended_at"),
        esd_signoff.c.end_reason, esd_signoff.c.seq,
    )
    .join(station, station.c.id == esd_signoff.c.station_id)
    .join(site, site.c.id == station.c.site_id)
    .outerjoin(person_private, person_private.c.person_id == esd_signoff.c.person_id)
    .where(known(esd_signoff), esd_signoff.c.signed_at <= AT)
    .order_by(esd_signoff.c.signed_at.desc())
)  # fmt: skip
_own_signoff = _signoffs.where(esd_signoff.c.person_id == bindparam("person")).limit(1)
_last_signoffs = _signoffs.limit(bindparam("most"))
_one_signoff = _signoffs.where(esd_signoff.c.id == bindparam("signoff"))
_readings = (
    select(esd_reading).where(esd_reading.c.esd_signoff_id == bindparam("signoff")).order_by(esd_reading.c.quantity)
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


def own_signoff(db: sa.Connection, person_id: str, at: str) -> sa.RowMapping | None:
    """The person's last sign-off, whether or not it still holds."""
    return db.execute(_own_signoff, {"person": person_id, "at": at, "known": EVER}).mappings().first()


def signoffs_listed(db: sa.Connection, at: str, most: int = 50) -> list[sa.RowMapping]:
    return list(db.execute(_last_signoffs, {"at": at, "known": EVER, "most": most}).mappings())


def signoff_shown(db: sa.Connection, signoff_id: str, at: str) -> tuple[sa.RowMapping, list[sa.RowMapping]] | None:
    """One sign-off with its readings."""
    row = db.execute(_one_signoff, {"signoff": signoff_id, "at": at, "known": EVER}).mappings().first()
    return (row, list(db.execute(_readings, {"signoff": signoff_id}).mappings())) if row else None
