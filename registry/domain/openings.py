"""Housings: open or closed at an instant, the leak test on absolute pressures, and what a knock asks to look at again."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from registry.domain.times import say
from registry.errors import Offer, Reason

_ZERO_C = Decimal("273.15")

#: What a knock, or a tripped indicator on a carton, asks before a half goes into a bay. The rest is asked of the vehicle.
BEFORE_INSTALL = ("verification", "visual", "connectors")
#: The figures of the plan by which a leak test is judged.
JUDGED_BY = ("leak_below_mbar", "leak_judged_to_k", "leak_hold_min")
VERDICTS = {"holds": "holds", "does_not": "does not hold", "cannot_judge": "cannot be judged"}
RECHECKS = {
    "verification": "verify the pair on a known mark",
    "axis_and_sign": "axis and sign check",
    "alignment": "measure the alignment again",
    "leak_test": "leak test of the housing",
    "connectors": "look at connectors and caps",
    "visual": "look the half over under ESD control",
}


@dataclass(frozen=True, slots=True)
class LeakTest:
    """Absolute pressures (mbar) and inside temperatures (°C) at both ends of the hold, and its length (minutes).

    By the plan: the largest change that still holds, the largest change of inside temperature that is judged (beyond it
    the gas law corrects more than a leak would show), and the shortest hold that says anything.
    """

    start_mbar: str
    start_c: str
    end_mbar: str
    end_c: str
    hold_min: str
    limit_mbar: str
    judged_to_k: str
    least_hold_min: str


@dataclass(frozen=True, slots=True)
class LeakVerdict:
    """`holds`, `does_not` or `cannot_judge`; the temperature-corrected change in mbar, positive when gas came in."""

    verdict: str
    change_mbar: str | None
    told: str


def judge_leak_test(test: LeakTest) -> LeakVerdict:
    """Compare the end pressure with what the gas law gives for a closed volume: p1·T2/T1 (both absolute).

    At 750 mbar and room temperature one kelvin is 2.6 mbar, more than the limit itself: without the correction the
    test would judge the weather. It finds pinched or dirty seals; it does not prove depth.
    """
    start_k, end_k = Decimal(test.start_c) + _ZERO_C, Decimal(test.end_c) + _ZERO_C
    change_k = abs(end_k - start_k)
    if change_k > Decimal(test.judged_to_k):
        told = f"Cannot judge: the inside changed by {change_k} K; at most {test.judged_to_k} K can be corrected. Let it settle and repeat."
        return LeakVerdict("cannot_judge", None, told)
    expected = Decimal(test.start_mbar) * end_k / start_k
    change = (Decimal(test.end_mbar) - expected).quantize(Decimal("0.01"))
    if Decimal(test.hold_min) < Decimal(test.least_hold_min):
        told = (
            f"Cannot judge: held for {test.hold_min} min; {test.least_hold_min} min show a slow leak. Hold it longer."
        )
        return LeakVerdict("cannot_judge", format(change, "f"), told)
    limit = Decimal(test.limit_mbar)
    said = f"Change {change} mbar in {test.hold_min} min, corrected for temperature; limit {limit}."
    if abs(change) <= limit:
        return LeakVerdict("holds", format(change, "f"), f"{said} It does not prove depth.")
    return LeakVerdict("does_not", format(change, "f"), f"{said} Look at the seals and faces, and test again.")


@dataclass(frozen=True, slots=True)
class Asked:
    """Something that was asked to be looked at again and is not answered; `on` says of what."""

    id: str
    what: str
    on: str
    asked_at: str


def reasons_not_looked_at(asked: Iterable[Asked], field: str) -> list[Reason]:
    """Why halves that were struck do not go in yet: what was asked of them then has no answer."""
    return [
        Reason(
            "not_looked_at",
            f"{one.on[0].upper()}{one.on[1:]}: {RECHECKS[one.what]}, asked on {say(one.asked_at)}, has no answer yet.",
            field,
            "Look at it and answer first.",
            Offer("answer_recheck", "Answer it", {"recheck": one.id}),
        )
        for one in asked
    ]


def rechecks_of_knock(hard: bool, housed: bool) -> list[str]:
    """What a knock asks to look at again, for a pair in a vehicle (`housed`) or a half in hand."""
    if housed:
        return ["axis_and_sign", "alignment", *(["verification"] if hard else [])]
    return ["visual", "connectors", *(["verification"] if hard else [])]


def remarks_of_hull(housing: str, closed_at: str | None, vehicle: str, mission: str | None, since: str) -> list[str]:
    """What asks how somebody saw into a bay: its vehicle was away on a mission, or its housing closed, on record."""
    do = "or say how it was seen"
    remarks = []
    if mission:
        remarks.append(f"{vehicle} is under way on mission {mission} since {say(since)}; end it, {do}.")
    if closed_at:
        told = f"No opening of the {housing} housing is on record since {say(closed_at)}"
        remarks.append(f"{told}; enter the opening, {do}.")
    return remarks
