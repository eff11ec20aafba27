"""What settings are decided on: the sheet in force, what the bay's mounting and alignment give, ports, addresses nearby."""

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts.act import Case
from registry.acts.alignment_facts import alignment_of, parts_of
from registry.acts.mountings import arms_at, mounting_at
from registry.domain.installs import Stay
from registry.domain.settings import Line, Ports
from registry.domain.sheet_values import Given, given_by_alignment, given_by_arm, given_by_mounting
from registry.models.columns import Id
from registry.models.fleet import bay, bay_type, vehicle
from registry.models.known_sheets import BAY_NAME
from registry.models.pairings import pairing
from registry.models.seeks import EVER, in_force, newest
from registry.models.settings import settings_file, settings_sheet, settings_value
from registry.models.type_settings import type_ports
from registry.models.units import unit_type

_BAY, _INSTALLATION = bindparam("bay", type_=Id), bindparam("installation", type_=Id)
_sheets, _ports, _files = settings_sheet.alias("sheets"), type_ports.alias("ports"), settings_file.alias("files")
_newest_sheet = select(settings_sheet).where(
    settings_sheet.c.id == newest(_sheets, "since_at", _sheets.c.bay_id == _BAY)
)
_last_version = (
    select(settings_sheet.c.version, settings_sheet.c.since_at, settings_sheet.c.seq)
    .where(settings_sheet.c.bay_id == _BAY)
    .order_by(settings_sheet.c.version.desc())
    .limit(1)
)
_one_bay = select(bay.c.code, bay.c.from_bow_m, bay.c.vehicle_id).where(bay.c.id == _BAY)
_type_of_pair = select(pairing.c.unit_type_id).where(pairing.c.id == bindparam("pairing", type_=Id))
_accepted = select(bay_type.c.unit_type_id).where(
    bay_type.c.bay_id == _BAY, in_force(bay_type, "accepted_at", "ended_at")
)
_type = (
    select(
        (unit_type.c.maker + " " + unit_type.c.name).label("name"),
        sa.func.coalesce(type_ports.c.serial_ports, unit_type.c.serial_ports).label("serial"),
        sa.func.coalesce(type_ports.c.network_ports, unit_type.c.network_ports).label("network"),
    )
    .select_from(unit_type)
    .outerjoin(type_ports, type_ports.c.id == newest(_ports, "since_at", _ports.c.unit_type_id == unit_type.c.id))
    .where(unit_type.c.id == bindparam("type", type_=Id))
)
_near_sheets = settings_sheet.alias("near_sheets")
_addresses = (
    select(settings_value.c.value, BAY_NAME)
    .select_from(settings_value)
    .join(settings_sheet, settings_sheet.c.id == settings_value.c.settings_sheet_id)
    .join(bay, bay.c.id == settings_sheet.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .where(
        vehicle.c.id == bindparam("vehicle", type_=Id), bay.c.id != _BAY, settings_value.c.part == "port",
        settings_value.c.name.like("%, address"),
        settings_sheet.c.id == newest(_near_sheets, "since_at", _near_sheets.c.bay_id == bay.c.id),
    )
)  # fmt: skip
_kept = select(settings_file.c.id).where(
    settings_file.c.id == newest(_files, "saved_at", _files.c.installation_id == _INSTALLATION)
)


def sheet_in_force(case: Case, bay_id: str) -> Any:
    """The newest sheet of a bay by the instant, as a mapping, or None."""
    keys = {"bay": bay_id, "at": case.at, "known": EVER}
    return case.db.execute(_newest_sheet, keys).mappings().first()


def last_version(case: Case, bay_id: str) -> Any:
    """Version, instant and entry of the last sheet ever written for a bay, or None."""
    return case.db.execute(_last_version, {"bay": bay_id}).first()


def type_for(case: Case, bay_id: str, named: str | None, stay: Stay | None) -> str | None:
    """The type a sheet is for: the one named, else that of the pair in the bay, else the only one it accepts."""
    if named or stay:
        return named or case.db.execute(_type_of_pair, {"pairing": stay.pairing_id if stay else None}).scalar_one()
    accepted = case.db.execute(_accepted, {"bay": bay_id, "at": case.at, "known": EVER}).scalars().all()
    return accepted[0] if len(accepted) == 1 else None


def ports_of(case: Case, type_id: str) -> Ports:
    """The ports of a type as stated last by the instant."""
    return Ports(*case.db.execute(_type, {"type": type_id, "at": case.at, "known": EVER}).one())


@dataclass(frozen=True, slots=True)
class BayGives:
    """What a sheet takes over from its bay, line by line with its source, and what its questions need to know."""

    code: str
    lines: list[Line]
    lengths: dict[str, str]
    addresses: dict[str, str]
    touched: int


def bay_gives(case: Case, bay_id: str, installation: str | None) -> BayGives:
    """Mounting, the angles of the alignment in force, lever arms; each with where it stands in the log."""
    row = case.db.execute(_one_bay, {"bay": bay_id}).one()
    mounting, arms = mounting_at(case.db, bay_id, case.at), arms_at(case.db, bay_id, case.at)
    aligned = alignment_of(case, installation) if installation else None
    if aligned and (aligned["answer"] == "withdrawn" or not mounting or aligned["bay_mounting_id"] != mounting["id"]):
        aligned = None
    given = [given_by_mounting(mounting)] if mounting else []
    given += [*_angles(case, aligned), *(one for _to, arm in sorted(arms.items()) for one in given_by_arm(arm))]
    lines = [one.line for one in given]
    lengths = {"the bay’s distance from the bow": row.from_bow_m}
    lengths |= {line.name[0].lower() + line.name[1:]: line.value for line in lines if line.part == "lever_arm"}
    near = case.db.execute(_addresses, {"bay": bay_id, "vehicle": row.vehicle_id, "at": case.at, "known": EVER})
    addresses = {one.value.partition("/")[0]: one.bay for one in near}
    newest_rows = [mounting, aligned, *arms.values()]
    return BayGives(row.code, lines, lengths, addresses, max((one["seq"] for one in newest_rows if one), default=0))


def _angles(case: Case, aligned: Any) -> list[Given]:
    """Those of the alignment in force; none without one."""
    return given_by_alignment(aligned, parts_of(case, aligned["id"]).get("dvl_unit")) if aligned else []


def remarks_of_file(case: Case, stay: Stay | None, installation: str | None) -> list[str]:
    """Before a unit is pulled: its settings file, for a bay that has a sheet. Nothing where none was ever written."""
    if stay is None or installation is None or sheet_in_force(case, stay.bay_id) is None:
        return []
    if case.db.execute(_kept, {"installation": installation, "at": case.at, "known": EVER}).first():
        return []
    return [
        f"The settings file of {stay.pair} is not kept: read it out before it is pulled, or enter that the unit is dead."
    ]
