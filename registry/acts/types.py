"""Unit types: the part numbers of the halves, the class, and which statements prove a pair."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import FigureText, Line, TypeRef, one_from, within
from registry.domain.people import May
from registry.domain.units import GRADES, QUANTITIES, STATISTICS, UNITS
from registry.errors import Reason
from registry.models.units import accepted_statement, unit_type

_type_named = select(unit_type.c.id).where(
    unit_type.c.maker == bindparam("maker"), unit_type.c.name == bindparam("name")
)
_grades = select(accepted_statement.c.grade).where(accepted_statement.c.unit_type_id == bindparam("type"))
Volts = Annotated[FigureText, within("0", "1000")]


class ClassLimit(BaseModel):
    """One figure of the type's class, with what it is a figure of: without its statistic it says nothing."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    quantity: one_from(QUANTITIES) = Field(title="Figure of")
    value: Annotated[FigureText, within(above="0")] = Field(title="Value")
    statistic: one_from(STATISTICS) = Field(title="Statistic")
    conditions: Line = Field(
        "as the sheet states",
        title="Conditions",
        description="One heading, reciprocal lines or closed box; as the sheet states.",
    )


class AddUnitType(Act, name="add_unit_type", may=May.EQUIP, says="Add a unit type"):
    """A maker’s type: the part numbers of its two halves, its class, and which statements prove a pair of it."""

    maker: Line = Field(title="Maker")
    type_name: Line = Field(title="Type")
    sensor_part: Line = Field(title="Part number, sensor half")
    electronics_part: Line = Field(title="Part number, electronics half")
    accepts: Annotated[list[one_from(GRADES)], Field(min_length=1, max_length=3)] = Field(
        title="Statements that prove a pair"
    )
    class_limits: Annotated[list[ClassLimit], Field(max_length=20)] = Field([], title="Class")
    supply_least_v: Volts | None = Field(None, title="Supply, least", description="V")
    supply_most_v: Volts | None = Field(None, title="Supply, most", description="V")
    serial_ports: Annotated[int, Field(ge=0, le=64)] | None = Field(None, title="Serial ports")
    network_ports: Annotated[int, Field(ge=0, le=64)] | None = Field(None, title="Network ports")
    export_classification: Line = Field(
        "not stated", title="Export classification", description="As the maker states it. A reminder only."
    )

    def decide(self, case: Case) -> Decision:
        reasons = []
        if case.db.execute(_type_named, {"maker": self.maker, "name": self.type_name}).first():
            reasons.append(
                Reason(
                    "already_known",
                    f"{self.maker} {self.type_name} is in the registry.",
                    "type_name",
                    "Use it, or give this one another name.",
                )
            )
        if self.sensor_part == self.electronics_part:
            reasons.append(
                Reason(
                    "wrong_form",
                    "Both halves cannot bear one part number: the halves could not be told apart.",
                    "electronics_part",
                    "Read both part numbers off the parts.",
                )
            )
        if self.supply_least_v and self.supply_most_v and float(self.supply_least_v) >= float(self.supply_most_v):
            reasons.append(
                Reason(
                    "wrong_form",
                    "The least supply voltage is not below the most.",
                    "supply_most_v",
                    "Look at the sheet again.",
                )
            )
        return Decision(reasons)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {
            name: body[name]
            for name in (
                "maker",
                "sensor_part",
                "electronics_part",
                "supply_least_v",
                "supply_most_v",
                "serial_ports",
                "network_ports",
                "export_classification",
            )
        }
        made: list[Effect] = [Add("unit_type", {"id": entry.id, "name": body["type_name"], **told})]
        for grade in dict.fromkeys(body["accepts"]):
            made.append(
                Add(
                    "accepted_statement",
                    {"id": entry.derived(f"accepts:{grade}"), "unit_type_id": entry.id, "grade": grade},
                )
            )
        for number, limit in enumerate(body["class_limits"]):
            row = {
                "id": entry.derived(f"limit:{number}"),
                "unit_type_id": entry.id,
                **limit,
                "unit": UNITS[limit["quantity"]],
            }
            made.append(Add("class_limit", row))
        return made


class AcceptStatement(Act, name="accept_statement", may=May.EQUIP, says="Accept a grade of statement"):
    """Let another grade of matched-pair statement prove pairs of a type."""

    unit_type: TypeRef = Field(title="Unit type")
    grade: one_from(GRADES) = Field(title="Grade")

    def decide(self, case: Case) -> Decision:
        grades = set(case.db.execute(_grades, {"type": case.ids["unit_type"]}).scalars())
        known = [
            Reason("already_so", f"A {GRADES[self.grade]} is accepted already.", "grade", "There is nothing to do.")
        ]
        return Decision(known if self.grade in grades else [])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Add(
                "accepted_statement",
                {"id": entry.id, "unit_type_id": entry.ids["unit_type"], "grade": entry.body["grade"]},
            )
        ]
