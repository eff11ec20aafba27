"""Factory calibrations of a pair: what the certificate says, as found and as left, with the certificate itself."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import BlankRows, DayText, FigureText, FileList, Line, PairRef, Words, within
from registry.domain.calibrations import ResultGiven, reasons_of_day, reasons_of_results
from registry.domain.people import May
from registry.errors import Reason
from registry.models.calibrations import calibration

_known = select(calibration.c.id).where(
    calibration.c.pairing_id == bindparam("pair"), calibration.c.certificate == bindparam("certificate")
)


class StandardUsed(BaseModel):
    """A standard or instrument that results rest on, with its own due date."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    name: Line = Field(title="Standard", description="Name and number.")
    due_on: DayText | None = Field(None, title="Its own due date")


#: Standards that a calibration or a verification was done with.
Standards = Annotated[list[StandardUsed], Field(max_length=12), BlankRows(2)]


class CalibrationResult(BaseModel):
    """One line of results, as the certificate gives it."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    quantity: Line = Field(title="Quantity", description="Gyro bias x, heading, scale …")
    unit: Annotated[Line, Field(max_length=20)] = Field(title="Unit")
    as_found: FigureText | None = Field(None, title="As found")
    as_left: FigureText | None = Field(None, title="As left")
    expanded: Annotated[FigureText, within(above="0")] | None = Field(
        None, title="Expanded uncertainty", description="Empty: not stated."
    )
    k: Annotated[FigureText, within(above="0", most="10")] | None = Field(None, title="k")


class RecordCalibration(Act, name="record_calibration", may=May.VERIFY, says="Enter a factory calibration"):
    """What the certificate of a pair says: results as found and as left, each with its uncertainty or “not stated”."""

    pair: PairRef = Field(title="Pair", description="Scan one of its halves.")
    certificate: Line = Field(title="Certificate")
    calibrated_on: DayText = Field(title="Calibrated on")
    place: Line = Field(title="Place", description="Who did it and where.")
    conditions: Line | None = Field(None, title="Conditions", description="Temperature, warm-up, settings.")
    adjusted: bool = Field(False, title="It was adjusted", description="Between as found and as left.")
    results: Annotated[list[CalibrationResult], Field(min_length=1, max_length=60), BlankRows(4)] = Field(
        title="Results"
    )
    standards: Standards = Field([], title="Standards used")
    words: Words | None = Field(None, title="In your words")
    files: FileList = Field([], title="The certificate")

    def decide(self, case: Case) -> Decision:
        reasons = reasons_of_day(self.calibrated_on, case.at, "calibrated_on")
        reasons += reasons_of_results(
            (ResultGiven(r.quantity, r.as_found, r.as_left, r.expanded, r.k) for r in self.results), self.adjusted
        )
        if case.db.execute(_known, {"pair": case.ids["pair"], "certificate": self.certificate}).first():
            told = f"Certificate {self.certificate} of this pair is in the registry."
            reasons.append(Reason("already_known", told, "certificate", "Look at its number again."))
        return Decision(reasons + reasons_of_files(case, self.files))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, pair = entry.body, entry.ids["pair"]
        told = {name: body[name] for name in ("certificate", "calibrated_on", "place", "adjusted")}
        row = {
            "id": entry.id,
            "pairing_id": pair,
            **told,
            "conditions": body["conditions"] or "",
            "words": body["words"] or "",
        }
        made: list[Effect] = [Add("calibration", {**row, **entry.moment("entered")})]
        for number, line in enumerate(body["results"], 1):
            id_ = entry.derived(f"result:{number}")
            made.append(Add("calibration_result", {"id": id_, "calibration_id": entry.id, "number": number, **line}))
        return [*made, *standard_rows(entry, "calibration_id"), *file_rows(entry, "pairing_id", pair, "certificate")]


def standard_rows(entry: Entry, column: str) -> list[Effect]:
    """The rows of the standards an entry names."""
    return [
        Add("standard_used", {"id": entry.derived(f"standard:{number}"), column: entry.id, "number": number, **one})
        for number, one in enumerate(entry.body["standards"], 1)
    ]
