"""The closing sheet of a housing: the newest of its last closing, with who filled it in and who stood behind it."""

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.closing_sheets import closing_sheet
from registry.models.columns import Id
from registry.models.fleet import housing, vehicle
from registry.models.log import log_entry
from registry.models.openings import housing_closing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, known, newest

_by, _second = person_private.alias("filled_in_by"), person_private.alias("stood_behind")
_closings = housing_closing.alias("closings")
_newest = (
    select(
        closing_sheet, housing_closing.c.closed_at, housing_closing.c.seq.label("closing_seq"), housing.c.name.label("housing"), housing.c.closing_method,
        vehicle.c.name.label("vehicle"), vehicle.c.code.label("vehicle_code"), vehicle.c.id.label("vehicle_id"), _by.c.name.label("by"), _second.c.name.label("second"),
    )
    .select_from(closing_sheet)
    .join(housing_closing, housing_closing.c.id == closing_sheet.c.housing_closing_id)
    .join(housing, housing.c.id == housing_closing.c.housing_id)
    .join(vehicle, vehicle.c.id == housing.c.vehicle_id)
    .join(log_entry, log_entry.c.seq == closing_sheet.c.seq)
    .outerjoin(_by, _by.c.person_id == log_entry.c.done_by_id)
    .outerjoin(_second, _second.c.person_id == closing_sheet.c.second_id)
    .where(housing_closing.c.id == newest(_closings, "closed_at", _closings.c.housing_id == bindparam("housing", type_=Id)), known(closing_sheet), closing_sheet.c.filled_in_at <= AT)
    .order_by(closing_sheet.c.filled_in_at.desc(), closing_sheet.c.seq.desc())
    .limit(1)
)  # fmt: skip


def closing_sheet_of(db: sa.Connection, housing_id: str, at: str, known_size: int = EVER) -> sa.RowMapping | None:
    """The newest sheet of the last closing of a housing, or None when nobody had filled one in."""
    return db.execute(_newest, {"housing": housing_id, "at": at, "known": known_size}).mappings().first()
