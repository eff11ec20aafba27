"""What a unit type demands, from its day on: its ports, whether a settings sheet is needed, permitted firmware."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Effect, Entry
from registry.acts.shapes import BlankRows, Line, TypeRef, one_from, wrong
from registry.domain.people import May
from registry.domain.times import say
from registry.domain.units import KINDS
from registry.errors import Reason
from registry.models.columns import Id
from registry.models.type_settings import firmware_list, type_ports

_last = {
    table: select(table.c.since_at, table.c.seq)
    .where(table.c.unit_type_id == bindparam("type", type_=Id))
    .order_by(table.c.since_at.desc(), table.c.seq.desc())
    .limit(1)
    for table in (type_ports, firmware_list)
}
Count = Annotated[int, Field(ge=0, le=64)]


def _after_the_last(case: Case, table: object, what: str) -> Decision:
    """What holds from a day on is entered in order: one that begins before the last would change nothing that is seen."""
    row = case.db.execute(_last[table], {"type": case.ids["unit_type"]}).first()
    if row and row.since_at >= case.at:
        told = f"The {what} of this type hold from {say(row.since_at)}; others cannot begin before."
        return Decision([Reason("overlaps_history", told, "happened_at", "Look at the day and time.")], touched=row.seq)
    return Decision(touched=row.seq if row else 0)


class RecordPorts(Act, name="record_ports", may=May.EQUIP, says="Enter the ports of a type"):
    """How many serial and network ports a type has, and whether a bay with it needs a settings sheet. Port plans are looked over against it."""

    unit_type: TypeRef = Field(title="Unit type")
    serial_ports: Count = Field(title="Serial ports")
    network_ports: Count = Field(title="Network ports")
    sheet_demanded: bool = Field(
        False, title="Its bays need a settings sheet", description="Then a vehicle without one stops."
    )
    source: Line = Field(title="Where it stands", description="Handbook and page.")

    def decide(self, case: Case) -> Decision:
        return _after_the_last(case, type_ports, "ports")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        told = {name: entry.body[name] for name in ("serial_ports", "network_ports", "sheet_demanded", "source")}
        row = {"id": entry.id, "unit_type_id": entry.ids["unit_type"], **told, **entry.moment("since")}
        return [Add("type_ports", row)]


class FirmwareLine(BaseModel):
    """One version that a half of the type may run."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    kind: one_from(KINDS, unset=True) = Field(title="Half")
    version: Line = Field(title="Version", description="As the unit reports it.")


class PermitFirmware(Act, name="permit_firmware", may=May.EQUIP, says="Say which firmware is permitted"):
    """The versions a type may run from this day on; the list takes the place of the one before. What it names of one half says nothing of the other."""

    unit_type: TypeRef = Field(title="Unit type")
    versions: Annotated[list[FirmwareLine], Field(min_length=1, max_length=40), BlankRows(3)] = Field(
        title="Permitted versions"
    )
    reason: Line = Field(title="Why", description="The maker’s note, a finding, a test.")

    @model_validator(mode="after")
    def _each_once(self) -> "PermitFirmware":
        if len({(one.kind, one.version) for one in self.versions}) < len(self.versions):
            raise wrong("A version stands here twice for one half.")
        return self

    def decide(self, case: Case) -> Decision:
        return _after_the_last(case, firmware_list, "permitted versions")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {"id": entry.id, "unit_type_id": entry.ids["unit_type"], "reason": entry.body["reason"]}
        made: list[Effect] = [Add("firmware_list", {**row, **entry.moment("since")})]
        for number, line in enumerate(entry.body["versions"], 1):
            one = {"id": entry.derived(f"version:{number}"), "firmware_list_id": entry.id, **line}
            made.append(Add("firmware_permitted", one))
        return made
