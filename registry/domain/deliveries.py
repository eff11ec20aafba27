"""Receiving: cartons as they came in, when a bag may be opened, what an inspection finds, and the first power-up."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from registry.domain.plans import Plan
from registry.domain.times import later, say
from registry.errors import Offer, Reason

CONDITIONS = {"sound": "sound", "dented": "dented", "torn": "torn", "wet": "wet marks"}
INDICATORS = {"clear": "not tripped", "tripped": "tripped", "none": "none fitted"}
SEALS = {"whole": "whole", "broken": "broken", "none": "none fitted"}
BAGS = {
    "closed": "shielding, closed, no holes",
    "damaged": "torn, pierced or stapled",
    "open": "not closed",
    "none": "none",
}
LINE_STATES = {"done": "there, sound", "missing": "missing", "damaged": "damaged", "not_applicable": "does not apply"}
OUTCOMES = {
    "accept": "accepted",
    "accept_noted": "accepted with a noted defect",
    "hold": "on hold",
    "reject": "rejected, to go back",
}
#: What follows from each outcome, in words a person reads before choosing.
FOLLOWS = {
    "accept": "The half may be paired and installed.",
    "accept_noted": "The half may be paired and installed; the defect stands in its fault diary.",
    "hold": "The half is on hold until a release authority has seen evidence.",
    "reject": "The half is on hold and goes back; it is nobody’s spare.",
}
STOPPING = ("hold", "reject")
POWER_VERDICTS = {"pass": "pass", "fail": "fail", "incomplete": "incomplete"}

#: The figures of the plan that say how long a cold unit rests when nothing is measured, and the margin over the dew
#: point when it is.
WARMED_BY = ("dew_margin_k", "rest_in_carton_h", "rest_in_bag_h", "rest_from_deep_cold_h")
#: Magnus formula over water, -45 to 60 °C (coefficients of Sonntag 1990, as in WMO-No. 8, annex 4.B).
_MAGNUS_A, _MAGNUS_B_C = 17.62, 243.12
#: Least resistance from either supply line to the frame, MΩ (common practice, no source).
FAULT_LEAST_MOHM = Decimal(1)


@dataclass(frozen=True, slots=True)
class Carton:
    """A carton with what is inside it. `opened_at` and `bag_opened_at` are None while it is sealed."""

    id: str
    name: str
    half_id: str | None
    site_id: str
    taken_in_at: str
    deep_cold: bool
    station_id: str | None = None
    opened_at: str | None = None
    bag_opened_at: str | None = None
    inspected_at: str | None = None
    outcome: str | None = None
    seq: int = 0

    def state(self) -> str:
        """Where it stands, in words."""
        if self.half_id is None:
            return "open" if self.opened_at else "received, sealed"
        if self.inspected_at:
            return "inspected"
        if self.bag_opened_at:
            return "bag open, not inspected"
        return "carton open, bag closed" if self.opened_at else "received, sealed, not inspected"

    def not_accepted(self) -> str | None:
        """Why its half is not to be installed: what it is, in words. None when an inspection let it in; None, too, when
        one held it: a hold speaks for itself, and is released with evidence."""
        if self.inspected_at:
            return f"rejected at its inspection, {say(self.inspected_at)}" if self.outcome == "reject" else None
        stands = f"{self.name} is open" if self.opened_at else f"it stands sealed in {self.name}"
        return f"not inspected: {stands}"

    def next_act(self) -> tuple[str, str] | None:
        """The act that comes next and its words; None when there is none."""
        if self.inspected_at or (self.half_id is None and self.opened_at):
            return None
        if self.bag_opened_at:
            return "inspect_half", "Inspect the half"
        return ("open_bag", "Open the bag") if self.opened_at else ("open_carton", "Open the carton")


@dataclass(frozen=True, slots=True)
class Air:
    """What was measured before the bag is opened: surface of the unit or bag (°C), air (°C), relative humidity (%)."""

    surface_c: str | None = None
    air_c: str | None = None
    humidity_pct: str | None = None

    def measured(self) -> bool:
        return None not in (self.surface_c, self.air_c, self.humidity_pct)


def dew_point_c(air_c: float, humidity_pct: float) -> float:
    """Dew point in °C of air at `air_c` °C and `humidity_pct` % relative humidity over water, by the Magnus formula.

    Raises ValueError outside -45 to 60 °C or when the humidity is not above 0 and at most 100 %.
    """
    if not -45 <= air_c <= 60 or not 0 < humidity_pct <= 100:
        raise ValueError("The Magnus formula holds from −45 to 60 °C and for humidities above 0 and up to 100 %.")
    gamma = math.log(humidity_pct / 100) + _MAGNUS_A * air_c / (_MAGNUS_B_C + air_c)
    return _MAGNUS_B_C * gamma / (_MAGNUS_A - gamma)


def reasons_too_cold(carton: Carton, air: Air, at: str, plan: Plan) -> tuple[list[Reason], str]:
    """Whether water would condense if the bag were opened at `at`, and what that rests on in words."""
    if air.measured():
        return _by_dew_point(float(air.surface_c or 0), float(air.air_c or 0), float(air.humidity_pct or 0), plan)
    ready = rested_at(carton, plan)
    if at >= ready:
        return [], f"Rested: ready since {say(ready)}, nothing measured."
    hours = plan.count("rest_from_deep_cold_h" if carton.deep_cold else "rest_in_carton_h")
    told = (
        f"It has been in since {say(carton.taken_in_at)}; unmeasured, it rests {hours} h and is ready at {say(ready)}."
    )
    do = "Wait, or measure the surface, the air and its humidity and enter all three."
    return [Reason("too_cold", told, "surface_c", do)], told


def _by_dew_point(surface_c: float, air_c: float, humidity_pct: float, plan: Plan) -> tuple[list[Reason], str]:
    dew = dew_point_c(air_c, humidity_pct)
    told = f"Surface {surface_c:g} °C, dew point {dew:.1f} °C ({air_c:g} °C, {humidity_pct:g} %)."
    margin = float(plan.number("dew_margin_k"))
    if surface_c - dew >= margin:
        return [], told
    more = f"{told} It must be {margin:g} °C above the dew point, or water condenses on fibre and boards."
    return [Reason("too_cold", more, "surface_c", "Leave it closed and measure again later.")], told


def rested_at(carton: Carton, plan: Plan) -> str:
    """From when the bag may be opened without measuring."""
    if carton.deep_cold:
        return later(carton.taken_in_at, hours=plan.count("rest_from_deep_cold_h"))
    in_carton = later(carton.taken_in_at, hours=plan.count("rest_in_carton_h"))
    return min(in_carton, later(carton.opened_at, hours=plan.count("rest_in_bag_h"))) if carton.opened_at else in_carton


def reasons_not_to_open(
    carton: Carton, mate: str | None, alone: str | None, on_mat: Iterable[Carton], at: str
) -> list[Reason]:
    """Why the seal of a carton stays whole: it is open, it matches nothing, or another pair lies open on the mat.

    `mate` is the id of the half its half is a pair with; `on_mat` are the cartons open at the same station whose
    halves are not inspected yet.
    """
    reasons = _not_before_it_came(carton, at)
    if carton.opened_at:
        reasons.append(
            Reason("already_so", f"It was opened on {say(carton.opened_at)}.", "carton", "There is nothing to enter.")
        )
    if carton.half_id and not mate and not alone:
        told = "No matched-pair statement names the half in it: nobody can say which carton belongs to it."
        offer = Offer("record_pairing", "Enter the statement", {})
        do = "Enter the statement from the papers first, or say why it comes alone."
        reasons.append(Reason("not_matched", told, "carton", do, offer))
    others = [one for one in on_mat if one.id != carton.id and one.half_id and one.half_id != mate]
    if carton.half_id and others:
        told = f"Another pair lies open there: {others[0].name}. Two open pairs on one mat are how halves get mixed."
        reasons.append(Reason("mat_in_use", told, "station", "Inspect it and put it away first, or use another mat."))
    return reasons


def reasons_not_to_unwrap(carton: Carton, at: str) -> list[Reason]:
    """Why the inner bag cannot be opened now, the cold and the sign-off aside."""
    if carton.bag_opened_at:
        told = f"Its bag was opened on {say(carton.bag_opened_at)}."
        return [Reason("already_so", told, "carton", "There is nothing to enter.")]
    if not carton.opened_at:
        return [Reason("not_open", f"{carton.name} is sealed.", "carton", "Enter the opening of the carton first.")]
    if carton.opened_at >= at:
        return [_too_early(f"The carton was opened at {say(carton.opened_at)}")]
    return []


def reasons_not_to_inspect(carton: Carton, part_is: str | None, known_as: str, outcome: str, at: str) -> list[Reason]:
    """`part_is` is the id of the half the label on the part names, None when nothing bears it."""
    if carton.inspected_at:
        told = f"It was inspected on {say(carton.inspected_at)}."
        return [Reason("already_so", told, "carton", "What was seen since goes into the fault diary, or a hold.")]
    if carton.half_id is None:
        told = f"{carton.name} holds no half; what came in it stands in the papers of the delivery."
        return [Reason("wrong_form", told, "carton", "Choose the carton of a half.")]
    if not carton.bag_opened_at:
        return [Reason("not_open", f"The bag in {carton.name} is closed.", "carton", "Enter the opening of the bag.")]
    if carton.bag_opened_at >= at:
        return [_too_early(f"The bag was opened at {say(carton.bag_opened_at)}")]
    if part_is != carton.half_id and outcome not in STOPPING:
        told = f"The label on the part is not that of {known_as}, which the carton names. Nearly right is wrong."
        return [
            Reason(
                "carton_differs", told, "label", "Choose hold or reject, and receive the part in hand by its own label."
            )
        ]
    return []


def reasons_not_accepted(carton: Carton | None, half: str, field: str) -> list[Reason]:
    """Why a half is not to be installed yet, by the newest carton it came in; `half` names it.

    A half that never came in a carton was received by its label alone, and asks nothing here.
    """
    told = carton.not_accepted() if carton else None
    if carton is None or told is None:
        return []
    come = carton.next_act()
    do = "Inspect it first." if come else "Send it back; when it comes in again, it is inspected anew."
    offer = Offer(come[0], come[1], {"carton": carton.id}) if come else None
    return [Reason("not_accepted", f"{half} is {told}.", field, do, offer)]


def reasons_of_lines(lines: Iterable[tuple[str, str, str | None]]) -> list[Reason]:
    """Every line (item, state, words) that is not simply there needs its words."""
    return [
        Reason(
            "needs_reason",
            f"{item}: {LINE_STATES[state]}, and no word why.",
            f"lines.{number}.words",
            "Say what you saw.",
        )
        for number, (item, state, words) in enumerate(lines)
        if state != "done" and not words
    ]


@dataclass(frozen=True, slots=True)
class PowerUp:
    """Supply at the unit off load and on load (V), current drawn (A), least resistance of either line to the frame
    (MΩ, None when not read), and the type's supply range (V, None when its sheet does not say)."""

    off_load_v: str
    on_load_v: str
    current_a: str
    fault_mohm: str | None
    least_v: str | None
    most_v: str | None


@dataclass(frozen=True, slots=True)
class PowerVerdict:
    verdict: str
    told: tuple[str, ...]


def judge_power_up(read: PowerUp) -> PowerVerdict:
    """Both voltages within the type's range, a current drawn, and no path from a supply line to the frame."""
    fails, gaps = [], []
    if read.least_v is None or read.most_v is None:
        gaps.append("The type’s supply range is not in the registry.")
    else:
        for name, volts in (("off load", read.off_load_v), ("on load", read.on_load_v)):
            if not Decimal(read.least_v) <= Decimal(volts) <= Decimal(read.most_v):
                fails.append(f"{volts} V {name}; the type takes {read.least_v} to {read.most_v} V.")
    if Decimal(read.current_a) == 0:
        fails.append("It draws no current.")
    if read.fault_mohm is None:
        gaps.append("The resistance to the frame is not read.")
    elif Decimal(read.fault_mohm) < FAULT_LEAST_MOHM:
        fails.append(f"{read.fault_mohm} MΩ from a supply line to the frame; {FAULT_LEAST_MOHM} MΩ or more is sound.")
    return PowerVerdict("fail" if fails else "incomplete" if gaps else "pass", (*fails, *gaps))


def _not_before_it_came(carton: Carton, at: str) -> list[Reason]:
    return [] if carton.taken_in_at < at else [_too_early(f"It came in at {say(carton.taken_in_at)}")]


def _too_early(told: str) -> Reason:
    return Reason(
        "overlaps_history", f"{told}; this cannot have been before.", "happened_at", "Look at the day and time."
    )
