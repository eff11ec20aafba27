"""What the sheets in force of bays say of mounting, angles and lever arms, and what their bays give now."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.settings import Line
from registry.domain.settings_fit import SettingsStanding
from registry.domain.sheet_values import Given, SheetValues, given_by_alignment, given_by_arm, given_by_mounting
from registry.models.alignments import alignment, alignment_part
from registry.models.installs import installation
from registry.models.mountings import bay_mounting, lever_arm
from registry.models.seeks import AT, known, newest
from registry.models.settings import settings_value
from registry.models.standings import Standing

_mountings, _arms = bay_mounting.alias("mountings"), lever_arm.alias("arms")
_values = select(
    settings_value.c.settings_sheet_id, settings_value.c.part, settings_value.c.name, settings_value.c.value, settings_value.c.unit,
    settings_value.c.source,
).where(settings_value.c.settings_sheet_id.in_(bindparam("sheets", expanding=True)), settings_value.c.part.in_(("mounting", "lever_arm")))  # fmt: skip
_angles = [f"{name}_{kind}deg" for name in ("roll", "pitch", "yaw") for kind in ("", "sigma_")]
#: How the bay of each stay is mounted, and the alignment of the stay as far as it was measured on that mounting.
_mounted = (
    select(
        installation.c.id, installation.c.bay_id, bay_mounting.c.orientation, bay_mounting.c.seq, alignment.c.seq.label("aligned_seq"),
        *(alignment.c[name].label(f"aligned_{name}") for name in _angles),
        alignment_part.c.yaw_deg.label("dvl_yaw_deg"), alignment_part.c.yaw_sigma_deg.label("dvl_yaw_sigma_deg"),
    )
    .select_from(installation)
    .outerjoin(bay_mounting, bay_mounting.c.id == newest(_mountings, "since_at", _mountings.c.bay_id == installation.c.bay_id))
    .outerjoin(alignment, sa.and_(
        alignment.c.installation_id == installation.c.id, alignment.c.id.in_(bindparam("alignments", expanding=True)),
        alignment.c.bay_mounting_id == bay_mounting.c.id,
    ))
    .outerjoin(alignment_part, sa.and_(alignment_part.c.alignment_id == alignment.c.id, alignment_part.c.part == "dvl_unit"))
    .where(installation.c.id.in_(bindparam("installations", expanding=True)))
)  # fmt: skip
_newest_arm = newest(_arms, "since_at", _arms.c.bay_id == lever_arm.c.bay_id, _arms.c.leads_to == lever_arm.c.leads_to)
_led = (
    select(lever_arm)
    .where(lever_arm.c.bay_id.in_(bindparam("bays", expanding=True)), known(lever_arm), lever_arm.c.since_at <= AT, lever_arm.c.id == _newest_arm)
    .order_by(lever_arm.c.leads_to)
)  # fmt: skip


def sheet_values(
    db: sa.Connection, at: str, known_size: int, sheets: Mapping[str, SettingsStanding], stands: Mapping[str, Standing]
) -> dict[str, SheetValues]:
    """Installation id -> its sheet in force beside what its bay gives, for stays that have a sheet. Three statements,
    however many there are."""
    listed = {id_: one for id_, one in sheets.items() if one.sheet_id}
    aligned = [stands[id_].alignment for id_ in listed if id_ in stands]
    keys: dict[str, Any] = {"at": at, "known": known_size, "installations": list(listed)}
    keys["sheets"] = [one.sheet_id for one in listed.values()]
    keys["alignments"] = [one.id for one in aligned if one and one.answer != "withdrawn"]
    mounted = db.execute(_mounted, keys).mappings().all()
    keys["bays"] = [row["bay_id"] for row in mounted]
    lines: dict[str, dict[str, Line]] = defaultdict(dict)
    for row in db.execute(_values, keys):
        lines[row.settings_sheet_id][row.name] = Line(row.part, row.name, row.value, row.unit, row.source)
    arms: dict[str, list[Given]] = defaultdict(list)
    for arm in db.execute(_led, keys).mappings():
        arms[arm["bay_id"]] += given_by_arm(arm)
    return {
        row["id"]: SheetValues(listed[row["id"]].version or 0, lines[listed[row["id"]].sheet_id or ""], (*_given(row), *arms[row["bay_id"]]))
        for row in mounted
    }  # fmt: skip


def _given(row: Mapping[str, Any]) -> list[Given]:
    """What mounting and alignment give."""
    given = [given_by_mounting(row)] if row["orientation"] else []
    if row["aligned_seq"] is not None:
        angles = {name: row[f"aligned_{name}"] for name in _angles} | {"seq": row["aligned_seq"]}
        dvl = {name: row[f"dvl_{name}"] for name in ("yaw_deg", "yaw_sigma_deg")}
        given += given_by_alignment(angles, dvl if dvl["yaw_deg"] is not None else None)
    return given
