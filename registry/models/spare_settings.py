"""What settings ask of pairs that sit in no bay: their firmware, and whether the bay has a sheet to load."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.settings_fit import Runs
from registry.models.columns import Id
from registry.models.pairings import pairing
from registry.models.seeks import AT, EVER, known, newest
from registry.models.settings import settings_sheet
from registry.models.settings_fit import both_runs, firmware_of, newest_run, runs_of
from registry.models.type_settings import firmware_list, type_ports
from registry.models.units import unit_type

_lists, _demands = firmware_list.alias("any_list"), type_ports.alias("any_demand")
_runs = (
    select(pairing.c.id, pairing.c.sensor_id, pairing.c.electronics_id, *runs_of("sensor"), *runs_of("electronics"))
    .select_from(pairing)
    .outerjoin(firmware_of["sensor"], newest_run("sensor", pairing.c.sensor_id))
    .outerjoin(firmware_of["electronics"], newest_run("electronics", pairing.c.electronics_id))
    .outerjoin(firmware_list, firmware_list.c.id == newest(_lists, "since_at", _lists.c.unit_type_id == pairing.c.unit_type_id))
    .where(pairing.c.id.in_(bindparam("pairings", type_=Id, expanding=True)))
)  # fmt: skip
_sheets = (
    select(settings_sheet.c.bay_id)
    .where(
        settings_sheet.c.bay_id.in_(bindparam("bays", type_=Id, expanding=True)),
        known(settings_sheet),
        settings_sheet.c.since_at <= AT,
    )
    .distinct()
)
_demanding = (
    select(unit_type.c.id)
    .select_from(unit_type)
    .join(type_ports, type_ports.c.id == newest(_demands, "since_at", _demands.c.unit_type_id == unit_type.c.id))
    .where(type_ports.c.sheet_demanded == 1)
)


def firmware_of_pairs(
    db: sa.Connection, pairings: Iterable[str], at: str, known_size: int = EVER
) -> dict[str, tuple[Runs, ...]]:
    """Pairing id -> what both halves run, against the list of their type in force. One statement."""
    keys = {"pairings": sorted(pairings), "at": at, "known": known_size}
    return {row["id"]: both_runs(row) for row in db.execute(_runs, keys).mappings()}


def sheets_of_bays(db: sa.Connection, bays: Iterable[str], at: str, known_size: int = EVER) -> set[str]:
    """Which of these bays have a settings sheet. One statement."""
    return set(db.execute(_sheets, {"bays": sorted(bays), "at": at, "known": known_size}).scalars())


def types_that_demand_a_sheet(db: sa.Connection, at: str, known_size: int = EVER) -> set[str]:
    """Unit types that are not used without a settings sheet. One statement."""
    return set(db.execute(_demanding, {"at": at, "known": known_size}).scalars())
