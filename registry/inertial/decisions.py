"""Decision rules: does a value with its uncertainty meet a tolerance, and how likely is that verdict to be wrong?

Sources: ILAC-G8:09/2019 4.2; JCGM 106:2012. The rule is fixed on the test plan before readings are taken.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from registry.inertial.inputs import number
from registry.inertial.methods import method
from registry.inertial.refusal import CannotCompute


class Rule(StrEnum):
    """Simple: inside the tolerance passes. Guarded: up to the tolerance minus U. Four-way: with conditional zones."""

    SIMPLE = "simple"
    GUARDED = "guarded"
    FOUR_WAY = "four-way"


class Outcome(StrEnum):
    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"
    CANNOT_DECIDE = "cannot decide"


_NEXT = {
    Outcome.PASS: "Nothing to do.",
    Outcome.CONDITIONAL_PASS: "A conditional pass is not a pass: have it accepted by name, or measure better.",
    Outcome.CONDITIONAL_FAIL: "Measure better, or adjust and measure again.",
    Outcome.FAIL: "Put it on hold, and look back at what it was used for.",
    Outcome.CANNOT_DECIDE: "Measure with a smaller uncertainty, or agree on a wider tolerance.",
}
#: Equality on a limit is accepted; this much of the tolerance is rounding.
_PLAY = 1e-9


@dataclass(frozen=True, slots=True)
class Decision:
    """Verdict with its odds. `risk` is the chance that it is wrong: false accept of a pass, false reject of a fail.

    Probabilities are bench-level: normal, flat prior. They are None when no uncertainty is stated.
    """

    outcome: Outcome
    value: float
    u: float | None
    expanded: float | None
    lower: float | None
    upper: float | None
    accept_lower: float | None
    accept_upper: float | None
    guard: float
    rule: Rule
    p_conform: float | None
    p_nonconform: float | None
    risk: float | None
    verdict: str
    next: str
    method: str


def conformance_probability(value: float, u: float, lower: float | None = None, upper: float | None = None) -> float:
    """P(true value within the tolerance), normal with standard uncertainty `u` (JCGM 106 section 7)."""
    dist = NormalDist(number(value, "The value"), number(u, "The standard uncertainty", above=0))
    above = 1.0 if upper is None else dist.cdf(upper)
    return above - (0.0 if lower is None else dist.cdf(lower))


def z_for_conformance(probability: float) -> float:
    """Standard uncertainties between value and limit for a one-sided conformance probability (JCGM 106 Table 1)."""
    return NormalDist().inv_cdf(number(probability, "The probability", above=0, most=1 - 1e-15))


def worst_false_accept(guard_multiple: float, k: float = 2.0) -> float:
    """False-accept probability of a value exactly on the acceptance limit, guard band r U (ILAC-G8 Table 1)."""
    return 0.5 * math.erfc(guard_multiple * k / math.sqrt(2))


def judge(
    value: float,
    *,
    lower: float | None = None,
    upper: float | None = None,
    u: float | None = None,
    k: float = 2.0,
    rule: Rule | str = Rule.GUARDED,
    guard_multiple: float = 1.0,
    unit: str = "",
) -> Decision:
    """Judge a value against one or two limits; U = k u, guard band w = `guard_multiple` U.

    Raises CannotCompute without a limit, for limits the wrong way round, and for a guarded or four-way rule when no
    uncertainty is stated. When U is not smaller than half the tolerance nothing passes: cannot decide.
    """
    y, rule = number(value, "The value"), Rule(rule)
    _refuse_unjudgeable(lower, upper, u, rule)
    expanded = None if u is None else number(k, "The coverage factor", above=0) * number(u, "u", above=0)
    guard = 0.0 if rule is Rule.SIMPLE else guard_multiple * expanded
    play = _PLAY * (upper - lower if lower is not None and upper is not None else abs(upper or lower or 1.0))
    outcome = _outcome(y, lower, upper, guard, expanded, rule, play)
    p = None if u is None else conformance_probability(y, u, lower, upper)
    passed = outcome in (Outcome.PASS, Outcome.CONDITIONAL_PASS)
    risk = None if p is None or outcome is Outcome.CANNOT_DECIDE else 1 - p if passed else p
    return Decision(
        outcome=outcome,
        value=y,
        u=u,
        expanded=expanded,
        lower=lower,
        upper=upper,
        accept_lower=None if lower is None else lower + guard,
        accept_upper=None if upper is None else upper - guard,
        guard=guard,
        rule=rule,
        p_conform=p,
        p_nonconform=None if p is None else 1 - p,
        risk=risk,
        verdict=_verdict(outcome, y, expanded, lower, upper, risk, unit),
        next=_NEXT[outcome],
        method=method("decision"),
    )


def _refuse_unjudgeable(lower: float | None, upper: float | None, u: float | None, rule: Rule) -> None:
    if lower is None and upper is None:
        raise CannotCompute("No limit is on record.", "Enter the tolerance with its source.")
    if lower is not None and upper is not None and not lower < upper:
        raise CannotCompute("The lower limit is not under the upper one.", "Enter them again.")
    if u is None and rule is not Rule.SIMPLE:
        raise CannotCompute(
            "The uncertainty is not stated, so a guarded rule cannot be applied.",
            "Ask for the uncertainty, or agree on simple acceptance.",
        )


def _within(y: float, lower: float | None, upper: float | None, inward: float, play: float) -> bool:
    return (lower is None or y >= lower + inward - play) and (upper is None or y <= upper - inward + play)


def _outcome(y, lower, upper, guard: float, expanded: float | None, rule: Rule, play: float) -> Outcome:
    if rule is Rule.SIMPLE:
        return Outcome.PASS if _within(y, lower, upper, 0.0, play) else Outcome.FAIL
    beyond = not _within(y, lower, upper, -guard, play)
    if lower is not None and upper is not None and guard >= (upper - lower) / 2 - play:
        return Outcome.FAIL if beyond else Outcome.CANNOT_DECIDE
    if _within(y, lower, upper, guard, play):
        return Outcome.PASS
    if rule is Rule.GUARDED or beyond:
        return Outcome.FAIL
    return Outcome.CONDITIONAL_PASS if _within(y, lower, upper, 0.0, play) else Outcome.CONDITIONAL_FAIL


def _verdict(outcome: Outcome, y, expanded, lower, upper, risk, unit: str) -> str:
    bounds = (
        f"{lower:g} to {upper:g}"
        if lower is not None and upper is not None
        else f"up to {upper:g}"
        if upper is not None
        else f"from {lower:g}"
    )
    spread = "uncertainty not stated" if expanded is None else f"± {expanded:.3g}"
    so = f"{outcome.capitalize()}: {y:.4g} {unit}".rstrip() + f" ({spread}) against {bounds} {unit}".rstrip() + "."
    if outcome is Outcome.CANNOT_DECIDE:
        return so + " The uncertainty is as large as the tolerance."
    return so if risk is None else so + f" The chance that this is wrong is {_say_risk(risk)}."


def _say_risk(risk: float) -> str:
    """A risk in percent, no surer than the uncertainty behind it is known."""
    return "under 0.1 %" if risk < 0.001 else f"{100 * risk:.2g} %"


@dataclass(frozen=True, slots=True)
class GlobalRisk:
    """Risks of a whole batch: share in tolerance, accepted though outside, rejected though inside (JCGM 106, 9)."""

    p_in_tolerance: float
    false_accept: float
    false_reject: float
    method: str


def global_risk(
    tolerance_half_width: float, process_sd: float, measuring_sd: float, acceptance_half_width: float
) -> GlobalRisk:
    """Normal process and measurement, both centred, two-sided limits ±T and acceptance ±A; all in one unit.

    Raises CannotCompute for widths and deviations that are not over zero.
    """
    import numpy as np
    from scipy.special import ndtr

    t, a, sp, sm = (
        number(value, "Widths and standard deviations", above=0)
        for value in (tolerance_half_width, acceptance_half_width, process_sd, measuring_sd)
    )
    nodes, weights = np.polynomial.legendre.leggauss(400)

    def integral(low: float, high: float, of_accepted: bool) -> float:
        x = (high + low) / 2 + (high - low) / 2 * nodes
        accepted = ndtr((a - x) / sm) - ndtr((-a - x) / sm)
        density = np.exp(-0.5 * (x / sp) ** 2) / (sp * math.sqrt(2 * math.pi))
        return float((high - low) / 2 * np.sum(weights * density * (accepted if of_accepted else 1 - accepted)))

    far = t + 12 * max(sp, sm)
    return GlobalRisk(
        p_in_tolerance=2 * float(ndtr(t / sp)) - 1,
        false_accept=2 * integral(t, far, True),
        false_reject=integral(-t, t, False),
        method=method("decision"),
    )
