"""Closing sheets: what was seen to at the last closing of a housing, judged as it is entered."""

from typing import Annotated, Any

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Case, Decision, Deed
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Effect, Entry
from registry.acts.housings import housing_state
from registry.acts.shapes import FigureText, HousingRef, Line, Photos, Words, one_from, within
from registry.domain.closing_sheets import DESICCANTS, FACES, LATCHED, SEALS, ClosingSheet, judge
from registry.domain.fleet import LEAK_TESTED
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Offer, Reason
from registry.models.columns import Id
from registry.models.fleet import housing
from registry.models.openings import housing_closing
from registry.models.seeks import AT

_HOUSING = bindparam("housing", type_=Id)
_method = select(housing.c.closing_method).where(housing.c.id == _HOUSING)
_closing = (
    select(housing_closing.c.id, housing_closing.c.seq)
    .where(housing_closing.c.housing_id == _HOUSING, housing_closing.c.voided_seq.is_(None), housing_closing.c.closed_at <= AT)
    .order_by(housing_closing.c.closed_at.desc(), housing_closing.c.seq.desc())
    .limit(1)
)  # fmt: skip
Celsius = Annotated[FigureText, within("-80", "60")]
Count = Annotated[int, Field(ge=0, le=500)]
_FIELDS = tuple(name for name in ClosingSheet.__dataclass_fields__ if name != "seen")


class RecordClosingSheet(Deed, name="record_closing_sheet", may=May.INSTALL, pin=True, says="Enter a closing sheet"):
    """What was seen to when this housing was closed last: seals, faces, torque, cables, drying, tools. What is left empty is told as missing."""

    housing: HousingRef = Field(title="Housing", description="Scan a bay in it, or choose.")
    seals: one_from(SEALS, unset=True) = Field(title="Seals")
    seal_batch: Line | None = Field(None, title="Batch of the seals", description="From their bag.")
    faces: one_from(FACES, unset=True) = Field(title="Sealing faces")
    torque_nm: Annotated[FigureText, within(above="0", most="2000")] | None = Field(
        None, title="Torque", description="N m, as the vehicle’s maker states it"
    )
    data_cable: one_from(LATCHED, unset=True) = Field(title="Internal data cable")
    power_cable: one_from(LATCHED, unset=True) = Field(title="Internal power cable")
    desiccant: one_from(DESICCANTS, unset=True) = Field(title="Desiccant")
    dew_point_c: Celsius | None = Field(None, title="Dew point inside", description="°C")
    coldest_water_c: Celsius | None = Field(None, title="Coldest water it will meet", description="°C")
    tools_out: Count | None = Field(None, title="Tools taken to it")
    tools_in: Count | None = Field(None, title="Tools back in the case")
    words: Words | None = Field(None, title="In your words")
    files: Photos = Field([], title="Photos of seals and faces", description="They go with the vehicle.")

    def decide(self, case: Case) -> Decision:
        keys = {"housing": case.ids["housing"], "at": case.at}
        state = housing_state(case.db, case.ids["housing"], case.at)
        closing = case.db.execute(_closing, keys).first()
        reasons = reasons_of_files(case, self.files)
        if closing is None or state.open_since:
            told = (
                f"It is open since {say(state.open_since)}." if state.open_since else "Nobody has closed it on record."
            )
            offer = Offer("close_housing", "Close it", {"housing": case.ids["housing"]})
            reasons = [*reasons, Reason("not_open", told, "housing", "Close it first; the sheet is of that.", offer)]
        sealed = case.db.execute(_method, keys).scalar_one() in LEAK_TESTED
        seen = bool(self.files) or case.ids.get("second") is not None
        found = _judged(self.model_dump(), sealed, seen)
        decided = {
            **found,
            "closing": closing.id if closing else None,
            "vehicle": state.vehicle_id,
            "sealed": sealed,
            "seen": seen,
        }
        return Decision(reasons, decided, state.touched, _lines(found), [("vehicle_id", state.vehicle_id)])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        told = {name: body[name] for name in _FIELDS} | {"verdict": decided["verdict"], "told": decided["told"]}
        on = {"housing_closing_id": decided["closing"], "second_id": entry.ids.get("second")}
        row = {"id": entry.id, **on, **told, "words": body["words"] or "", **entry.moment("filled_in")}
        return [Add("closing_sheet", row), *file_rows(entry, "vehicle_id", decided["vehicle"], "closing")]

    @staticmethod
    def again(entry: Entry) -> dict[str, Any]:
        return _judged(entry.body, entry.decided["sealed"], entry.decided["seen"])


def _judged(body: dict[str, Any], sealed: bool, seen: bool) -> dict[str, Any]:
    found = judge(ClosingSheet(**{name: body[name] for name in _FIELDS}, seen=seen), sealed)
    return {"verdict": found.verdict, "told": " ".join(found.told)}


def _lines(found: dict[str, Any]) -> list[str]:
    return [found["told"]] if found["told"] else []
