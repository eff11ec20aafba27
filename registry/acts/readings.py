"""Readings as acts take them: from the fields to what is judged, what an entry keeps, and the rows it makes."""

from typing import Annotated, Any

from registry.acts.act import Case
from registry.acts.entry import Add, Entry
from registry.acts.shapes import FigureText, within
from registry.domain.handling import MeterUsed, ReadingsVerdict, meter_of
from registry.domain.readings import QUANTITIES, Reading
from registry.errors import Reason
from registry.models.meters import meters_used

Resistance = Annotated[FigureText, within("0", "1000000")]
FieldStrength = Annotated[FigureText, within("0", "1000")]


def open_name(quantity: str) -> str:
    """The field that says a reading is an open circuit."""
    return f"{quantity.rsplit('_', 1)[0]}_open"


def readings_given(body: dict[str, Any]) -> dict[str, Reading]:
    """What was read, by quantity; what was left empty is left out."""
    given = {name: Reading(body.get(name), bool(body.get(open_name(name)))) for name in QUANTITIES}
    return {name: one for name, one in given.items() if one.value is not None or one.open_circuit}


def reasons_of_readings(body: dict[str, Any]) -> list[Reason]:
    """A figure and an open circuit at once are neither."""
    told = "A reading and an open circuit cannot both be."
    both = [name for name, one in readings_given(body).items() if one.open_circuit and one.value is not None]
    return [Reason("wrong_form", told, name, "Clear the figure or the tick.") for name in both]


def meters_named(case: Case) -> tuple[MeterUsed, ...]:
    """The meters that the act says were used, with what covers them on the day."""
    return meters_used(case.db, case.ids["meters"], case.at[:10])


def kept_meters(meters: tuple[MeterUsed, ...]) -> list[dict[str, Any]]:
    return [{"id": one.id, "name": one.name, "reads": one.reads, "due_on": one.due_on} for one in meters]


def told(found: ReadingsVerdict, meters: tuple[MeterUsed, ...]) -> dict[str, Any]:
    """What an entry keeps of a verdict: each reading with the limit that was in force and the meter that read it."""
    readings = []
    for j in found.readings:
        meter = meter_of(j.quantity, meters)
        readings.append({
            "quantity": j.quantity, "value": j.reading.value, "open_circuit": j.reading.open_circuit, "unit": j.limit.unit,
            "least": j.limit.least, "below": j.limit.below, "limit_source": j.limit.source, "verdict": j.verdict,
            "meter_id": meter.id if meter else None, "meter_due_on": meter.due_on if meter else None,
        })  # fmt: skip
    return {"verdict": found.verdict, "reasons": list(found.reasons), "readings": readings}


def reading_rows(entry: Entry, table: str, owner: str) -> list[Add]:
    """A row for every reading the entry keeps."""
    return [
        Add(table, {"id": entry.derived(f"reading:{one['quantity']}"), owner: entry.id, **one})
        for one in entry.decided["readings"]
    ]
