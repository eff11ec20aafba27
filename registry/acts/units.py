"""Unit types, halves, the labels that name them, and what changes about a half with time."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.identities import identity_row, reasons_of_label
from registry.acts.seats import live_stays_of
from registry.acts.shapes import FigureText, HalfRef, LabelText, Line, SiteRef, TypeRef, VehicleRef, Words, one_from, within
from registry.domain.people import May
from registry.domain.times import say
from registry.domain.units import GRADES, KINDS, QUANTITIES, STATISTICS, UNITS, TypeParts, reasons_against_part
from registry.errors import Reason
from registry.models.units import accepted_statement, retirement, unit_type

_type_named = select(unit_type.c.id).where(unit_type.c.maker == bindparam("maker"), unit_type.c.name == bindparam("name"))
_parts = select(unit_type.c.name, unit_type.c.sensor_part, unit_type.c.electronics_part).where(unit_type.c.id == bindparam("type"))
_grades = select(accepted_statement.c.grade).where(accepted_statement.c.unit_type_id == bindparam("type"))
_retired = select(retirement.c.retired_at).where((retirement.c.half_id == bindparam("thing")) | (retirement.c.vehicle_id == bindparam("thing")))
Volts = Annotated[FigureText, within("0", "1000")]


class ClassLimit(BaseModel):
    """One figure of the type's class, with what it is a figure of: without its statistic it says nothing."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    quantity: one_from(QUANTITIES) = Field(title="Figure of")
    value: Annotated[FigureText, within(above="0")] = Field(title="Value")
    statistic: one_from(STATISTICS) = Field(title="Statistic")
    conditions: Line = Field("as the sheet states", title="Conditions", description="One heading, reciprocal lines or closed box; as the sheet states.")


class AddUnitType(Act, name="add_unit_type", may=May.EQUIP, says="Add a unit type"):
    """A maker's type: the part numbers of its two halves, its class, and which statements prove a pair of it."""

    maker: Line = Field(title="Maker")
    type_name: Line = Field(title="Type")
    sensor_part: Line = Field(title="Part number, sensor half")
    electronics_part: Line = Field(title="Part number, electronics half")
    accepts: Annotated[list[one_from(GRADES)], Field(min_length=1, max_length=3)] = Field(title="Statements that prove a pair")
    class_limits: Annotated[list[ClassLimit], Field(max_length=20)] = Field([], title="Class")
    supply_least_v: Volts | None = Field(None, title="Supply, least", description="V")
    supply_most_v: Volts | None = Field(None, title="Supply, most", description="V")
    serial_ports: Annotated[int, Field(ge=0, le=64)] | None = Field(None, title="Serial ports")
    network_ports: Annotated[int, Field(ge=0, le=64)] | None = Field(None, title="Network ports")
    export_classification: Line = Field("not stated", title="Export classification", description="As the maker states it. A reminder only.")

    def decide(self, case: Case) -> Decision:
        reasons = []
        if case.db.execute(_type_named, {"maker": self.maker, "name": self.type_name}).first():
            reasons.append(Reason("already_known", f"{self.maker} {self.type_name} is in the registry.", "type_name", "Use it, or give this one another name."))
        if self.sensor_part == self.electronics_part:
            reasons.append(Reason("wrong_form", "Both halves cannot bear one part number: the halves could not be told apart.", "electronics_part", "Read both part numbers off the parts."))
        if self.supply_least_v and self.supply_most_v and float(self.supply_least_v) >= float(self.supply_most_v):
            reasons.append(Reason("wrong_form", "The least supply voltage is not below the most.", "supply_most_v", "Look at the sheet again."))
        return Decision(reasons)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {name: body[name] for name in ("maker", "sensor_part", "electronics_part", "supply_least_v", "supply_most_v", "serial_ports", "network_ports", "export_classification")}
        made: list[Effect] = [Add("unit_type", {"id": entry.id, "name": body["type_name"], **told})]
        for grade in body["accepts"]:
            made.append(Add("accepted_statement", {"id": entry.derived(f"accepts:{grade}"), "unit_type_id": entry.id, "grade": grade}))
        for number, limit in enumerate(body["class_limits"]):
            row = {"id": entry.derived(f"limit:{number}"), "unit_type_id": entry.id, **limit, "unit": UNITS[limit["quantity"]]}
            made.append(Add("class_limit", row))
        return made


class AcceptStatement(Act, name="accept_statement", may=May.EQUIP, says="Accept a grade of statement"):
    """Let another grade of matched-pair statement prove pairs of a type."""

    unit_type: TypeRef = Field(title="Unit type")
    grade: one_from(GRADES) = Field(title="Grade")

    def decide(self, case: Case) -> Decision:
        grades = set(case.db.execute(_grades, {"type": case.ids["unit_type"]}).scalars())
        known = [Reason("already_so", f"A {GRADES[self.grade]} is accepted already.", "grade", "There is nothing to do.")]
        return Decision(known if self.grade in grades else [])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Add("accepted_statement", {"id": entry.id, "unit_type_id": entry.ids["unit_type"], "grade": entry.body["grade"]})]


class ReceiveHalf(Act, name="receive_half", may=May.RECEIVE, says="Receive a half"):
    """Enter a half by the label on the part itself. Its partner is a matter of the matched-pair statement."""

    kind: one_from(KINDS) = Field(title="Half")
    unit_type: TypeRef = Field(title="Unit type")
    label: LabelText | None = Field(None, title="Label on the part", description="Scan it. If nothing can be scanned, type what is printed below.")
    maker: Line | None = Field(None, title="Maker, as printed", description="If the label does not say it.")
    part: Line | None = Field(None, title="Part number, as printed", description="If the label does not say it.")
    serial: Line | None = Field(None, title="Serial number, as printed", description="If the label does not say it.")
    revision: Line = Field("not stated", title="Revision")
    site: SiteRef = Field(title="Where it lies")
    spot: Line | None = Field(None, title="Shelf or bench")

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_parts, {"type": case.ids["unit_type"]}).one()
        found, reasons = reasons_of_label(case.db, self.label, self.maker, self.part, self.serial)
        if found:
            reasons += reasons_against_part(self.kind, found.printed_part, TypeParts(*row))
        decided = {"code": case.draw()} | ({"identity": found.as_dict()} if found else {})
        return Decision(reasons, decided, remarks=list(found.warnings) if found else [])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        half = {"id": entry.id, "code": entry.decided["code"], "kind": body["kind"], "unit_type_id": entry.ids["unit_type"], "revision": body["revision"]}
        place = {"id": entry.derived("place"), "half_id": entry.id, "site_id": entry.ids["site"], "spot": body["spot"] or "", **entry.moment("since"), "by_act": entry.id}
        return [Add("half", half), identity_row(entry, entry.derived("identity"), entry.id), Add("half_place", place)]


class AddIdentity(Act, name="add_identity", may=May.RECEIVE, says="Add another label of a half"):
    """A new plate, or a second label: both are scanned with the part in hand. The old one keeps naming the half."""

    half: HalfRef = Field(title="Half", description="Scan the label it already has.")
    label: LabelText = Field(title="New label", description="Scan the other label on the same part.")
    maker: Line | None = Field(None, title="Maker, as printed", description="If the label does not say it.")
    part: Line | None = Field(None, title="Part number, as printed", description="If the label does not say it.")
    serial: Line | None = Field(None, title="Serial number, as printed", description="If the label does not say it.")

    def decide(self, case: Case) -> Decision:
        found, reasons = reasons_of_label(case.db, self.label, self.maker, self.part, self.serial)
        return Decision(reasons, {"identity": found.as_dict()} if found else {}, remarks=list(found.warnings) if found else [])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [identity_row(entry, entry.id, entry.ids["half"])]


class RecordFirmware(Act, name="record_firmware", may=May.INSTALL, says="Record firmware"):
    """The firmware a half runs from now on, as read from the unit."""

    half: HalfRef = Field(title="Half")
    firmware: Line = Field(title="Version", description="As the unit reports it.")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Add("firmware", {"id": entry.id, "half_id": entry.ids["half"], "version": entry.body["firmware"], **entry.moment("since")})]


class NoteFault(Act, name="note_fault", may=May.ANYONE, says="Note a fault"):
    """A line in the fault diary of a half. It stops nothing; a hold does."""

    half: HalfRef = Field(title="Half")
    words: Words = Field(title="What was seen")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Add("fault", {"id": entry.id, "half_id": entry.ids["half"], "words": entry.body["words"], **entry.moment("noted")})]


class RetireHalf(Act, name="retire_half", may=May.FLEET, says="Retire a half"):
    """A half that will never go into a vehicle again. Its history stays; its partner is alone."""

    half: HalfRef = Field(title="Half")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        return Decision(_reasons_not_to_retire(case, case.ids["half"], "half"))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Add("retirement", {"id": entry.id, "half_id": entry.ids["half"], "why": entry.body["why"], **entry.moment("retired")})]


class RetireVehicle(Act, name="retire_vehicle", may=May.FLEET, says="Retire a vehicle"):
    """A vehicle that will never sail again. Its bays must be empty first."""

    vehicle: VehicleRef = Field(title="Vehicle")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        return Decision(_reasons_not_to_retire(case, case.ids["vehicle"], "vehicle"))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Add("retirement", {"id": entry.id, "vehicle_id": entry.ids["vehicle"], "why": entry.body["why"], **entry.moment("retired")})]


def _reasons_not_to_retire(case: Case, thing: str, what: str) -> list[Reason]:
    if done := case.db.execute(_retired, {"thing": thing}).scalar():
        return [Reason("already_so", f"That {what} was retired on {say(done)}.", what, "There is nothing to do.")]
    stays = live_stays_of(case.db, what, thing)
    return [Reason("pair_installed", f"{stay.pair} still sits in {stay.bay} since {say(stay.installed_at)}.", what, "Enter its removal first.") for stay in stays]

