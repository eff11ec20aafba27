"""Deliveries and their cartons, as they come in; and what a delivery of a type holds."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.attachments import file_rows, reasons_of_files
from registry.acts.entry import Add, Effect, Entry
from registry.acts.lists import list_rows, list_told_anew
from registry.acts.shapes import BlankRows, DeliveryRef, HalfRef, Line, Photos, SiteRef, TypeRef, Words, one_from, wrong
from registry.domain.deliveries import CONDITIONS, INDICATORS, SEALS
from registry.domain.people import May
from registry.domain.times import say
from registry.errors import Reason
from registry.models.deliveries import carton, delivery, scope_line

_named = select(delivery.c.id).where(
    delivery.c.sender == bindparam("sender"), delivery.c.reference == bindparam("reference")
)
_delivery = select(delivery.c.reference, delivery.c.cartons, delivery.c.arrived_at).where(
    delivery.c.id == bindparam("delivery")
)
_numbered = select(carton.c.id).where(
    carton.c.delivery_id == bindparam("delivery"), carton.c.number == bindparam("number")
)
_scope = select(scope_line.c.id, scope_line.c.since_at, scope_line.c.seq).where(
    scope_line.c.unit_type_id == bindparam("unit_type"),
    scope_line.c.ended_at.is_(None),
    scope_line.c.voided_seq.is_(None),
)
Count = Annotated[int, Field(ge=1, le=500)]


class ScopeLine(BaseModel):
    """One line of what is delivered with a pair: halves, leads, plugs, handbook, files."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    item: Line = Field(title="What")
    quantity: Count = Field(1, title="How many")


class SetScope(Act, name="set_scope", may=May.EQUIP, says="Set the scope of delivery"):
    """What a delivery of a type holds, line by line. It takes the place of the list before it; an inspection asks each line."""

    unit_type: TypeRef = Field(title="Unit type")
    lines: Annotated[list[ScopeLine], Field(min_length=1, max_length=60), BlankRows(12)] = Field(title="Lines")

    def decide(self, case: Case) -> Decision:
        return list_told_anew(case, _scope, "unit_type")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return list_rows(entry, "scope_line", "unit_type")


class RecordDelivery(Act, name="record_delivery", may=May.RECEIVE, says="Enter a delivery"):
    """A delivery stands at the door: who sent it and how many cartons it is. Each carton is entered on its own."""

    sender: Line = Field(title="Sent by")
    reference: Line = Field(title="Reference", description="Delivery note, order or air waybill.")
    site: SiteRef = Field(title="Site")
    cartons: Count = Field(title="Cartons")
    words: Words | None = Field(
        None, title="In your words", description="What was seen at the door; the driver’s note."
    )

    def decide(self, case: Case) -> Decision:
        if case.db.execute(_named, {"sender": self.sender, "reference": self.reference}).first():
            told = f"Delivery {self.reference} of {self.sender} is in the registry."
            return Decision(
                [Reason("already_known", told, "reference", "Enter its cartons, or look at the reference.")]
            )
        return Decision()

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {name: body[name] for name in ("sender", "reference", "cartons")}
        row = {"id": entry.id, **told, "site_id": entry.ids["site"], "words": body["words"] or ""}
        return [Add("delivery", {**row, **entry.moment("arrived")})]


class RecordCarton(Act, name="record_carton", may=May.RECEIVE, says="Enter a carton"):
    """A carton as it came in, sealed. Received, sealed, not inspected: it may stay so as long as you like."""

    delivery: DeliveryRef = Field(title="Delivery")
    number: Count = Field(title="Number of the carton")
    half: HalfRef | None = Field(
        None,
        title="Half in it",
        description="Receive it by the carton’s label first, then scan that. Empty: no half in it.",
    )
    condition: one_from(CONDITIONS) = Field(title="Carton")
    shock: one_from(INDICATORS) = Field(title="Shock indicator")
    tilt: one_from(INDICATORS) = Field(title="Tilt indicator")
    seal: one_from(SEALS) = Field(title="Seal")
    deep_cold: bool = Field(False, title="It came below −10 °C", description="By its logger or its way here.")
    words: Words | None = Field(None, title="In your words", description="Marks and orientation.")
    files: Photos = Field([], title="Photos of the carton", description="They go with the half in it.")

    @model_validator(mode="after")
    def _photos_go_with_a_half(self) -> "RecordCarton":
        if self.files and self.half is None:
            raise wrong("Photos go with the half in a carton, and no half is named.")
        return self

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_delivery, {"delivery": case.ids["delivery"]}).one()
        reasons = []
        if self.number > row.cartons:
            told = f"Delivery {row.reference} is {row.cartons} {'carton' if row.cartons == 1 else 'cartons'}."
            reasons.append(Reason("wrong_form", told, "number", "Count them again, or enter another delivery."))
        if case.db.execute(_numbered, {"delivery": case.ids["delivery"], "number": self.number}).first():
            told = f"Carton {self.number} of {row.reference} is entered already."
            reasons.append(Reason("already_known", told, "number", "Enter the next one."))
        if row.arrived_at > case.at:
            told = f"The delivery came at {say(row.arrived_at)}; its carton cannot have come before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        return Decision(reasons + reasons_of_files(case, self.files), remarks=_remarks(self))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, ids = entry.body, entry.ids
        told = {name: body[name] for name in ("number", "condition", "shock", "tilt", "seal", "deep_cold")}
        row = {"id": entry.id, "delivery_id": ids["delivery"], "half_id": ids.get("half"), **told}
        files = file_rows(entry, "half_id", ids["half"], "carton") if ids.get("half") else []
        return [Add("carton", {**row, "words": body["words"] or "", **entry.moment("taken_in")}), *files]


def _remarks(carton: RecordCarton) -> list[str]:
    told = [
        f"The {name} indicator has tripped: photograph it; the pair is verified before it goes into a vehicle."
        for name in ("shock", "tilt")
        if getattr(carton, name) == "tripped"
    ]
    if carton.seal == "broken" or carton.condition != "sound":
        told.append("Photograph it before anything is opened, and tell the carrier.")
    return told
