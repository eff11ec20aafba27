"""What something found bad was used for, as history stands: read alike by the acts that freeze the list, by the count
anew, and by the page that says whether the two differ."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

import sqlalchemy as sa

from registry.domain.impacts import KINDS, Use, Window, say_window
from registry.domain.times import say_day
from registry.domain.verifications import KINDS as VERIFIED
from registry.models import impact_rows as rows
from registry.models.looking_back import stays_in_doubt
from registry.models.own_numbers import own_numbers
from registry.models.seeks import EVER

_FIRST = "2000-01-01T00:00:00.000000Z"


def found_bad(
    db: sa.Connection,
    subject: str,
    id_: str,
    found_at: str,
    now: str,
    *,
    good_on: str | None = None,
    shown_by: str | None = None,
) -> tuple[Window, list[Use]]:
    """The window of what was found bad and every use in it. `subject` is a column of SUBJECTS; `shown_by` the
    verification that found it, which is no use of its own; `good_on` a day a person is known good by."""  # fmt: skip
    if subject == "meter_id":
        window = _window_of_meter(db, id_, found_at)
        return window, _within(window, _told(db, rows.of_meter, {"subject": id_}))
    if subject == "person_id":
        told = "the last day known good" if good_on else "no day known good"
        day = found_at[:10]
        window = Window(good_on, day, say_window(good_on, told, day, "when it was found"))
        first = f"{good_on}T00:00:00.000000Z" if good_on else _FIRST
        return window, _within(window, _told(db, rows.of_person, {"subject": id_, "first": first}))
    return _of_pairs(db, subject, id_, found_at, now, shown_by)


def _of_pairs(
    db: sa.Connection, subject: str, id_: str, found_at: str, now: str, shown_by: str | None
) -> tuple[Window, list[Use]]:
    pairings, good_by, closed_at, closing, itself = _scope(db, subject, id_, found_at, now)
    keys: dict[str, Any] = {"pairings": pairings, "by": good_by, "at": now, "but": itself, "known": EVER}
    good = db.execute(rows.last_good, keys).first()
    since = good.verified_at[:10] if good else None
    until, how = (closed_at, closing) if closed_at else _left_use(db, pairings, found_at, now)
    stays = [stay for one in pairings for stay in stays_in_doubt(db, one, since, min(closed_at or found_at, found_at))]
    what = f"its last good result ({VERIFIED[good.kind]})" if good else "no good result before it is on record"
    told = say_window(since, what, until[:10], how) + _split(db, pairings, since, until)
    window = Window(since, until[:10], told, _number_of(db, good))
    keys = {"pairings": pairings, "installations": [one["installation"] for one in stays]}
    found = _within(window, _told(db, rows.of_pairs, keys))
    apart = {good.id if good else None, shown_by, itself}
    return window, [use for use in found if use.id not in apart]


def _scope(
    db: sa.Connection, subject: str, id_: str, found_at: str, now: str
) -> tuple[list[str], str, str | None, str, str | None]:
    """(pairings, instant by which a good result counts, instant at which a later result closed the window, how it did,
    what is itself found bad and is no good result)."""
    if subject == "half_id":
        listed = db.execute(rows.pairings_of_half, {"half": id_, "at": found_at}).all()
        return [row.id for row in listed], found_at, None, "", None
    if subject == "verification_id":
        row: Any = db.execute(rows.one_verification, {"subject": id_}).one()
        keys = {"pairings": [row.pairing_id], "but": id_, "after": row.verified_at, "known": EVER, "at": now}
        after = db.execute(rows.next_good, keys).first()
        closed = after.verified_at if after and after.verified_at < found_at else None
        return [row.pairing_id], row.verified_at, closed, "when it was next verified", id_
    if subject == "calibration_id":
        row = db.execute(rows.one_calibration, {"subject": id_}).one()
        keys = {"pairings": [row.pairing_id], "day": row.calibrated_on}
        day = db.execute(rows.next_calibration, keys).scalar()
        closed = f"{day}T00:00:00.000000Z" if day and day <= found_at[:10] else None
        return [row.pairing_id], f"{row.calibrated_on}T00:00:00.000000Z", closed, "when it was next calibrated", id_
    return [id_], found_at, None, "", None


def _left_use(db: sa.Connection, pairings: list[str], found_at: str, now: str) -> tuple[str, str]:
    """When a pair that was found bad left use: when it came out of the bay it sat in, else when it was found."""
    removed = list(db.execute(rows.holding, {"pairings": pairings, "at": found_at}).scalars())
    if not removed:
        return found_at, "when it was found"
    until = removed[0]
    return (until, "when it came out") if until and until <= now else (now, "for it sits in a bay still")


def _number_of(db: sa.Connection, good: sa.Row | None) -> str | None:
    """The pair’s own number at its last good result; None when that was no heading check."""
    if good is None or good.kind != "heading_check":
        return None
    numbers = own_numbers(db, good.pairing_id, good.verified_at)
    mine = next((one for one in numbers if one.verification_id == good.id), None)
    return None if mine is None else f"{mine.value if mine.as_left is None else mine.as_left:.9f}"


def _split(db: sa.Connection, pairings: list[str], since: str | None, until: str) -> str:
    """A sentence for each change of firmware within the window: before it the pair ran in another configuration."""
    halves = {id_ for row in db.execute(rows.halves_of, {"pairings": pairings}) for id_ in row[:2]}
    runs: dict[str, str] = {}
    told = ""
    for row in db.execute(rows.firmwares, {"halves": sorted(halves), "at": until}):
        before = runs.get(row.half_id)
        runs[row.half_id] = row.version
        if before and before != row.version and row.since_at[:10] >= (since or ""):
            told += (
                f" Firmware {row.version} was read on {say_day(row.since_at)}: what was run before ran under {before}."
            )
    return told


def _window_of_meter(db: sa.Connection, id_: str, found_at: str) -> Window:
    """From the last calibration before it was found; one that found it out of tolerance that very day is the finding."""
    day = found_at[:10]
    listed = db.execute(rows.meter_good, {"subject": id_, "day": day}).all()
    good = next(
        (row.calibrated_on for row in listed if row.as_found != "outside" or row.calibrated_on < day),
        None,
    )
    ended = db.execute(rows.meter_ended, {"subject": id_}).scalar()
    left = ended[:10] if ended and ended < found_at else ""
    until, how = (left, "when it left use") if left > (good or "") else (day, "when it was found")
    what = "when it was last calibrated" if good else "no calibration before it is on record"
    return Window(good, until, say_window(good, what, until, how))


def _told(
    db: sa.Connection, statements: Mapping[str, sa.Select[Any]], keys: dict[str, Any]
) -> list[tuple[str, sa.RowMapping]]:
    return [
        (kind, row) for kind in KINDS if kind in statements for row in db.execute(statements[kind], keys).mappings()
    ]


def _within(window: Window, found: Iterable[tuple[str, sa.RowMapping]]) -> list[Use]:
    """Those uses that overlap the window, both end days counted."""
    from registry.inertial.look_back import Use as Day
    from registry.inertial.look_back import uses_to_assess

    uses = {f"{kind} {row['id']}": _use(kind, row) for kind, row in found}
    days = [
        Day(name, date.fromisoformat(one.starts_on), date.fromisoformat(one.ends_on or window.until_on if one.kind == "mission" and one.starts_on <= window.until_on else one.starts_on))
        for name, one in uses.items()
    ]  # fmt: skip
    since = date.fromisoformat(window.since_on) if window.since_on else None
    listed = uses_to_assess(days, since, date.fromisoformat(window.until_on))
    return [uses[name] for name in listed.needs_assessment]


def _use(kind: str, row: sa.RowMapping) -> Use:
    words = row["told"]
    if kind == "verification":
        words = f"{VERIFIED[row['kind']][0].upper()}{VERIFIED[row['kind']][1:]} of {words}"
    return Use(kind, row["id"], words, row["since"][:10], row["until"][:10] if row["until"] else None)
