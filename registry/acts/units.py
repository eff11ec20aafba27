"""Halves, the labels that name them, and what changes about a half with time."""

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.identities import identity_row, reasons_of_label
from registry.acts.retiring import reasons_not_to_retire
from registry.acts.shapes import HalfRef, LabelText, Line, SiteRef, TypeRef, Words, one_from
from registry.domain.people import May
from registry.domain.times import say
from registry.domain.units import KINDS, TypeParts, reasons_against_part
from registry.errors import Reason
from registry.models.units import unit_type

_parts = select(unit_type.c.name, unit_type.c.sensor_part, unit_type.c.electronics_part).where(
    unit_type.c.id == bindparam("type")
)


class ReceiveHalf(Act, name="receive_half", may=May.RECEIVE, says="Receive a half"):
    """Enter a half by the label on the part itself. Its partner is a matter of the matched-pair statement."""

    kind: one_from(KINDS) = Field(title="Half")
    unit_type: TypeRef = Field(title="Unit type")
    label: LabelText | None = Field(
        None, title="Label on the part", description="Scan it. If nothing can be scanned, type what is printed below."
    )
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
            reasons += reasons_against_part(self.kind, found.printed_part, TypeParts(*row), ("kind", "unit_type"))
        decided = {"code": case.draw()} | ({"identity": found.as_dict()} if found else {})
        return Decision(reasons, decided, remarks=list(found.warnings) if found else [])

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        half = {
            "id": entry.id,
            "code": entry.decided["code"],
            "kind": body["kind"],
            "unit_type_id": entry.ids["unit_type"],
            "revision": body["revision"],
        }
        place = {
            "id": entry.derived("place"),
            "half_id": entry.id,
            "site_id": entry.ids["site"],
            "spot": body["spot"] or "",
            **entry.moment("since"),
            "by_act": entry.id,
        }
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
        if found:
            half = seats.halves(case.db, [case.ids["half"]])[case.ids["half"]]
            row = case.db.execute(_parts, {"type": half.type_id}).one()
            reasons += reasons_against_part(half.kind, found.printed_part, TypeParts(*row), ("label", "label"))
        return Decision(
            reasons, {"identity": found.as_dict()} if found else {}, remarks=list(found.warnings) if found else []
        )

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [identity_row(entry, entry.id, entry.ids["half"])]


class RecordFirmware(Act, name="record_firmware", may=May.INSTALL, happened=True, says="Record firmware"):
    """The firmware a half runs from now on, as read from the unit."""

    half: HalfRef = Field(title="Half")
    firmware: Line = Field(title="Version", description="As the unit reports it.")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Add(
                "firmware",
                {
                    "id": entry.id,
                    "half_id": entry.ids["half"],
                    "version": entry.body["firmware"],
                    **entry.moment("since"),
                },
            )
        ]


class NoteFault(Act, name="note_fault", may=May.ANYONE, says="Note a fault"):
    """A line in the fault diary of a half. It stops nothing; a hold does."""

    half: HalfRef = Field(title="Half")
    words: Words = Field(title="What was seen")

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Add(
                "fault",
                {"id": entry.id, "half_id": entry.ids["half"], "words": entry.body["words"], **entry.moment("noted")},
            )
        ]


class RetireHalf(Act, name="retire_half", may=May.FLEET, says="Retire a half"):
    """A half that will never go into a vehicle again. Its history stays; its pair ends with it, and its partner is alone."""

    half: HalfRef = Field(title="Half")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        half = case.ids["half"]
        reasons = reasons_not_to_retire(case, half, "half")
        live = next((p for p in seats.pairings(case.db, [half]) if p.ended_at is None), None)
        if live and live.paired_at >= case.at:
            told = f"It is in pair {live.name} since {say(live.paired_at)}; it cannot have been retired before."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
        return Decision(reasons, {"pairing": live.id if live else None}, seats.touched(case.db, [half]))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        row = {"id": entry.id, "half_id": entry.ids["half"], "why": entry.body["why"], **entry.moment("retired")}
        ended = {**entry.moment("ended"), "end_reason": f"one half retired: {entry.body['why']}"}
        pairing = entry.decided["pairing"]
        return [Add("retirement", row), *([Close("pairing", pairing, ended)] if pairing else [])]
