"""Whether other firmware was read from a pair's halves after something was done to it in its stay."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import select

from registry.models.installs import installation
from registry.models.seeks import AT, known
from registry.models.units import firmware


def other_firmware_since(done: Any, when: str) -> sa.ScalarSelect[Any]:
    """When other firmware was read from either half than ran when the row of `done` was made, at its column `when`; the
    first reading ever changes nothing. For statements that have `installation` and `done` among their tables."""
    read, before = firmware.alias(f"read_since_{done.name}"), firmware.alias(f"ran_at_{done.name}")
    ran = (
        select(before.c.version)
        .where(before.c.half_id == read.c.half_id, known(before), before.c.since_at <= done.c[when])
        .order_by(before.c.since_at.desc(), before.c.seq.desc())
        .limit(1)
        .correlate(read, done)
        .scalar_subquery()
    )
    return (
        select(sa.func.max(read.c.since_at))
        .where(
            read.c.half_id.in_((installation.c.sensor_id, installation.c.electronics_id)), known(read),
            read.c.since_at > done.c[when], read.c.since_at <= AT, read.c.version != ran,
        )
        .correlate(installation, done)
        .scalar_subquery()
    )  # fmt: skip
