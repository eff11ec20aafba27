"""Factory calibrations: one of them with its results and the standards it rests on."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.models.calibrations import calibration, calibration_result, standard_used
from registry.models.pairings import pairing
from registry.queries.attachments import FileShown, files_of_pair_by_entry

_one = (
    select(calibration, pairing.c.name.label("pair"), pairing.c.ended_at)
    .join(pairing, pairing.c.id == calibration.c.pairing_id)
    .where(calibration.c.id == bindparam("calibration"))
)
_results = (
    select(calibration_result)
    .where(calibration_result.c.calibration_id == bindparam("calibration"))
    .order_by(calibration_result.c.number)
)
_standards = (
    select(standard_used)
    .where(standard_used.c.calibration_id == bindparam("calibration"))
    .order_by(standard_used.c.number)
)


@dataclass(frozen=True, slots=True)
class CalibrationPage:
    """One certificate as it was entered."""

    row: sa.RowMapping
    results: tuple[sa.RowMapping, ...]
    standards: tuple[sa.RowMapping, ...]
    files: tuple[FileShown, ...]

    @property
    def late_standards(self) -> tuple[sa.RowMapping, ...]:
        """Standards that were past their own due date on the day."""
        day = self.row["calibrated_on"]
        return tuple(one for one in self.standards if one["due_on"] and one["due_on"] < day)


def calibration_page(db: sa.Connection, calibration_id: str) -> CalibrationPage | None:
    """One calibration in full, or None when there is none of that id."""
    keys = {"calibration": calibration_id}
    row = db.execute(_one, keys).mappings().first()
    if row is None:
        return None
    results, standards = (tuple(db.execute(query, keys).mappings()) for query in (_results, _standards))
    return CalibrationPage(row, results, standards, files_of_pair_by_entry(db, row["pairing_id"], row["seq"]))
