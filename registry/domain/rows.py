"""From a row of a spreadsheet to the acts it stands for: its cells read as its columns say, then told as fields."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from registry.domain.cells import Unread, as_choice, as_day, as_figure, as_flag, as_instant, as_list, as_text
from registry.domain.imports import SHEETS, Wanted
from registry.errors import Reason


@dataclass(frozen=True, slots=True)
class Reading:
    """How a file is read: `columns` field -> letter, `fixed` field -> what every row says, and the order of day and month."""

    kind: str
    columns: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    order: str = ""

    def missing(self) -> list[Wanted]:
        """Columns that are needed and neither chosen nor told for all rows."""
        told = self.columns.keys() | {name for name, text in self.fixed.items() if text.strip()}
        return [one for one in SHEETS[self.kind].columns if one.needed and one.name not in told]


class Told(NamedTuple):
    """An act as a row tells it. `part` names it among the acts of its row."""

    part: str
    act: str
    happened_at: str
    fields: dict[str, Any]


def read(how: Reading, cells: Mapping[str, Any]) -> tuple[dict[str, Any], list[Reason]]:
    """Field -> value, and every reason why a cell cannot be read. Empty cells are left out; a needed one is asked for."""
    values: dict[str, Any] = {}
    reasons: list[Reason] = []
    for wanted in SHEETS[how.kind].columns:
        letter = how.columns.get(wanted.name)
        value = cells.get(letter) if letter else None
        if as_text(value) == "":
            value = how.fixed.get(wanted.name, "")
        if as_text(value) == "":
            if wanted.needed:
                told = f"{wanted.title}: the cell is empty."
                reasons.append(Reason("missing_field", told, wanted.name, "Fill it in."))
            continue
        try:
            values[wanted.name] = _read(wanted, value, how.order)
        except Unread as problem:
            reasons.append(Reason("wrong_form", f"{wanted.title}: {problem}", wanted.name))
    return values, reasons


def _read(wanted: Wanted, value: Any, order: str) -> Any:
    if wanted.form == "day":
        return as_day(value, order)
    if wanted.form == "instant":
        return as_instant(value, order)
    if wanted.form == "choice":
        return as_choice(value, wanted.choices or {})
    plain: dict[str, Callable[[Any], Any]] = {
        "figure": as_figure,
        "flag": as_flag,
        "list": as_list,
        "text": as_text,
    }
    return plain[wanted.form](value)


def acts_of(kind: str, values: dict[str, Any]) -> list[Told]:
    """The acts that one row stands for, in order."""
    return _ACTS[kind](dict(values))


def _halves(values: dict[str, Any]) -> list[Told]:
    return [Told("half", "receive_half", values.pop("since"), values)]


def _pairs(values: dict[str, Any]) -> list[Told]:
    return [Told("pair", "record_pairing", values.get("paired_at") or f"{values['stated_on']}T00:00:00Z", values)]


def _vehicles(values: dict[str, Any]) -> list[Told]:
    """The vehicle, then its housing and bay if the row names them. Rows of one vehicle name it again."""
    since, vehicle = values["since"], values["vehicle"]
    own = {name: values[name] for name in ("vehicle", "hull_number", "hull", "length_m", "site")}
    told = [Told("vehicle", "add_vehicle", since, own)]
    if "housing" in values:
        method = {name: values[name] for name in ("closing_method",) if name in values}
        told.append(Told("housing", "add_housing", since, {"vehicle": vehicle, "housing": values["housing"], **method}))
    if "letter" in values:
        more = {name: values[name] for name in ("letter", "from_bow_m", "accepts", "use") if name in values}
        # Without a housing the door says that it is needed, beside the column it would stand in.
        lies_in = {"housing": f"{vehicle} {values['housing']}"} if "housing" in values else {}
        told.append(Told("bay", "add_bay", since, {**lies_in, **more}))
    return told


_STAY = ("pair", "sensor", "electronics", "removed_at", "done_by")


def _installs(values: dict[str, Any]) -> list[Told]:
    bay = f"{values['vehicle']} {values['letter']}"
    told = {name: values[name] for name in _STAY if name in values}
    return [Told("install", "install_pair", values["installed_at"], {"bay": bay, **told})]


def _missions(values: dict[str, Any]) -> list[Told]:
    return [Told("mission", "record_mission", values.pop("started_at"), values)]


_RESULT = ("quantity", "unit", "as_found", "as_left", "expanded", "k")


def _calibrations(values: dict[str, Any]) -> list[Told]:
    line = {name: values.pop(name) for name in _RESULT if name in values}
    when = f"{values['calibrated_on']}T00:00:00Z"
    return [Told("calibration", "record_calibration", when, {**values, "results": [line]})]


_ACTS: dict[str, Callable[[dict[str, Any]], list[Told]]] = {
    "halves": _halves,
    "pairs": _pairs,
    "vehicles": _vehicles,
    "installs": _installs,
    "calibrations": _calibrations,
    "missions": _missions,
}


def joins(kind: str, earlier: list[Told], later: list[Told]) -> bool:
    """Whether the later row is a further line of the same calibration."""
    if kind != "calibrations" or not earlier or not later:
        return False
    one, other = ({**told[0].fields, "results": None} for told in (earlier, later))
    return one == other


def joined(earlier: list[Told], later: list[Told]) -> list[Told]:
    fields = earlier[0].fields
    more = {"results": [*fields["results"], *later[0].fields["results"]]}
    return [earlier[0]._replace(fields=fields | more)]
