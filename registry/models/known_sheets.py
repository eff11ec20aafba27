"""Settings sheets with their values, as acts compare with them and pages show them."""

from collections import defaultdict
from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.readbacks import KnownSheet
from registry.domain.settings import Line
from registry.models.columns import Id
from registry.models.fleet import bay, vehicle
from registry.models.seeks import AT, EVER, known
from registry.models.settings import settings_sheet, settings_value

BAY_NAME = (vehicle.c.name + ", bay " + bay.c.letter).label("bay")
_sheets = (
    select(settings_sheet.c.id, settings_sheet.c.bay_id, BAY_NAME, settings_sheet.c.version, settings_sheet.c.checksum)
    .select_from(settings_sheet)
    .join(bay, bay.c.id == settings_sheet.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(known(settings_sheet), settings_sheet.c.since_at <= AT)
    .order_by(vehicle.c.name, bay.c.letter, settings_sheet.c.version.desc())
)
_values = select(
    settings_value.c.settings_sheet_id, settings_value.c.name, settings_value.c.value, settings_value.c.unit
).order_by(settings_value.c.settings_sheet_id, settings_value.c.number)
_lines = (
    select(*(settings_value.c[name] for name in ("part", "name", "value", "unit", "source")))
    .where(settings_value.c.settings_sheet_id == bindparam("sheet", type_=Id))
    .order_by(settings_value.c.number)
)


def known_sheets(
    db: sa.Connection, at: str, known_size: int = EVER, only: Iterable[str] | None = None
) -> list[KnownSheet]:
    """Every version of every bay by the instant, bays by name, newest first; with `only`, the sheets of these ids."""
    keys, wanted = {"at": at, "known": known_size}, None if only is None else sorted({id_ for id_ in only if id_})
    of_sheets, of_values = _sheets, _values
    if wanted is not None:
        of_sheets = of_sheets.where(settings_sheet.c.id.in_(wanted))
        of_values = of_values.where(settings_value.c.settings_sheet_id.in_(wanted))
    values: dict[str, dict[str, tuple[str, str]]] = defaultdict(dict)
    for row in db.execute(of_values):
        values[row.settings_sheet_id][row.name] = (row.value, row.unit)
    return [KnownSheet(*row, values[row.id]) for row in db.execute(of_sheets, keys)]


def lines_of(db: sa.Connection, sheet_id: str | None) -> list[Line]:
    """The lines of one sheet, in order."""
    return [Line(*row) for row in db.execute(_lines, {"sheet": sheet_id})]
