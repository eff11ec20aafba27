"""Every day on which something falls due, for the calendar of one person."""

from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.calendars import DueDay, good_to
from registry.domain.people import TRAINING
from registry.models.due import dues
from registry.models.handling import station_check
from registry.models.people import departure, person_private, training
from registry.models.seeks import AT, EVER, known, newest
from registry.models.sites import site, station
from registry.queries.meters import meters_listed

_newest_checks, _newest_trainings = station_check.alias("newest_checks"), training.alias("newest_trainings")
_checks = (
    select(station.c.id, station.c.code, station.c.name, site.c.name.label("site"), station_check.c.good_to_on)
    .join(station, station.c.id == station_check.c.station_id)
    .join(site, site.c.id == station.c.site_id)
    .where(
        station_check.c.id == newest(_newest_checks, "checked_at", _newest_checks.c.station_id == station_check.c.station_id),
        station_check.c.good_to_on.is_not(None), station_check.c.verdict == "pass",
    )
)  # fmt: skip
_last_training = (
    select(_newest_trainings.c.id)
    .where(
        _newest_trainings.c.person_id == training.c.person_id,
        _newest_trainings.c.subject == training.c.subject,
        known(_newest_trainings),
    )
    .order_by(_newest_trainings.c.good_to_on.desc(), _newest_trainings.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)
_trainings = (
    select(training.c.person_id, training.c.subject, training.c.good_to_on, person_private.c.name)
    .join(person_private, person_private.c.person_id == training.c.person_id)
    .outerjoin(departure, sa.and_(departure.c.person_id == training.c.person_id, departure.c.left_at <= AT))
    .where(
        training.c.id == _last_training,
        departure.c.id.is_(None),
        sa.or_(bindparam("all_people", type_=sa.Integer) == 1, training.c.person_id == bindparam("person")),
    )
)


def due_days(db: sa.Connection, at: str, person: str, *, everybody: bool) -> list[DueDay]:
    """What is due and when, as it stands at the instant: of all pairs, meters and stations, and the refreshers of this
    person, or of everybody who is here. A fixed number of statements."""
    found = [*_pairs(db, at), *_meters(db, at), *_stations(db, at), *_refreshers(db, at, person, everybody)]
    return sorted(found, key=lambda one: (one.on, one.title, one.key))


def _pairs(db: sa.Connection, at: str) -> Iterator[DueDay]:
    for due in dues(db, at).values():
        yield DueDay(
            "verification", due.pairing_id, due.due_on, f"pair {due.pair}", due.say(), ("pairing", due.pairing_id)
        )


def _meters(db: sa.Connection, at: str) -> Iterator[DueDay]:
    for row in meters_listed(db, at):
        if row["due_on"] and not row["ended_at"]:
            what = f"{row['name']}, {row['site']}"
            yield DueDay("meter", row["id"], row["due_on"], what, good_to(row["due_on"]), ("meter", row["id"]))


def _stations(db: sa.Connection, at: str) -> Iterator[DueDay]:
    for row in db.execute(_checks, {"at": at, "known": EVER}):
        what = f"{row.name}, {row.site}"
        yield DueDay("station", row.id, row.good_to_on, what, good_to(row.good_to_on), ("station", row.code))


def _refreshers(db: sa.Connection, at: str, person: str, everybody: bool) -> Iterator[DueDay]:
    keys = {"at": at, "known": EVER, "person": person, "all_people": int(everybody)}
    for row in db.execute(_trainings, keys):
        what = f"{row.name}, {TRAINING[row.subject]}"
        key = f"{row.person_id}-{row.subject}"
        yield DueDay("training", key, row.good_to_on, what, good_to(row.good_to_on), ("person", row.person_id))
