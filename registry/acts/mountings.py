"""How a bay is mounted, and its lever arms: entered as they were measured, each from its day on."""

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import BayRef, DayText, FigureText, PersonRef, Words, one_from, within, wrong
from registry.domain.mountings import (
    ANGLES,
    ARMS,
    DOWELS,
    ORIENTATIONS,
    reasons_of_metres,
    remarks_of_arm,
    remarks_of_plate,
)
from registry.domain.people import May
from registry.domain.times import say_day
from registry.errors import Reason
from registry.models.fleet import bay
from registry.models.mountings import bay_mounting, lever_arm
from registry.models.seeks import AT, EVER, known, newest

_bay = bindparam("bay", type_=bay.c.id.type)
_mountings = bay_mounting.alias("mountings")
_in_force = select(bay_mounting).where(bay_mounting.c.id == newest(_mountings, "since_at", _mountings.c.bay_id == _bay))
_arms = (
    select(lever_arm)
    .where(lever_arm.c.bay_id == _bay, known(lever_arm), lever_arm.c.since_at <= AT)
    .order_by(lever_arm.c.since_at, lever_arm.c.seq)
)
_from_bow = select(bay.c.from_bow_m).where(bay.c.id == _bay)


def _no_length(value: Any) -> Any:
    """Metres typed into an angle."""
    if isinstance(value, str) and re.fullmatch(r"[^a-z]*\s*(m|mm|cm|metres?|meters?)\.?", value.strip().lower()):
        raise wrong(f"{value.strip()[:20]} is a length; this is an angle in degrees.")
    return value


FineAngle = Annotated[FigureText, within("-15", "15"), BeforeValidator(_no_length)]
AngleSigma = Annotated[FigureText, within(above="0", most="15"), BeforeValidator(_no_length)]
Metres = Annotated[FigureText, within("-300", "300")]
_BY = "Somebody of this outfit. A yard or a surveyor stands in how it was measured."


def mounting_at(case_db: Any, bay_id: str, at: str) -> Any:
    """The mounting of a bay in force at an instant, as a mapping, or None."""
    return case_db.execute(_in_force, {"bay": bay_id, "at": at, "known": EVER}).mappings().first()


def arms_at(case_db: Any, bay_id: str, at: str) -> dict[str, Any]:
    """What it leads to -> the lever arm in force at an instant."""
    rows = case_db.execute(_arms, {"bay": bay_id, "at": at, "known": EVER}).mappings()
    return {row["leads_to"]: row for row in rows}


class RecordMounting(Act, name="record_mounting", may=May.INSTALL | May.FLEET, says="Enter how a bay is mounted"):
    """How a unit sits in this bay, in words, and how far its plate is off square: roll starboard down, pitch bow up, yaw to starboard positive."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    orientation: one_from(ORIENTATIONS, unset=True) = Field(
        title="The unit’s marked axes point", description="Read the three arrows on the unit, looking forward."
    )
    roll_deg: FineAngle = Field(title="Plate, roll", description="deg from square, starboard down +")
    roll_sigma_deg: AngleSigma = Field(title="Sigma of the roll", description="deg")
    pitch_deg: FineAngle = Field(title="Plate, pitch", description="deg from square, bow up +")
    pitch_sigma_deg: AngleSigma = Field(title="Sigma of the pitch", description="deg")
    yaw_deg: FineAngle = Field(title="Plate, yaw", description="deg from square, to starboard +")
    yaw_sigma_deg: AngleSigma = Field(title="Sigma of the yaw", description="deg")
    dowels: one_from(DOWELS, unset=True) = Field(title="Dowels")
    dowel_play_mm: Annotated[FigureText, within("0", "5")] | None = Field(
        None, title="Play of the dowels", description="mm, 0.02 to 0.05 is common (common practice, no source)."
    )
    dowel_spacing_mm: Annotated[FigureText, within(above="0", most="2000")] | None = Field(
        None, title="Distance of the dowels", description="mm"
    )
    measured_how: Words = Field(title="Measured how", description="Instrument, reference, certificate and its number.")
    measured_on: DayText = Field(title="Measured on")
    measured_by: PersonRef | None = Field(None, title="Measured by", description=_BY)

    @model_validator(mode="after")
    def _dowels_as_a_whole(self) -> "RecordMounting":
        given = [self.dowel_play_mm is not None, self.dowel_spacing_mm is not None]
        if given != [self.dowels == "two"] * 2:
            raise wrong("Give play and distance of two dowels, both; without dowels leave both empty.")
        return self

    def decide(self, case: Case) -> Decision:
        bay_id = case.ids["bay"]
        angles = {f"{name}_deg": getattr(self, f"{name}_deg") for name in ANGLES}
        lengths = {"the bay’s distance from the bow": case.db.execute(_from_bow, {"bay": bay_id}).scalar_one()}
        for leads_to, arm in arms_at(case.db, bay_id, case.at).items():
            for axis in ("forward", "starboard", "down"):
                lengths[f"the lever arm to the {ARMS[leads_to]}, {axis}"] = arm[f"{axis}_m"]
        reasons = reasons_of_metres(angles, lengths) + _not_measured_yet(self.measured_on, case)
        before = mounting_at(case.db, bay_id, case.at)
        return Decision(reasons, touched=before["seq"] if before else 0, remarks=remarks_of_plate(angles.values()))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        names = ("orientation", "dowels", "dowel_play_mm", "dowel_spacing_mm")
        names += tuple(f"{name}{end}" for name in ANGLES for end in ("_deg", "_sigma_deg"))
        return [Add("bay_mounting", _measured(entry) | {name: entry.body[name] for name in names})]


class RecordLeverArm(Act, name="record_lever_arm", may=May.INSTALL | May.FLEET, says="Enter a lever arm"):
    """From the unit’s reference point to another sensor’s, along the vehicle’s axes: forward, to starboard and down positive."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    leads_to: one_from(ARMS, unset=True) = Field(title="Leads to")
    forward_m: Metres = Field(title="Forward", description="m, aft is negative")
    starboard_m: Metres = Field(title="To starboard", description="m, to port is negative")
    down_m: Metres = Field(title="Down", description="m, up is negative")
    sigma_m: Annotated[FigureText, within(above="0", most="10")] = Field(title="Sigma of each", description="m")
    measured_how: Words = Field(title="Measured how", description="Tape, drawing, survey and its number.")
    measured_on: DayText = Field(title="Measured on")
    measured_by: PersonRef | None = Field(None, title="Measured by", description=_BY)

    def decide(self, case: Case) -> Decision:
        before = arms_at(case.db, case.ids["bay"], case.at).get(self.leads_to)
        remarks = remarks_of_arm((self.forward_m, self.starboard_m, self.down_m))
        touched = before["seq"] if before else 0
        return Decision(_not_measured_yet(self.measured_on, case), touched=touched, remarks=remarks)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        names = ("leads_to", "forward_m", "starboard_m", "down_m", "sigma_m")
        return [Add("lever_arm", _measured(entry) | {name: entry.body[name] for name in names})]


def _measured(entry: Entry) -> dict[str, Any]:
    told = {name: entry.body[name] for name in ("measured_how", "measured_on")}
    by = {"measured_by_id": entry.ids.get("measured_by")}
    return {"id": entry.id, "bay_id": entry.ids["bay"], **told, **by, **entry.moment("since")}


def _not_measured_yet(day: str, case: Case) -> list[Reason]:
    if day <= case.at[:10]:
        return []
    told = f"It was measured on {say_day(day)}; it cannot hold from {say_day(case.at)} on."
    return [Reason("in_the_future", told, "measured_on", "Look at both days.")]
