"""Mounting checks as pages and JSON show them: of a stay, and one alone with its poses and its file."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.mounting_checks import MountingCheck
from registry.models.columns import Id
from registry.models.fleet import bay, vehicle
from registry.models.installs import installation
from registry.models.log import log_entry
from registry.models.mounting_checks import mounting_check, mounting_pose
from registry.models.mountings import bay_mounting
from registry.models.pairings import pairing
from registry.models.people import person_private
from registry.models.seeks import AT, EVER, known, newest
from registry.models.standings import left_open

_CHECK = bindparam("check", type_=Id)
_mountings, _under, _now = bay_mounting.alias("mountings"), bay_mounting.alias("under"), bay_mounting.alias("now")
_one = (
    select(
        mounting_check, _under.c.orientation.label("entered_then"), _now.c.orientation.label("entered"), pairing.c.id.label("pairing_id"),
        pairing.c.name.label("pair"), vehicle.c.name.label("vehicle"), bay.c.letter, bay.c.code.label("bay_code"), person_private.c.name.label("by"),
    )
    .join(installation, installation.c.id == mounting_check.c.installation_id)
    .join(pairing, pairing.c.id == installation.c.pairing_id)
    .join(bay, bay.c.id == installation.c.bay_id)
    .join(vehicle, vehicle.c.id == bay.c.vehicle_id)
    .outerjoin(_under, _under.c.id == mounting_check.c.bay_mounting_id)
    .outerjoin(_now, _now.c.id == newest(_mountings, "since_at", _mountings.c.bay_id == bay.c.id))
    .join(log_entry, log_entry.c.seq == mounting_check.c.seq)
    .outerjoin(person_private, person_private.c.person_id == log_entry.c.done_by_id)
    .where(mounting_check.c.id == _CHECK, known(mounting_check), mounting_check.c.checked_at <= AT)
)  # fmt: skip
_poses = select(mounting_pose).where(mounting_pose.c.mounting_check_id == _CHECK).order_by(mounting_pose.c.number)


@dataclass(frozen=True, slots=True)
class MountingCheckPage:
    """One check with its poses, and what it says of the entry in force."""

    check: MountingCheck
    row: sa.RowMapping
    poses: tuple[sa.RowMapping, ...]


def mounting_check_page(db: sa.Connection, check_id: str, at: str, known_size: int = EVER) -> MountingCheckPage | None:
    """One check as it stood at the instant, or None when it was not known yet. Two statements."""
    keys = {"check": check_id, "at": at, "known": known_size}
    row = db.execute(_one, keys).mappings().first()
    if row is None:
        return None
    told = (row[name] for name in ("id", "verdict", "told", "next", "checked_at", "seq"))
    check = MountingCheck(*told, left_open(row["still_open"]), row["entered_then"], row["entered"])
    return MountingCheckPage(check, row, tuple(db.execute(_poses, keys).mappings()))
