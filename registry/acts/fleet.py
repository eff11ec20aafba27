"""Vehicles, their housings and bays, and what a bay accepts and is used for from a day on."""

from typing import Annotated

from pydantic import Field
from sqlalchemy import bindparam, select

from registry.acts.act import Act, Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry
from registry.acts.retiring import reasons_not_to_retire
from registry.acts.shapes import (
    BayRef,
    FigureText,
    HousingRef,
    Line,
    SiteRef,
    TypeRef,
    VehicleRef,
    Words,
    one_from,
    within,
)
from registry.acts.spells import Spell, ended, holding, until_next
from registry.domain.fleet import CLOSING_METHODS, HEADING_TOLERANCE_DEG, HULLS, USES
from registry.domain.people import May
from registry.domain.times import say, say_day
from registry.errors import Reason
from registry.models.fleet import bay, bay_type, housing, vehicle

_vehicle_named = select(vehicle.c.id).where(vehicle.c.name == bindparam("name"))
_housing_named = select(housing.c.id).where(
    housing.c.vehicle_id == bindparam("vehicle"), housing.c.name == bindparam("name")
)
_bay_lettered = select(bay.c.id).where(bay.c.vehicle_id == bindparam("vehicle"), bay.c.letter == bindparam("letter"))
_vehicle_of_housing = (
    select(housing.c.vehicle_id, vehicle.c.length_m)
    .join(vehicle, vehicle.c.id == housing.c.vehicle_id)
    .where(housing.c.id == bindparam("housing"))
)
_spells = select(
    bay_type.c.id, bay_type.c.accepted_at, bay_type.c.accepted_offset_min, bay_type.c.ended_at, bay_type.c.seq
).where(
    bay_type.c.bay_id == bindparam("bay"),
    bay_type.c.unit_type_id == bindparam("type"),
    bay_type.c.voided_seq.is_(None),
)


class AddVehicle(Act, name="add_vehicle", may=May.EQUIP | May.FLEET, says="Add a vehicle"):
    """A vehicle, underwater or surface, with the length its hull strip is drawn to."""

    vehicle: Line = Field(title="Name")
    hull_number: Line = Field(title="Hull number")
    hull: one_from(HULLS) = Field(title="Hull")
    length_m: Annotated[FigureText, within(above="0", most="200")] = Field(title="Length", description="m")
    site: SiteRef = Field(title="Where it is")

    def decide(self, case: Case) -> Decision:
        known = case.db.execute(_vehicle_named, {"name": self.vehicle}).first()
        reasons = (
            [
                Reason(
                    "already_known",
                    f"A vehicle called {self.vehicle} is in the registry.",
                    "vehicle",
                    "Use it, or give this one another name.",
                )
            ]
            if known
            else []
        )
        return Decision(reasons, {"code": case.draw()})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {name: body[name] for name in ("hull_number", "hull", "length_m")}
        return [
            Add("vehicle", {"id": entry.id, "code": entry.decided["code"], "name": body["vehicle"], **told}),
            Add(
                "vehicle_place",
                {
                    "id": entry.derived("place"),
                    "vehicle_id": entry.id,
                    "site_id": entry.ids["site"],
                    **entry.moment("since"),
                    "by_act": entry.id,
                },
            ),
        ]


class AddHousing(Act, name="add_housing", may=May.EQUIP | May.FLEET, says="Add a housing"):
    """A pressure housing or box of a vehicle, which holds one or more bays."""

    vehicle: VehicleRef = Field(title="Vehicle")
    housing: Line = Field(title="Name", description="Forward, aft, mast …")
    closing_method: one_from(CLOSING_METHODS) = Field(title="Closed by")
    free_volume_l: Annotated[FigureText, within(above="0", most="10000")] | None = Field(
        None, title="Free volume", description="l"
    )
    vacuum_limit_mbar: Annotated[FigureText, within(above="0", most="1100")] | None = Field(
        None, title="Vacuum limit", description="mbar below ambient, as the vehicle’s maker allows."
    )

    def decide(self, case: Case) -> Decision:
        known = case.db.execute(_housing_named, {"vehicle": case.ids["vehicle"], "name": self.housing}).first()
        return Decision(
            [
                Reason(
                    "already_known",
                    f"That vehicle has a housing called {self.housing}.",
                    "housing",
                    "Use it, or give this one another name.",
                )
            ]
            if known
            else []
        )

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body = entry.body
        told = {name: body[name] for name in ("closing_method", "free_volume_l", "vacuum_limit_mbar")}
        return [Add("housing", {"id": entry.id, "vehicle_id": entry.ids["vehicle"], "name": body["housing"], **told})]


class AddBay(Act, name="add_bay", may=May.EQUIP | May.FLEET, says="Add a bay"):
    """The place for one pair. It accepts the types named here from the instant of the act on."""

    housing: HousingRef = Field(title="Housing")
    letter: Annotated[Line, Field(pattern=r"^[A-Z]$")] = Field(
        title="Letter", description="One capital letter, from the bow: A, B, C."
    )
    from_bow_m: Annotated[FigureText, within("0", "200")] = Field(title="Distance from the bow", description="m")
    accepts: Annotated[list[TypeRef], Field(max_length=20)] = Field([], title="Accepted types")
    use: one_from(USES) = Field("transit", title="Use")
    heading_tolerance_deg: Annotated[FigureText, within(above="0", most="90")] | None = Field(
        None, title="Heading tolerance", description="deg. The default of its use, if empty."
    )

    def decide(self, case: Case) -> Decision:
        row = case.db.execute(_vehicle_of_housing, {"housing": case.ids["housing"]}).one()
        reasons = []
        if case.db.execute(_bay_lettered, {"vehicle": row.vehicle_id, "letter": self.letter}).first():
            reasons.append(
                Reason("already_known", f"That vehicle has a bay {self.letter}.", "letter", "Take the next letter.")
            )
        if float(self.from_bow_m) > float(row.length_m):
            reasons.append(
                Reason(
                    "wrong_form",
                    f"The bay would lie {self.from_bow_m} m from the bow of a vehicle {row.length_m} m long.",
                    "from_bow_m",
                    "Measure from the bow, in metres.",
                )
            )
        tolerance = self.heading_tolerance_deg or HEADING_TOLERANCE_DEG.get(self.use)
        return Decision(reasons, {"code": case.draw(), "vehicle": row.vehicle_id, "tolerance": tolerance})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        body, decided = entry.body, entry.decided
        row = {
            "id": entry.id,
            "code": decided["code"],
            "vehicle_id": decided["vehicle"],
            "housing_id": entry.ids["housing"],
            "letter": body["letter"],
            "from_bow_m": body["from_bow_m"],
        }
        accepted = [
            _accepted(entry, entry.derived(f"type:{id_}"), entry.id, id_)
            for id_ in dict.fromkeys(entry.ids.get("accepts", []))
        ]
        return [Add("bay", row), *accepted, _use(entry, entry.derived("use"), entry.id)]


class AcceptType(Act, name="accept_type", may=May.EQUIP, says="Accept a type in a bay"):
    """The bay’s plate, plugs and supply fit this unit type, from the instant of the act on."""

    bay: BayRef = Field(title="Bay")
    unit_type: TypeRef = Field(title="Unit type")

    def decide(self, case: Case) -> Decision:
        spells = _spells_of(case)
        held = holding(spells, case.at)
        reasons = []
        if held and held.until_at:
            told = f"That type was accepted from {say(held.since_at)} to {say(held.until_at)}."
            reasons.append(Reason("overlaps_history", told, "happened_at", "Accept it from the end of that time on."))
        elif held:
            told = f"That type is accepted since {say_day(held.since_at)}."
            reasons.append(Reason("already_so", told, "unit_type", "There is nothing to do."))
        touched = max((spell.seq for spell in spells), default=0)
        return Decision(reasons, {"until": until_next(spells, case.at)}, touched)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_accepted(entry, entry.id, entry.ids["bay"], entry.ids["unit_type"], entry.decided["until"])]


class StopAcceptingType(Act, name="stop_accepting_type", may=May.EQUIP, says="Stop accepting a type"):
    """The bay no longer takes this type. What sits in it stays; nothing more of the type may go in."""

    bay: BayRef = Field(title="Bay")
    unit_type: TypeRef = Field(title="Unit type")

    def decide(self, case: Case) -> Decision:
        live = next((spell for spell in _spells_of(case) if spell.until_at is None), None)
        if not live:
            return Decision(
                [Reason("already_so", "That type is not accepted there.", "unit_type", "There is nothing to stop.")]
            )
        reasons = (
            []
            if live.since_at < case.at
            else [
                Reason(
                    "overlaps_history",
                    f"It is accepted since {say(live.since_at)}; it cannot stop before.",
                    "happened_at",
                    "Look at the day and time.",
                )
            ]
        )
        return Decision(reasons, {"accepted": live.id}, live.seq)

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [Close("bay_type", entry.decided["accepted"], entry.moment("ended"))]


class SetBayUse(Act, name="set_bay_use", may=May.EQUIP | May.FLEET, says="Set the use of a bay"):
    """What a bay’s heading is used for from now on, and how far it may be off."""

    bay: BayRef = Field(title="Bay")
    use: one_from(USES) = Field(title="Use")
    heading_tolerance_deg: Annotated[FigureText, within(above="0", most="90")] | None = Field(
        None, title="Heading tolerance", description="deg. The default of its use, if empty."
    )

    def decide(self, case: Case) -> Decision:
        return Decision(decided={"tolerance": self.heading_tolerance_deg or HEADING_TOLERANCE_DEG.get(self.use)})

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [_use(entry, entry.id, entry.ids["bay"])]


class RetireVehicle(Act, name="retire_vehicle", may=May.FLEET, says="Retire a vehicle"):
    """A vehicle that will never sail again. Its bays must be empty first."""

    vehicle: VehicleRef = Field(title="Vehicle")
    why: Words = Field(title="Why")

    def decide(self, case: Case) -> Decision:
        return Decision(reasons_not_to_retire(case, case.ids["vehicle"], "vehicle"))

    @staticmethod
    def effects(entry: Entry) -> list[Effect]:
        return [
            Add(
                "retirement",
                {
                    "id": entry.id,
                    "vehicle_id": entry.ids["vehicle"],
                    "why": entry.body["why"],
                    **entry.moment("retired"),
                },
            )
        ]


def _spells_of(case: Case) -> list[Spell]:
    keys = {"bay": case.ids["bay"], "type": case.ids["unit_type"]}
    return [Spell(*row) for row in case.db.execute(_spells, keys)]


def _accepted(entry: Entry, id_: str, bay_id: str, type_id: str, until: str | None = None) -> Add:
    row = {"id": id_, "bay_id": bay_id, "unit_type_id": type_id, **entry.moment("accepted"), **ended(entry, until)}
    return Add("bay_type", row)


def _use(entry: Entry, id_: str, bay_id: str) -> Add:
    tolerance = entry.decided["tolerance"]
    return Add(
        "bay_use",
        {
            "id": id_,
            "bay_id": bay_id,
            "use": entry.body["use"],
            "heading_tolerance_deg": tolerance,
            **entry.moment("since"),
        },
    )
