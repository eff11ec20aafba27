"""Alignments that are entered or fitted on the spot: a certificate’s angles, and pairs of directions."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from registry.acts.act import Act, Case, Decision
from registry.acts.alignment_facts import alignment_facts, alignment_rows, part
from registry.acts.alignment_figures import concluded, figure, fine, kept_parts, refused_by, told_of, whole_of
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Effect, Entry
from registry.acts.mountings import AngleSigma, FineAngle
from registry.acts.shapes import BayRef, BlankRows, FigureText, FileList, Line, Words, one_from, within, wrong
from registry.domain.alignments import NORTHS_OR_NONE, VERDICTS
from registry.domain.mountings import ANGLES
from registry.domain.people import May
from registry.errors import Reason
from registry.inertial import CannotCompute

ALIGN = May.INSTALL | frozenset({"verifier"})
NorthBehind = Annotated[
    one_from(NORTHS_OR_NONE, unset=True), Field(title="North", description="What azimuths behind it were counted from.")
]
NorthTold = Annotated[
    Line | None,
    Field(
        title="Which grid or declination",
        description="Grid: zone and convergence. Magnetic: declination, chart or model, and year.",
    ),
]
YawInUnit = Annotated[FineAngle | None, Field(title="Yaw in the unit now", description="deg, read off the unit")]
RollInUnit = Annotated[FineAngle | None, Field(title="Roll in the unit now", description="deg, read off the unit")]


class RecordAlignment(Act, name="record_alignment", may=ALIGN, pin=True, happened=True, says="Enter an alignment"):
    """The unit’s angles on its plate from a factory sheet or certificate; together with the bay’s plate they say what the unit must be told."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    unit_roll_deg: FineAngle = Field(title="Unit on plate, roll", description="deg, starboard down +")
    unit_roll_sigma_deg: AngleSigma = Field(title="Sigma of the roll", description="deg")
    unit_pitch_deg: FineAngle = Field(title="Unit on plate, pitch", description="deg, bow up +")
    unit_pitch_sigma_deg: AngleSigma = Field(title="Sigma of the pitch", description="deg")
    unit_yaw_deg: FineAngle = Field(title="Unit on plate, yaw", description="deg, to starboard +")
    unit_yaw_sigma_deg: AngleSigma = Field(title="Sigma of the yaw", description="deg")
    dvl_yaw_deg: FineAngle | None = Field(None, title="DVL to unit, yaw", description="deg, to starboard +, if stated")
    dvl_yaw_sigma_deg: AngleSigma | None = Field(None, title="Sigma of the DVL’s yaw", description="deg")
    source: Line = Field(title="Certificate or sheet", description="Its number and date.")
    north: NorthBehind
    north_told: NorthTold = None
    in_unit_yaw_deg: YawInUnit = None
    in_unit_roll_deg: RollInUnit = None
    words: Words | None = Field(None, title="In your words")
    files: FileList = Field([], title="The certificate")

    @model_validator(mode="after")
    def _whole(self) -> "RecordAlignment":
        if (self.dvl_yaw_deg is None) != (self.dvl_yaw_sigma_deg is None):
            raise wrong("The DVL’s yaw and its sigma are given both or not at all.")
        return _north_is_told(self)

    def decide(self, case: Case) -> Decision:
        facts = alignment_facts(case, needs_mounting=True)
        reasons = facts.reasons + reasons_of_files(case, self.files)
        if reasons:
            return Decision(reasons, touched=facts.touched)
        return decided(facts, _entered(self.model_dump(), facts.given))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        files = file_rows(entry, "pairing_id", entry.decided["pairing"], "attached")
        return [*alignment_rows(entry, "certificate"), *files]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _entered(entry.body, entry.decided["given"])


def _entered(body: dict[str, Any], given: dict[str, Any]) -> dict[str, Any]:
    figures = {f"{name}{end}": body[f"unit_{name}{end}"] for name in ANGLES for end in ("_deg", "_sigma_deg")}
    new = [part("unit_plate", "certificate", figures, "as stated", body["source"])]
    if body["dvl_yaw_deg"] is not None:
        yaw = {"yaw_deg": body["dvl_yaw_deg"], "yaw_sigma_deg": body["dvl_yaw_sigma_deg"]}
        new.append(part("dvl_unit", "certificate", yaw, "as stated", body["source"]))
    whole = whole_of(given["plate"], new[0])
    return concluded(given, kept_parts(given, new), whole, in_unit_of(body), ("yaw", "roll")) | {
        "north": north_of_body(body)
    }


Part = Annotated[FigureText, within("-100000", "100000")]


class DirectionPair(BaseModel):
    """One direction seen by the unit along its own axes, and the same known in the vehicle’s."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    unit_x: Part = Field(title="Unit x")
    unit_y: Part = Field(title="Unit y")
    unit_z: Part = Field(title="Unit z")
    forward: Part = Field(title="Vehicle forward")
    starboard: Part = Field(title="Vehicle to starboard")
    down: Part = Field(title="Vehicle down")
    sigma_deg: AngleSigma = Field(title="Sigma", description="deg, both sides together")


class FitAlignment(Act, name="fit_alignment", may=ALIGN, pin=True, happened=True, says="Fit an alignment"):
    """Directions that the unit saw and that are known in the vehicle: gravity in two poses, a surveyed line. Two or more, of any length, well apart."""

    bay: BayRef = Field(title="Bay", description="Scan the bay’s label.")
    pairs: Annotated[list[DirectionPair], Field(min_length=2, max_length=24), BlankRows(3)] = Field(
        title="Pairs of directions"
    )
    source: Line = Field(title="Measured how", description="Instruments and their numbers.")
    north: NorthBehind
    north_told: NorthTold = None
    in_unit_yaw_deg: YawInUnit = None
    in_unit_roll_deg: RollInUnit = None
    words: Words | None = Field(None, title="In your words")

    @model_validator(mode="after")
    def _whole(self) -> "FitAlignment":
        return _north_is_told(self)

    def prepared(self) -> dict[str, Any]:
        try:
            return {"fit": _fitted(self.model_dump())}
        except CannotCompute as refused:
            return {"refused": refused_by(refused, "pairs")}

    def decide(self, case: Case) -> Decision:
        facts = alignment_facts(case, needs_mounting=True)
        reasons = facts.reasons + reasons_of_fit(case)
        if reasons:
            return Decision(reasons, touched=facts.touched)
        try:
            return decided(facts, _from_fit(self.model_dump(), facts.given, case.ready["fit"]))
        except CannotCompute as refused:
            return Decision([refused_by(refused, "pairs")], touched=facts.touched)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return alignment_rows(entry, "directions")

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _from_fit(entry.body, entry.decided["given"], _fitted(entry.body))


def _fitted(body: dict[str, Any]) -> dict[str, Any]:
    """The fit and what it leaves over, without what the bay has to do with it."""
    from registry.inertial import direction_residuals, fit_directions

    unit = [[float(row[name]) for name in ("unit_x", "unit_y", "unit_z")] for row in body["pairs"]]
    vehicle = [[float(row[name]) for name in ("forward", "starboard", "down")] for row in body["pairs"]]
    sigma = [float(row["sigma_deg"]) for row in body["pairs"]]
    fit = fit_directions(unit, vehicle, sigma)
    left = direction_residuals(fit, unit, vehicle, sigma)
    return {
        "c_vu": fit.c_vu,
        "covariance_rad2": fit.covariance_rad2,
        "method": fit.method,
        "next": fit.next,
        "residuals": residual_rows(left),
    }


def residual_rows(left: Any) -> list[dict[str, str]]:
    """Residuals as they are kept."""
    rows = zip(left.names, left.left_deg, left.sigma_deg, strict=True)
    return [{"name": name, "left_deg": figure(value), "sigma_deg": figure(sigma)} for name, value, sigma in rows]


def _from_fit(body: dict[str, Any], given: dict[str, Any], fit: dict[str, Any]) -> dict[str, Any]:
    """Raises CannotCompute when the fit says that the unit sits otherwise than the bay’s mounting has it."""
    from registry.inertial import fine_of, mounting_from_words, unit_on_plate

    both = fine_of(fit["c_vu"], fit["covariance_rad2"], mounting_from_words(*given["orientation"].split()))
    unit = told_of(unit_on_plate(both, fine(given["plate"])))
    new = [part("unit_plate", "derived", unit, fit["method"], body["source"])]
    found = concluded(given, kept_parts(given, new), told_of(both), in_unit_of(body), ("yaw", "roll"), fit["residuals"])
    return found | {"north": north_of_body(body)}


def reasons_of_fit(case: Case) -> list[Reason]:
    """What the computation before the lock refused, if it did."""
    return [case.ready["refused"]] if "refused" in case.ready else []


def in_unit_of(body: dict[str, Any]) -> dict[str, str | None]:
    """What stands in the unit now, as it was read off it."""
    return {name: body.get(f"in_unit_{name}_deg") for name in ("yaw", "roll", "dvl")}


def north_of_body(body: dict[str, Any]) -> dict[str, str]:
    return {"north": body["north"], "north_told": body["north_told"] or ""}


def _north_is_told(act: Any) -> Any:
    """Grid and magnetic north are nothing without what makes them true."""
    if act.north in ("grid", "magnetic") and act.north_told is None:
        raise wrong(f"{NORTHS_OR_NONE[act.north].capitalize()} needs its grid or its declination, with the source.")
    return act


def decided(facts: Any, found: dict[str, Any]) -> Decision:
    """The decision to keep an alignment, with its verdict as a remark."""
    judged = found["judged"]
    said = f"{VERDICTS[judged['verdict']].capitalize()}. {judged['told']} {judged['next']}"
    return Decision([], {**facts.decided(), **found}, facts.touched, [said])
