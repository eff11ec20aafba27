"""Settings and closing sheets in the history of bays, pairs, halves, housings and vehicles: one statement for all of it."""

from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from sqlalchemy import select

from registry.domain.closing_sheets import VERDICTS as CLOSED
from registry.domain.readbacks import VERDICTS
from registry.domain.settings import SAVED, say_checksum
from registry.models.closing_sheets import closing_sheet
from registry.models.fleet import bay, housing, vehicle
from registry.models.installs import installation
from registry.models.openings import housing_closing
from registry.models.seeks import AT, known
from registry.models.settings import settings_file, settings_load, settings_readback, settings_sheet
from registry.queries.history_rows import B, G, H, P, V

_BAY = vehicle.c.name + ", bay " + bay.c.letter
_IN_STAYS = sa.or_(
    installation.c.bay_id.in_(B), installation.c.pairing_id.in_(P), installation.c.sensor_id.in_(H), installation.c.electronics_id.in_(H)
)  # fmt: skip


def _told(table: Any, when: str, kind: str, where: Any, number: Any, words: Any, more: Any) -> sa.Select[Any]:
    return select(
        table.c[when].label("at"), sa.literal(kind).label("kind"), where.label("place"), number.label("number"), words.label("words"),
        more.label("more"), table.c.seq,
    ).where(known(table), table.c[when] <= AT)  # fmt: skip


def _of_stay(selected: sa.Select[Any], table: Any) -> sa.Select[Any]:
    return (
        selected.select_from(table)
        .join(installation, installation.c.id == table.c.installation_id)
        .join(bay, bay.c.id == installation.c.bay_id)
        .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
        .where(_IN_STAYS)
    )


_NONE = sa.literal(0)
_loads = _of_stay(
    _told(
        settings_load,
        "loaded_at",
        "loaded",
        _BAY,
        settings_sheet.c.version,
        settings_sheet.c.checksum,
        settings_load.c.words,
    ),
    settings_load,
).join(settings_sheet, settings_sheet.c.id == settings_load.c.settings_sheet_id)
everything = sa.union_all(
    _told(settings_sheet, "since_at", "sheet", _BAY, settings_sheet.c.version, settings_sheet.c.checksum, settings_sheet.c.words)
    .select_from(settings_sheet)
    .join(bay, bay.c.id == settings_sheet.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(settings_sheet.c.bay_id.in_(B)),
    _loads,
    _of_stay(_told(settings_readback, "read_at", "read_back", _BAY, _NONE, settings_readback.c.verdict, settings_readback.c.told), settings_readback),
    _of_stay(_told(settings_file, "saved_at", "file_kept", _BAY, _NONE, settings_file.c.outcome, settings_file.c.words), settings_file),
    _told(closing_sheet, "filled_in_at", "closing_sheet", housing.c.name, _NONE, closing_sheet.c.verdict, closing_sheet.c.told)
    .select_from(closing_sheet)
    .join(housing_closing, housing_closing.c.id == closing_sheet.c.housing_closing_id)
    .join(housing, housing.c.id == housing_closing.c.housing_id)
    .where(sa.or_(housing.c.id.in_(G), housing.c.vehicle_id.in_(V))),
)  # fmt: skip


def said(rows: Any) -> Iterator[tuple[str, str, str, int]]:
    """(instant, kind, words, entry) of every line."""
    for row in rows:
        yield row.at, row.kind, _SAY[row.kind](row).strip(), row.seq


_SAY = {
    "sheet": lambda r: f"Settings sheet of {r.place}, version {r.number} ({say_checksum(r.words)}). {r.more}",
    "loaded": lambda r: f"Version {r.number} of the settings of {r.place} ({say_checksum(r.words)}) loaded. {r.more}",
    "read_back": lambda r: f"Read back in {r.place}: {VERDICTS[r.words]}. {r.more}",
    "file_kept": lambda r: f"Settings file of the unit in {r.place}: {SAVED[r.words]}. {r.more}",
    "closing_sheet": lambda r: f"Closing sheet of the {r.place} housing: {CLOSED[r.words]}. {r.more}",
}
