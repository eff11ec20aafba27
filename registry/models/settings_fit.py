"""How the settings of stays stood at an instant, and the newest sheet of a closing: what the findings are made from."""

from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.closing_sheets import ClosingStanding
from registry.domain.settings_fit import Loaded, ReadBack, Runs, SettingsStanding
from registry.models.firmware_since import other_firmware_since
from registry.models.installs import installation
from registry.models.pairings import pairing
from registry.models.seeks import EVER, newest
from registry.models.settings import settings_load, settings_readback, settings_sheet
from registry.models.type_settings import firmware_list, firmware_permitted, type_ports
from registry.models.units import firmware

_KINDS = ("sensor", "electronics")
_sheets, _loads, _reads, _demands, _lists = (
    table.alias(f"any_{table.name}")
    for table in (settings_sheet, settings_load, settings_readback, type_ports, firmware_list)
)
_loaded_sheet = settings_sheet.alias("loaded_sheet")


#: The firmware of each half, joined by `newest_run`; `runs_of` are its columns, once the list in force is joined too.
firmware_of = {kind: firmware.alias(f"of_{kind}") for kind in _KINDS}
_any_of = {kind: firmware.alias(f"any_of_{kind}") for kind in _KINDS}


def runs_of(kind: str) -> tuple[Any, ...]:
    """The newest firmware of one half, and whether the list in force permits it: NULL where none names its kind."""
    named, fitting = firmware_permitted.alias(f"named_{kind}"), firmware_permitted.alias(f"fitting_{kind}")
    is_named = sa.exists().where(named.c.firmware_list_id == firmware_list.c.id, named.c.kind == kind)
    fits = sa.exists().where(
        fitting.c.firmware_list_id == firmware_list.c.id,
        fitting.c.kind == kind,
        fitting.c.version == firmware_of[kind].c.version,
    )
    permitted = sa.case((is_named, sa.case((fits, 1), else_=0)), else_=sa.null())
    told = (firmware_of[kind].c[name].label(f"{kind}_{name}") for name in ("version", "seq"))
    return (*told, permitted.label(f"{kind}_permitted"))


def newest_run(kind: str, half: sa.ColumnElement[Any]) -> sa.ColumnElement[bool]:
    """Of the firmware read from this half, what was read last."""
    mine = _any_of[kind]
    return firmware_of[kind].c.id == newest(mine, "since_at", mine.c.half_id == half)


_other_firmware = other_firmware_since(settings_load, "loaded_at")
_standing = (
    select(
        installation.c.id.label("installation_id"), installation.c.sensor_id, installation.c.electronics_id,
        settings_sheet.c.id.label("sheet_id"), settings_sheet.c.version, settings_sheet.c.since_at, settings_sheet.c.seq,
        type_ports.c.sheet_demanded, settings_load.c.settings_sheet_id.label("loaded_id"), settings_load.c.loaded_at,
        settings_load.c.seq.label("load_seq"), _loaded_sheet.c.version.label("loaded_version"), _other_firmware.label("firmware_at"),
        *(settings_readback.c[name].label(f"read_{name}") for name in ("id", "verdict", "told", "next", "seq", "serials")),
        settings_readback.c.read_at, *runs_of("sensor"), *runs_of("electronics"),
    )
    .select_from(installation)
    .outerjoin(pairing, pairing.c.id == installation.c.pairing_id)
    .outerjoin(firmware_of["sensor"], newest_run("sensor", installation.c.sensor_id))
    .outerjoin(firmware_of["electronics"], newest_run("electronics", installation.c.electronics_id))
    .outerjoin(settings_sheet, settings_sheet.c.id == newest(_sheets, "since_at", _sheets.c.bay_id == installation.c.bay_id))
    .outerjoin(settings_load, settings_load.c.id == newest(_loads, "loaded_at", _loads.c.installation_id == installation.c.id))
    .outerjoin(_loaded_sheet, _loaded_sheet.c.id == settings_load.c.settings_sheet_id)
    .outerjoin(settings_readback, settings_readback.c.id == newest(_reads, "read_at", _reads.c.installation_id == installation.c.id))
    .outerjoin(type_ports, type_ports.c.id == newest(_demands, "since_at", _demands.c.unit_type_id == pairing.c.unit_type_id))
    .outerjoin(firmware_list, firmware_list.c.id == newest(_lists, "since_at", _lists.c.unit_type_id == pairing.c.unit_type_id))
    .where(installation.c.id.in_(bindparam("installations", expanding=True)))
)  # fmt: skip


def settings_of(
    db: sa.Connection, installations: Iterable[str], at: str, known_size: int = EVER
) -> dict[str, SettingsStanding]:
    """Installation id -> how its settings stood. One statement for any number of stays."""
    keys = {"installations": sorted(set(installations)), "at": at, "known": known_size}
    return {row["installation_id"]: _stands(row) for row in db.execute(_standing, keys).mappings()}


def _stands(row: Mapping[str, Any]) -> SettingsStanding:
    load, read = None, None
    if row["loaded_id"]:
        load = Loaded(row["loaded_id"], row["loaded_version"], row["loaded_at"], row["load_seq"], row["firmware_at"])
    if row["read_id"]:
        told = (row[f"read_{name}"] for name in ("id", "verdict", "told", "next"))
        read = ReadBack(*told, row["read_at"], row["read_seq"], row["read_serials"])
    return SettingsStanding(
        row["sheet_id"],
        row["version"],
        row["since_at"],
        row["seq"],
        bool(row["sheet_demanded"]),
        load,
        read,
        both_runs(row),
    )


def both_runs(row: Mapping[str, Any]) -> tuple[Runs, ...]:
    """The firmware of both halves, in a row that has the columns of `runs_of`."""
    return tuple(
        Runs(kind, row[f"{kind}_id"], row[f"{kind}_version"], _yes_no(row[f"{kind}_permitted"]), row[f"{kind}_seq"])
        for kind in _KINDS
    )


def _yes_no(value: int | None) -> bool | None:
    return None if value is None else bool(value)


def closing_of(row: Mapping[str, Any]) -> ClosingStanding | None:
    """The sheet of the last closing, in a row of housings; None when there is none."""
    if row["sheet_verdict"] is None:
        return None
    return ClosingStanding(row["sheet_verdict"], row["sheet_told"], row["sheet_seq"])
