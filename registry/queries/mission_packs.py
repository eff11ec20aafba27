"""Everything one mission rested on, each with the entries that say so: what an evidence pack tells and proves.

Its statements name nobody: entries hold ids, and so does what goes with them.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.packs import Statement
from registry.domain.second_checks import STATES, SeatChecked
from registry.domain.settings_fit import SettingsStanding
from registry.domain.times import say_day
from registry.models.amendments import amended_bay, amended_person, withdrawal
from registry.models.calibrations import calibration
from registry.models.handling import esd_signoff
from registry.models.installs import amendment
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.pairings import pairing
from registry.models.second_checks import seats_checked
from registry.models.seeks import EVER, ended_by, known
from registry.models.settings import settings_sheet
from registry.models.settings_fit import settings_of
from registry.models.sightings import sighting
from registry.models.standings import Standing, standings
from registry.models.units import half
from registry.models.verifications import verification
from registry.queries import mission_rows
from registry.queries.contracts import terms_of
from registry.queries.fleet import VehicleState, vehicles_at
from registry.queries.halves import HalfShown, halves_shown
from registry.queries.missions import BayRidden, MissionPage, Share, mission_page

_IDS = bindparam("ids", expanding=True)
_opened, _closed = log_entry.alias("opened"), log_entry.alias("closed")
_sensor, _electronics = half.alias("of_sensor"), half.alias("of_electronics")
_stays = (
    select(
        span.c.installation_id, span.c.bay_id, span.c.pairing_id, span.c.sensor_id, span.c.electronics_id, span.c.seq, _opened.c.seq.label("opened_seq"),
        sa.case((ended_by(span, "removed_at").is_not(None), _closed.c.seq)).label("closed_seq"), _sensor.c.seq.label("sensor_seq"), _electronics.c.seq.label("electronics_seq"),
        pairing.c.grade, pairing.c.statement, pairing.c.stated_on, pairing.c.seq.label("stated_seq"),
    )
    .select_from(span)
    .join(pairing, pairing.c.id == span.c.pairing_id)
    .join(_opened, _opened.c.act_id == span.c.opened_by)
    .outerjoin(_closed, _closed.c.act_id == span.c.closed_by)
    .join(_sensor, _sensor.c.id == span.c.sensor_id)
    .join(_electronics, _electronics.c.id == span.c.electronics_id)
    .where(span.c.installation_id.in_(_IDS), known(span))
)  # fmt: skip
_signoffs, _sheets = (
    select(table.c.id, table.c.seq).where(table.c.id.in_(_IDS)) for table in (esd_signoff, settings_sheet)
)
_verifications = select(verification.c.id, verification.c.seq, sa.case((ended_by(verification, "reviewed_at").is_not(None), verification.c.closed_seq)).label("closed_seq")).where(verification.c.id.in_(_IDS))  # fmt: skip
_certificates = select(calibration.c.pairing_id, calibration.c.calibrated_on, calibration.c.seq).where(calibration.c.pairing_id.in_(_IDS), known(calibration))  # fmt: skip
_scans = select(sighting.c.bay_id, sighting.c.sighted_at, sighting.c.seq).where(
    sighting.c.bay_id.in_(_IDS), sighting.c.outcome == "as_recorded", known(sighting)
)
_acts = select(log_entry.c.act_id).where(log_entry.c.seq.in_(_IDS))
_put_right = sa.union_all(
    *(
        select(table.c.seq).where(table.c[column].in_(_IDS), known(table))
        for table, column in (
            (amendment, "amended_act_id"),
            (amended_bay, "amended_act_id"),
            (amended_person, "amended_act_id"),
            (withdrawal, "withdrawn_act_id"),
        )
    )
)
_lines = (
    select(log_entry.c.seq, log_entry.c.act, log_entry.c.happened_at, log_entry.c.leaf)
    .where(log_entry.c.seq.in_(_IDS))
    .order_by(log_entry.c.seq)
)


@dataclass(frozen=True, slots=True)
class Ridden:
    """A share of a mission with what else it rested on: both halves, the statement, the settings."""

    bay: BayRidden
    share: Share
    stay: sa.RowMapping
    sensor: HalfShown
    electronics: HalfShown
    standing: Standing
    settings: SettingsStanding
    checked: SeatChecked

    @property
    def name(self) -> str:
        return f"Bay {self.bay.letter}, {self.share.pair}"


@dataclass(frozen=True, slots=True)
class Evidence:
    """A mission, what it rode on, its vehicle as it sailed, and every statement; `lines` are the entries as the log has them."""

    page: MissionPage
    ridden: tuple[Ridden, ...]
    sailed: VehicleState | None
    statements: tuple[Statement, ...]
    lines: tuple[sa.Row, ...]


def mission_evidence(db: sa.Connection, mission_id: str, at: str, known_size: int = EVER) -> Evidence | None:
    """What a mission rested on, or None when it was not known or had not sailed."""
    page = mission_page(db, mission_id, at, known_size)
    if page is None or page.span is None:
        return None
    ridden = tuple(_ridden(db, page, at, known_size))
    sailed = next(iter(vehicles_at(db, page.span.since, known_size, [page.row["vehicle_id"]])), None)
    found = _Entries(db, page, ridden, at, known_size)
    terms = terms_of(db, page.row["vehicle_id"], page.span.since, known_size)
    bound = [(f"Contract {one.term.reference}: {one.state} as it sailed", [one.seq]) for one in terms]
    told = [*_of_mission(page), *bound, *found.of_shares(), *_of_sailing(sailed), *found.of_doubts()]
    statements = tuple(_whole(told))
    statements += tuple(_put_right_later(db, statements, known_size))
    seqs = sorted({seq for one in statements for seq in one.entries})
    return Evidence(page, ridden, sailed, statements, tuple(db.execute(_lines, {"ids": seqs})))


def _ridden(db: sa.Connection, page: MissionPage, at: str, known_size: int) -> Iterator[Ridden]:
    assert page.span is not None
    shares = [(bay, share) for bay in page.bays for share in bay.shares]
    ids = [share.installation_id for _bay, share in shares]
    keys = {"ids": ids, "at": at, "known": known_size}
    stays = {row["installation_id"]: row for row in db.execute(_stays, keys).mappings()}
    both = [row[name] for row in stays.values() for name in ("sensor_id", "electronics_id")]
    halves = halves_shown(db, both, page.span.until, known_size)
    stood = standings(db, ids, page.span.until, known_size)
    settings = settings_of(db, ids, page.span.until, known_size)
    checked = seats_checked(db, ids, page.span.until, known_size)
    for bay, share in shares:
        id_, stay = share.installation_id, stays[share.installation_id]
        sensor, electronics = halves[stay["sensor_id"]], halves[stay["electronics_id"]]
        yield Ridden(bay, share, stay, sensor, electronics, stood.get(id_, Standing()), settings.get(id_, SettingsStanding()), checked[id_])  # fmt: skip


def _whole(told: Iterable[tuple[str, Iterable[int | None]]]) -> Iterator[Statement]:
    """Statements with their entries in order, each once; what rests on none is left out."""
    for words, seqs in told:
        if found := tuple(sorted({seq for seq in seqs if seq})):
            yield Statement(words, found)


Told = Iterator[tuple[str, Iterable[int | None]]]


def _of_mission(page: MissionPage) -> Told:
    row = page.row
    yield f"Mission {row['reference']}: entered", [row["seq"]]
    yield f"Mission {row['reference']}: start", [one.seq for one in page.run_entries]
    ended = [one.closed_seq for one in page.run_entries] if row["ended_at"] else []
    yield f"Mission {row['reference']}: end", ended
    for one in page.amended:
        yield f"Mission {row['reference']}, put right: {one.say()}", [one.seq]
    yield f"Mission {row['reference']}: what it ran", [row["distance_seq"]]
    for hold in page.holds:
        yield f"Hold during it: {hold['reason']}", [hold["seq"], hold["closed_seq"] if hold["released_at"] else None]
    for one in page.impacts:
        yield f"Impact of {one.unnamed}: {one.answer_said} What was found: {one.reason}", one.entries


def _of_sailing(sailed: VehicleState | None) -> Told:
    if sailed is None:
        return
    for one in sailed.housings:
        closing = [one.closed_seq, one.tested_seq, one.closing.seq if one.closing else None]
        yield f"{one.name.capitalize()} housing as it sailed: closing, leak test, closing sheet", closing
    for found in sailed.findings:
        yield f"Finding at sailing ({found.severity}): {found.fact}", [found.seq]
        if found.accepted:
            yield f"Named acceptance of it: {found.fact}", [found.accepted.seq]


class _Entries:
    """The entries behind what pages tell by id, read once for all shares."""

    def __init__(self, db: sa.Connection, page: MissionPage, ridden: tuple[Ridden, ...], at: str, known_size: int):
        self._db, self._ridden, self._known = db, ridden, known_size
        self._keys = {"at": at, "known": known_size}
        dues = [one.share.due for one in ridden if one.share.due]
        bays = [one.stay["bay_id"] for one in ridden]
        self._signoffs = {row.id: row.seq for row in self._rows(_signoffs, (one.share.signoff_id for one in ridden))}
        self._sheets = {row.id: row.seq for row in self._rows(_sheets, (one.settings.load.sheet_id if one.settings.load else None for one in ridden))}  # fmt: skip
        self._verified = {row.id: row for row in self._rows(_verifications, (id_ for due in dues for id_ in (due.good_id, due.last_id)))}  # fmt: skip
        self._certificates = {(row.pairing_id, row.calibrated_on): row.seq for row in self._rows(_certificates, (due.pairing_id for due in dues))}  # fmt: skip
        self._scans = {(row.bay_id, row.sighted_at): row.seq for row in self._rows(_scans, bays)}
        halves = [one.stay[name] for one in ridden for name in ("sensor_id", "electronics_id")]
        told = self._keys | {"bays": bays, "halves": halves}
        self._doubts = db.execute(mission_rows.differences, told).all() if page.unconfirmed else []

    def _rows(self, query: Any, ids: Iterable[str | None]) -> list[sa.Row]:
        return list(self._db.execute(query, self._keys | {"ids": sorted({id_ for id_ in ids if id_})}))

    def of_shares(self) -> Told:
        for one in self._ridden:
            for words, seqs in self._of_share(one):
                yield f"{one.name}: {words}", seqs

    def _of_share(self, one: Ridden) -> Told:
        share, stay, settings = one.share, one.stay, one.settings
        yield f"sensor half {one.sensor.serial} on record", [stay["sensor_seq"]]
        yield f"electronics half {one.electronics.serial} on record", [stay["electronics_seq"]]
        yield f"matched-pair statement {stay['statement']}", [stay["stated_seq"]]
        yield "put in", [stay["opened_seq"], stay["seq"]]
        yield "taken out", [stay["closed_seq"]]
        yield "ESD sign-off that held when it was put in", [self._signoffs.get(share.signoff_id or "")]
        if looked := one.checked.one:
            yield f"how it sat: {STATES[one.checked.state]}", [looked.seq]
        if due := share.due:
            yield f"verification: {due.say()}", self._of_verification(due.good_id, due.last_id)
            yield "factory certificate", [self._certificates.get((due.pairing_id, due.calibrated_on))]
        if aligned := share.alignment:
            yield f"alignment: {share.alignment_said}", [aligned.seq, aligned.answer_seq]
        if check := share.axis_check:
            yield f"axis and sign check: {share.check_said}", [check.seq]
        if felt := one.standing.mounting:
            yield "mounting check", [felt.seq]
        if load := settings.load:
            yield f"settings, version {load.version}, written and loaded", [self._sheets.get(load.sheet_id), load.seq]
        if read := settings.read_back:
            yield "read-back of the settings", [read.seq]
        yield f"last scan that proved it there, {say_day(share.proved_at)}", [self._scans.get((stay["bay_id"], share.proved_at))]  # fmt: skip

    def _of_verification(self, *ids: str | None) -> list[int | None]:
        rows = [self._verified[id_] for id_ in ids if id_ in self._verified]
        return [seq for row in rows for seq in (row.seq, row.closed_seq)]

    def of_doubts(self) -> Told:
        for row in self._doubts:
            yield f"Not settled: {row.words}", [row.seq]


def _put_right_later(db: sa.Connection, statements: Iterable[Statement], known_size: int) -> Iterator[Statement]:
    """What later entries put right about any of these."""
    seqs = sorted({seq for one in statements for seq in one.entries})
    acts = list(db.execute(_acts, {"ids": seqs}).scalars())
    later = db.execute(_put_right, {"ids": acts, "known": known_size}).scalars()
    yield from _whole([("Put right later: times, bays, persons, or taken back", later)])
