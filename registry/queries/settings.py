"""Settings as pages, JSON and the command line show them: of a bay, one sheet alone, what a unit still holds, a comparison."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.readbacks import Compared, Differing, KnownSheet, compare, differing_values
from registry.domain.settings import Line
from registry.domain.settings_fit import SettingsStanding
from registry.errors import Offer
from registry.models.columns import Id
from registry.models.fleet import bay, vehicle
from registry.models.known_sheets import BAY_NAME, known_sheets, lines_of
from registry.models.log import log_entry
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, known, newest
from registry.models.settings import readback_value, settings_file, settings_load, settings_readback, settings_sheet
from registry.models.settings_fit import settings_of
from registry.models.units import unit_type
from registry.queries import alignment_rows

_BAY, _SHEET = bindparam("bay", type_=Id), bindparam("sheet", type_=Id)
_files, _loads = settings_file.alias("files"), settings_load.alias("loads")
_sheets = (
    select(
        settings_sheet, BAY_NAME, bay.c.code.label("bay_code"), bay.c.letter, bay.c.from_bow_m, vehicle.c.name.label("vehicle"), vehicle.c.hull,
        vehicle.c.length_m, (unit_type.c.maker + " " + unit_type.c.name).label("type_name"), person_private.c.name.label("by"),
    )
    .select_from(settings_sheet)
    .join(bay, bay.c.id == settings_sheet.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .join(unit_type, unit_type.c.id == settings_sheet.c.unit_type_id)
    .join(log_entry, log_entry.c.seq == settings_sheet.c.seq)
    .outerjoin(person_private, person_private.c.person_id == log_entry.c.done_by_id)
    .where(known(settings_sheet), settings_sheet.c.since_at <= AT)
    .order_by(vehicle.c.name, bay.c.letter, settings_sheet.c.version.desc())
)  # fmt: skip
_of_bay = _sheets.where(settings_sheet.c.bay_id == _BAY)
_one = _sheets.where(settings_sheet.c.id == _SHEET)
_loads_of = (
    select(settings_load.c.loaded_at, settings_load.c.seq, pairing.c.name.label("pair"), pairing.c.id.label("pairing_id"))
    .select_from(settings_load)
    .join(pairing, sa.and_(pairing.c.electronics_id == settings_load.c.half_id, pairing.c.paired_at <= settings_load.c.loaded_at,
                           sa.or_(pairing.c.ended_at.is_(None), pairing.c.ended_at > settings_load.c.loaded_at), pairing.c.voided_seq.is_(None)))
    .where(settings_load.c.settings_sheet_id == _SHEET, known(settings_load), settings_load.c.loaded_at <= AT)
    .order_by(settings_load.c.loaded_at.desc(), settings_load.c.seq.desc())
)  # fmt: skip
_held = (
    select(settings_load.c.settings_sheet_id, settings_load.c.loaded_at, settings_load.c.seq)
    .where(settings_load.c.id == newest(_loads, "loaded_at", _loads.c.half_id == bindparam("half", type_=Id)))
)  # fmt: skip
_file = select(settings_file.c.outcome, settings_file.c.saved_at, settings_file.c.seq).where(
    settings_file.c.id == newest(_files, "saved_at", _files.c.installation_id == bindparam("installation", type_=Id))
)
_values_read = (
    select(readback_value)
    .where(readback_value.c.settings_readback_id == bindparam("read", type_=Id))
    .order_by(readback_value.c.number)
)
_reported = select(settings_readback).where(settings_readback.c.id == bindparam("read", type_=Id))


@dataclass(frozen=True, slots=True)
class BaySettings:
    """The settings of a bay: its sheets, newest first, the lines of the one in force, and how the stay stands."""

    sheets: tuple[sa.RowMapping, ...]
    lines: tuple[Line, ...]
    pair: str | None
    standing: SettingsStanding
    kept: sa.Row | None
    reported: sa.RowMapping | None
    values_read: tuple[sa.Row, ...]
    steps: tuple[Offer, ...]

    @property
    def in_force(self) -> sa.RowMapping | None:
        return self.sheets[0] if self.sheets else None


def bay_settings(db: sa.Connection, bay_id: str, at: str, known_size: int = EVER) -> BaySettings:
    """The settings section of a bay. Seven statements, whatever there is to find."""
    keys: dict[str, Any] = {"bay": bay_id, "at": at, "known": known_size}
    sheets = tuple(db.execute(_of_bay, keys).mappings())
    lines = tuple(lines_of(db, sheets[0]["id"] if sheets else None))
    stay = db.execute(alignment_rows.stay, keys).first()
    seated = stay.installation_id if stay else None
    standing = settings_of(db, [seated] if seated else [], at, known_size).get(seated or "", SettingsStanding())
    kept = db.execute(_file, keys | {"installation": seated}).first()
    read = {"read": standing.read_back.id if standing.read_back else None}
    reported, values = db.execute(_reported, read).mappings().first(), tuple(db.execute(_values_read, read))
    steps = tuple(_steps(bay_id, sheets, standing, stay is not None, kept))
    return BaySettings(sheets, lines, stay.pair if stay else None, standing, kept, reported, values, steps)


def _steps(bay_id: str, sheets: Any, standing: SettingsStanding, seated: bool, kept: Any) -> list[Offer]:
    """What comes next, in the order of the work."""
    key = {"bay": bay_id}
    if not sheets:
        return [Offer("write_settings_sheet", "Write the settings sheet", key)]
    steps = []
    if seated and (standing.load is None or standing.load.sheet_id != sheets[0]["id"] or standing.load.firmware_at):
        steps.append(Offer("load_settings", f"Load version {sheets[0]['version']}", key))
    if seated and kept is None:
        steps.append(Offer("keep_settings_file", "Keep its file before it is pulled", key))
    return [*steps, Offer("write_settings_sheet", "Write the next version", key)]


@dataclass(frozen=True, slots=True)
class SheetPage:
    """One sheet: its lines, what is another than on the version before, and where it was loaded."""

    row: sa.RowMapping
    lines: tuple[Line, ...]
    changed: tuple[Differing, ...]
    before: KnownSheet | None
    loads: tuple[sa.Row, ...]
    newest: sa.RowMapping


def sheet_page(db: sa.Connection, sheet_id: str, at: str, known_size: int = EVER) -> SheetPage | None:
    """One sheet, or None when it was not known yet."""
    keys: dict[str, Any] = {"sheet": sheet_id, "at": at, "known": known_size}
    row = db.execute(_one, keys).mappings().first()
    if row is None:
        return None
    listed = list(db.execute(_of_bay, keys | {"bay": row["bay_id"]}).mappings())
    earlier = next((one["id"] for one in listed if one["version"] == row["version"] - 1), None)
    both = {sheet.id: sheet for sheet in known_sheets(db, at, known_size, [sheet_id, earlier or sheet_id])}
    before = both.get(earlier or "")
    changed = differing_values(both[sheet_id], before) if before else []
    loads = tuple(db.execute(_loads_of, keys))
    return SheetPage(row, tuple(lines_of(db, sheet_id)), tuple(changed), before, loads, listed[0])


def sheet_of_bay(db: sa.Connection, bay_id: str, version: int | None, at: str, known_size: int = EVER) -> str | None:
    """The id of a version of a bay’s sheet, or of the newest."""
    listed = db.execute(_of_bay, {"bay": bay_id, "at": at, "known": known_size}).mappings()
    return next((row["id"] for row in listed if version in (None, row["version"])), None)


@dataclass(frozen=True, slots=True)
class Held:
    """The sheet an electronics half still holds, since when, and what is another on the sheet of the bay it goes into.

    `differs` says of each value what the half holds (`read`) and what the bay wants."""

    sheet: KnownSheet
    loaded_at: str
    seq: int
    wanted: KnownSheet | None
    differs: tuple[Differing, ...]


def held_by(db: sa.Connection, half_id: str, bay_id: str, at: str, known_size: int = EVER) -> Held | None:
    """What was loaded last into a half, compared with the sheet in force of a bay; None when nothing is on record."""
    row = db.execute(_held, {"half": half_id, "at": at, "known": known_size}).first()
    if row is None:
        return None
    wanted_id = sheet_of_bay(db, bay_id, None, at, known_size)
    both = {one.id: one for one in known_sheets(db, at, known_size, [row.settings_sheet_id, wanted_id or ""])}
    mine, wanted = both[row.settings_sheet_id], both.get(wanted_id or "")
    differs = tuple(differing_values(mine, wanted)) if wanted else ()
    return Held(mine, row.loaded_at, row.seq, wanted, differs)


def compared(
    db: sa.Connection, read: Mapping[str, str], bay_id: str | None, at: str, known_size: int = EVER
) -> Compared | None:
    """The values read, compared with every sheet; with a bay, with what its unit ought to hold first of all."""
    wanted = None
    if bay_id:
        one = bay_settings(db, bay_id, at, known_size)
        wanted = one.standing.load.sheet_id if one.standing.load else one.in_force["id"] if one.in_force else None
    return compare(read, known_sheets(db, at, known_size), bay_id, wanted)
