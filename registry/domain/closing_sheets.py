"""The closing sheet of a housing: what must be on it before the hull is trusted, and what on it cannot be so.

Drying and the rule of the second person are common practice, no source; local codes and the vehicle’s maker come first.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from registry.domain.findings import Finding
from registry.errors import Offer

SEALS = {"new": "new", "kept": "kept, looked at", "damaged": "damaged, kept"}
FACES = {"clean": "clean and unmarked", "marked": "marked or dirty", "not_looked": "not looked at"}
LATCHED = {"latched": "latched, pulled at", "loose": "not latched", "none": "there is none"}
DESICCANTS = {"new": "new", "regenerated": "regenerated", "old": "as it was", "none": "none"}
VERDICTS = {"complete": "complete", "incomplete": "incomplete", "contradicts": "cannot be left so"}
#: Degrees that the dew point inside lies below the coldest water, at least.
DRY_BY_C = 5


@dataclass(frozen=True, slots=True)
class ClosingSheet:
    """What the sheet says. Figures are text, None where nothing was entered; `seen` says that a second person or a
    photo stands behind the seals."""

    seals: str
    seal_batch: str | None
    faces: str
    torque_nm: str | None
    data_cable: str
    power_cable: str
    desiccant: str
    dew_point_c: str | None
    coldest_water_c: str | None
    tools_out: int | None
    tools_in: int | None
    seen: bool


@dataclass(frozen=True, slots=True)
class ClosingVerdict:
    """`complete`, `incomplete` or `contradicts`, and why, one sentence a line."""

    verdict: str
    told: tuple[str, ...]


def judge(sheet: ClosingSheet, sealed: bool) -> ClosingVerdict:
    """What is missing and what contradicts. `sealed` says that the housing closes by vacuum or gasket: only then are
    seals, faces, torque and drying asked for."""
    wrong, missing = _cables_and_tools(sheet)
    if sealed:
        more_wrong, more_missing = _seals(sheet)
        dry_wrong, dry_missing = _drying(sheet)
        wrong, missing = wrong + more_wrong + dry_wrong, missing + more_missing + dry_missing
    verdict = "contradicts" if wrong else "incomplete" if missing else "complete"
    return ClosingVerdict(verdict, tuple(wrong + missing))


def _cables_and_tools(sheet: ClosingSheet) -> tuple[list[str], list[str]]:
    wrong = [
        f"The internal {name} cable is not latched: open it and latch it."
        for name, state in (("data", sheet.data_cable), ("power", sheet.power_cable))
        if state == "loose"
    ]
    if sheet.tools_out is None or sheet.tools_in is None:
        return wrong, ["The tools were not counted, out and back."]
    if sheet.tools_out != sheet.tools_in:
        wrong.append(f"{sheet.tools_out} tools went in and {sheet.tools_in} came back: look for it before it sails.")
    return wrong, []


def _seals(sheet: ClosingSheet) -> tuple[list[str], list[str]]:
    wrong, missing = [], []
    if sheet.seals == "damaged":
        wrong.append("A damaged seal was kept: put a new one in.")
    if sheet.seals == "new" and not sheet.seal_batch:
        missing.append("The batch of the new seals is not stated.")
    if sheet.faces == "marked":
        wrong.append("The sealing faces are marked or dirty: clean them, or have them judged.")
    if sheet.faces == "not_looked":
        missing.append("Nobody looked at the sealing faces.")
    if sheet.torque_nm is None:
        missing.append("The torque is not stated.")
    if not sheet.seen:
        missing.append("Neither a second person nor a photo stands behind the seals.")
    return wrong, missing


def _drying(sheet: ClosingSheet) -> tuple[list[str], list[str]]:
    """Desiccant new or regenerated, and the dew point inside 5 °C below the coldest water."""
    missing = []
    if sheet.desiccant not in ("new", "regenerated"):
        missing.append("The desiccant is neither new nor regenerated.")
    if sheet.dew_point_c is None or sheet.coldest_water_c is None:
        return [], [*missing, "Dew point inside and coldest water are not both stated."]
    dew, water = Decimal(sheet.dew_point_c), Decimal(sheet.coldest_water_c)
    if dew > water - DRY_BY_C:
        told = f"The dew point inside is {dew} °C; for water of {water} °C it must be {water - DRY_BY_C} °C or lower: dry it.".replace(
            "-", "−"
        )
        return [told], missing
    return [], missing


@dataclass(frozen=True, slots=True)
class ClosingStanding:
    """The newest sheet of the last closing of a housing."""

    verdict: str
    told: str
    seq: int


def findings_of_closing(one: ClosingStanding | None, housing: str, housing_id: str) -> Iterable[Finding]:
    """What stands against a housing that is closed and was open before. A contradiction stops: it is mended by opening."""
    offer = Offer("record_closing_sheet", "Enter its closing sheet", {"housing": housing_id})
    if one is None:
        told = "Seals, faces, torque, cables, drying and tools of the last closing are not on record."
        return [Finding("note", "no_closing_sheet", f"{housing}: no closing sheet", told, offer=offer)]
    if one.verdict == "complete":
        return []
    severity, words = ("stops", "cannot be left so") if one.verdict == "contradicts" else ("care", "is incomplete")
    fact = f"{housing}: the closing sheet {words}"
    return [Finding(severity, f"closing_{one.verdict}", fact, one.told, one.seq, None, offer)]
