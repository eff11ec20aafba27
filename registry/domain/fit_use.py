"""A vehicle asked about for one use: its alignments judged by the tolerances of that use instead of the bays’ own."""

from decimal import Decimal

from registry.domain.alignments import (
    COVERAGE,
    GRAVEST,
    JUDGED,
    ROLL_TOLERANCE_DEG,
    VERDICTS,
    Alignment,
    LeftAngle,
    against,
    finding_of_alignment,
)
from registry.domain.findings import Finding
from registry.domain.fit_facts import BayFacts
from registry.domain.fleet import HEADING_TOLERANCE_DEG, USES
from registry.domain.mountings import say_signed, say_thousandths
from registry.errors import Offer

#: The uses a vehicle may be asked about: those that say what they need.
ASKED = {use: words for use, words in USES.items() if use in HEADING_TOLERANCE_DEG}


def say_tolerances(use: str) -> str:
    """`heading within 0.1°, roll within 0.05°`"""
    roll = ROLL_TOLERANCE_DEG.get(use)
    return f"heading within {HEADING_TOLERANCE_DEG[use]}°" + (f", roll within {roll}°" if roll else "")


def findings_for_use(bay: BayFacts, use: str) -> list[Finding]:
    """What the alignment of a bay says for this use, and by which tolerances it was judged."""
    own = finding_of_alignment(bay.alignment, bay.letter, bay.bay_id, bay.dowels, bay.seq)
    one = bay.alignment
    if own and (one is None or own.code in ("alignment_missing", "alignment_withdrawn", "alignment_outdated")):
        return [own]
    assert one is not None
    verdict, told = _judged(one, bay.left, use)
    evidence = one.answer_seq if one.residual and one.answer == "confirmed" else one.seq
    key = {"bay": bay.bay_id}
    if verdict == "outside":
        do = "Enter what was found in the unit and read it back, or give the vehicle another use."
        confirm = Offer("confirm_alignment", "Enter the residual of a check run", key)
        fact = f"Bay {bay.letter}: alignment outside for {USES[use]}"
        return [Finding("stops", "alignment_outside", fact, f"{told} {do}", evidence, bay.letter, confirm)]
    if one.state == "carried" and own:
        return [own, _said(bay, use, told, evidence)]
    if verdict == "cannot_decide":
        do = "Measure it again, better, or enter the residual of a check run."
        align = Offer("record_alignment", "Enter an alignment", key)
        fact = f"Bay {bay.letter}: alignment cannot be decided for {USES[use]}"
        return [Finding("care", "alignment_undecided", fact, f"{told} {do}", evidence, bay.letter, align, use=use)]
    return [_said(bay, use, told, evidence)]


def _said(bay: BayFacts, use: str, told: str, evidence: int | None) -> Finding:
    own = f"its own use, {USES[bay.use]}" + (f" within {bay.tolerance_deg}° of heading" if bay.tolerance_deg else "")
    fact = f"Bay {bay.letter}: alignment judged for {USES[use]}"
    return Finding("note", "judged_for_use", fact, f"{told} In place of {own}.", evidence, bay.letter)


def _judged(one: Alignment, left: tuple[LeftAngle, ...], use: str) -> tuple[str, str]:
    """The gravest verdict over the angles this use needs, and each of them in words.

    The residual of a check run that confirmed the alignment says more of the heading than the alignment itself.
    """
    angles = {angle.judged: angle for angle in left}
    if one.answer == "confirmed" and one.residual:
        angles = {"roll": angles["roll"]} if "roll" in angles else {}
        angles["yaw"] = one.residual
    needs = [(name, HEADING_TOLERANCE_DEG[use]) for name in ("yaw", "dvl") if name in angles]
    needs = needs or [("yaw", HEADING_TOLERANCE_DEG[use])]
    if use in ROLL_TOLERANCE_DEG:
        needs.append(("roll", ROLL_TOLERANCE_DEG[use]))
    said = [_said_of(name, angles.get(name), tolerance) for name, tolerance in needs]
    verdict = min((verdict for verdict, _words in said), key=GRAVEST.index)
    return verdict, f"For {USES[use]}: {'; '.join(words for _verdict, words in said)}."


def _said_of(name: str, angle: LeftAngle | None, tolerance: str) -> tuple[str, str]:
    if angle is None:
        return "cannot_decide", f"the {JUDGED[name]} was never judged, tolerance {tolerance}°"
    if angle.left is None:
        return "cannot_decide", f"{JUDGED[name]}: nobody said what stands in the unit, tolerance {tolerance}°"
    verdict = against(Decimal(angle.left), angle.sigma, Decimal(tolerance))
    spread = say_thousandths(2 * Decimal(angle.sigma))
    words = f"{JUDGED[name]} left {say_signed(angle.left)} ± {spread}° ({COVERAGE}), tolerance {tolerance}°, {VERDICTS[verdict]}"
    return verdict, words
