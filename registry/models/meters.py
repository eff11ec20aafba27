"""Meters that take ESD readings, and their calibrations."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.handling import MeterUsed
from registry.domain.meters import AS_FOUND
from registry.domain.readings import METER_KINDS
from registry.models.base import Stay, closing, column, folded, instant, maybe, once, one_of, says, to
from registry.models.columns import Day
from registry.models.seeks import EVER, known

meter = folded(
    "meter",
    to("site"),
    column("name", sa.Text),
    column("reads", sa.Text),
    column("words", sa.Text),
    *instant("added"),
    *instant("ended", nullable=True, closing=True),
    closing(maybe("end_reason", sa.Text)),
    one_of("reads", *METER_KINDS),
    once("meter_name_once", "name", sentence="Another meter has that name. Add what tells them apart."),
    changes="closes",
    stay=Stay("added_at", "ended_at"),
)

meter_calibration = folded(
    "meter_calibration",
    to("meter"),
    column("calibrated_on", Day),
    column("due_on", Day),
    column("as_found", sa.Text),
    column("certificate", sa.Text),
    one_of("as_found", *AS_FOUND),
    says("meter_due_after_calibration", "due_on > calibrated_on", "It cannot be due before it was calibrated."),
    sa.Index("ix_meter_calibration_meter_id", "meter_id", "calibrated_on"),
)

#: By when the newest calibration had by that day is due again.
_due = (
    select(meter_calibration.c.due_on)
    .where(meter_calibration.c.meter_id == meter.c.id, meter_calibration.c.calibrated_on <= bindparam("on", type_=Day), known(meter_calibration))
    .order_by(meter_calibration.c.calibrated_on.desc(), meter_calibration.c.seq.desc())
    .limit(1)
    .scalar_subquery()
)  # fmt: skip
_meters = select(meter.c.id, meter.c.name, meter.c.reads, _due.label("due_on")).where(
    meter.c.id.in_(bindparam("meters", expanding=True))
)


def meters_used(db: sa.Connection, ids: Iterable[str], on: str) -> tuple[MeterUsed, ...]:
    """These meters, in their order, each with the last day that its calibration by that day covers."""
    wanted = list(dict.fromkeys(ids))
    if not wanted:
        return ()
    found = {row.id: MeterUsed(*row) for row in db.execute(_meters, {"meters": wanted, "on": on, "known": EVER})}
    return tuple(found[id_] for id_ in wanted)
