"""Meters that take readings: added to a site, calibrated, taken out of use."""

from typing import Any

import sqlalchemy as sa
from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.shapes import DayText, FileList, Line, MeterRef, SiteRef, Words, one_from
from registry.acts.spells import reasons_not_to_end
from registry.domain.calendar import months_later
from registry.domain.meters import AS_FOUND, doubtful, reasons_not_to_enter_calibration
from registry.domain.people import May
from registry.domain.readings import METER_KINDS
from registry.errors import Reason
from registry.models.handling import esd_reading, esd_signoff, station_check, station_reading
from registry.models.meters import meter, meter_calibration
from registry.models.plans import plan_at

_named = select(meter.c.id).where(meter.c.name == bindparam("name"))
_one = select(meter.c.name, meter.c.site_id, meter.c.added_at, meter.c.ended_at, meter.c.seq).where(
    meter.c.id == bindparam("meter")
)
_good_before = select(sa.func.max(meter_calibration.c.calibrated_on)).where(
    meter_calibration.c.meter_id == bindparam("meter"), meter_calibration.c.calibrated_on < bindparam("on", type_=meter_calibration.c.calibrated_on.type),
)  # fmt: skip
_since = bindparam("since", type_=esd_signoff.c.signed_at.type)
_signoffs = (
    select(sa.func.count(sa.distinct(esd_signoff.c.id)))
    .join(esd_reading, esd_reading.c.esd_signoff_id == esd_signoff.c.id)
    .where(esd_reading.c.meter_id == bindparam("meter"), esd_signoff.c.signed_at >= _since)
)
_checks = (
    select(sa.func.count(sa.distinct(station_check.c.id)))
    .join(station_reading, station_reading.c.station_check_id == station_check.c.id)
    .where(station_reading.c.meter_id == bindparam("meter"), station_check.c.checked_at >= _since)
)


class AddMeter(Act, name="add_meter", may=May.EQUIP | May.RECEIVE, says="Add a meter"):
    """A strap tester, resistance meter, field meter or charged-plate monitor that readings are taken with."""

    site: SiteRef = Field(title="Site")
    meter: Line = Field(title="Name", description="What stands on it: its number, or maker’s type and serial.")
    reads: one_from(METER_KINDS) = Field(title="Kind")
    words: Words | None = Field(None, title="In your words")

    def decide(self, case: Case) -> Decision:
        if not case.db.execute(_named, {"name": self.meter}).first():
            return Decision()
        told = f"A meter called {self.meter} is in the registry."
        return Decision([Reason("already_known", told, "meter", "Use it, or give this one another name.")])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        row = {"id": entry.id, "site_id": entry.ids["site"], "name": body["meter"], "reads": body["reads"]}
        row |= {"words": body["words"] or "", "end_reason": None}
        return [Add("meter", {**row, **entry.moment("added"), **no_moment("ended")})]


class RecordMeterCalibration(
    Act, name="record_meter_calibration", may=May.EQUIP | May.RECEIVE, says="Record a meter’s calibration"
):
    """What its certificate says. A meter found out of tolerance puts in doubt what it proved since it was last good."""

    meter: MeterRef = Field(title="Meter")
    calibrated_on: DayText = Field(title="Calibrated on")
    due_on: DayText | None = Field(None, title="Due on", description="Empty: as many months later as the plan says.")
    as_found: one_from(AS_FOUND) = Field(title="As found")
    certificate: Line = Field(title="Certificate", description="Its number and who issued it; no names of people.")
    files: FileList = Field([], title="Certificate as a file")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"meter": case.ids["meter"]}).one()
        months = plan_at(case.db, row.site_id, case.at).count("meter_months")
        due = self.due_on or months_later(self.calibrated_on, months)
        reasons = reasons_not_to_enter_calibration(self.calibrated_on, due, case.now[:10])
        reasons += reasons_of_files(case, self.files)
        since = case.db.execute(_good_before, {"meter": case.ids["meter"], "on": self.calibrated_on}).scalar()
        keys = {"meter": case.ids["meter"], "since": f"{since or '1900-01-01'}T00:00:00.000000Z"}
        counts = [case.db.execute(query, keys).scalar_one() for query in (_signoffs, _checks)]
        remarks = doubtful(row.name, self.as_found, counts[0], counts[1], since)
        return Decision(reasons, {"due_on": due, "doubted_since": since}, remarks=remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        row: dict[str, Any] = {"id": entry.id, "meter_id": entry.ids["meter"], "due_on": entry.decided["due_on"]}
        row |= {name: body[name] for name in ("calibrated_on", "as_found", "certificate")}
        return [Add("meter_calibration", row), *file_rows(entry, "meter_id", entry.ids["meter"], "certificate")]


class RetireMeter(Act, name="retire_meter", may=May.EQUIP, says="Take a meter out of use"):
    """It is lost, broken or gone. What it read stands."""

    meter: MeterRef = Field(title="Meter")
    reason: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_one, {"meter": case.ids["meter"]}).one()
        reasons = reasons_not_to_end(
            row.added_at, row.ended_at, case.at, "meter", over="It is out of use since {}.",
            begun="It was added on {}; it cannot have ended before.", nothing="There is nothing to do.",
        )  # fmt: skip
        return Decision(reasons, touched=row.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        ended = {**entry.moment("ended"), "end_reason": entry.body["reason"]}
        return [Close("meter", entry.ids["meter"], ended)]
