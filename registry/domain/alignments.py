"""Alignments of a stay: three parts, how each was found, the verdict against the use of the bay, and what its state means."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from registry.domain.findings import Finding
from registry.domain.mountings import ARMS, AXES, ORIENTATIONS, say_angle, say_length, say_signed, say_thousandths
from registry.domain.norths import NORTHS
from registry.domain.times import say, say_day
from registry.errors import Offer, Reason

WAYS = {
    "certificate": "entered from a certificate",
    "directions": "fitted to pairs of directions",
    "dvl_run": "fitted to a DVL run",
    "carried": "carried over on dowels",
}
PARTS = {"plate_vehicle": "plate on vehicle", "unit_plate": "unit on plate", "dvl_unit": "DVL to unit"}
PART_WAYS = WAYS | {"measured": "measured with the bay", "derived": "derived: the fit less the plate"}
#: Azimuths are behind some directions and some certificates; behind others there is none.
NORTHS_OR_NONE = NORTHS | {"none": "no azimuth is behind it"}
VERDICTS = {"within": "within", "outside": "outside", "cannot_decide": "cannot decide"}
GRAVEST = ("outside", "cannot_decide", "within")
ANSWERS = {"confirmed": "confirmed", "withdrawn": "withdrawn"}
#: Use of a bay -> roll tolerance in degrees (common practice, no source: 0.03 to 0.05 for a multibeam).
ROLL_TOLERANCE_DEG = {"multibeam": "0.05"}
#: Sigma of one unit of a type on its plate, degrees (common practice, no source: interchange within 0.03 to 0.07).
UNIT_SIGMA_DEG = "0.05"
#: What is judged, in words.
JUDGED = {"yaw": "yaw of the unit", "roll": "roll of the unit", "dvl": "yaw of the DVL"}
_SIGNS_OF = {"yaw": "yaw", "roll": "roll", "dvl": "yaw"}
COVERAGE = "k = 2, about 95 %"


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of one angle, in degrees: found less entered, with its sigma, and the tolerance it must meet.

    `entered` is None when nobody said what stands in the unit, `tolerance` when the use of the bay states none.
    """

    what: str
    found: str
    sigma: str
    entered: str | None
    tolerance: str | None

    @property
    def left(self) -> Decimal | None:
        return None if self.entered is None else Decimal(self.found) - Decimal(self.entered)


@dataclass(frozen=True, slots=True)
class Judged:
    """`within`, `outside` or `cannot_decide`, for the angle that decided it; what was found and what to do, in words."""

    verdict: str
    what: str
    left_deg: str | None
    sigma_deg: str
    tolerance_deg: str | None
    told: str
    next: str


def judge(lefts: Iterable[Left]) -> list[Judged]:
    """Each angle against its tolerance.

    Within: the angle left and twice its sigma fit into the tolerance. Outside: not even less twice its sigma does.
    Anything between cannot be decided (guarded on both sides, as in JCGM 106 section 8.3).
    """
    return [_judge_one(left) for left in lefts]


def _judge_one(one: Left) -> Judged:
    name, expanded = JUDGED[one.what], 2 * Decimal(one.sigma)
    signs = _SIGNS_OF[one.what]
    told = (
        f"{name[0].upper()}{name[1:]}: found {say_angle(signs, one.found)} ± {say_thousandths(expanded)}° ({COVERAGE})"
    )
    enter = f"Enter {say_signed(one.found)} ({say_angle(signs, one.found)}) and read it back."
    if one.tolerance is None:
        told += "; the use of the bay states no tolerance."
        do = "Set the use of the bay with its tolerance."
        return Judged("cannot_decide", one.what, _text(one.left), one.sigma, None, told, do)
    left, tolerance = one.left, Decimal(one.tolerance)
    if left is None:
        told += f", tolerance {tolerance}°; nobody said what stands in the unit."
        do = f"{enter} Then make a check run and enter its residual."
        return Judged("cannot_decide", one.what, None, one.sigma, one.tolerance, told, do)
    told += f", entered {say_signed(one.entered or '0')}, left {say_signed(str(left))}, tolerance {tolerance}°."
    verdict = against(left, one.sigma, tolerance)
    if verdict == "within":
        do = "Nothing to change."
    elif verdict == "outside":
        do = f"{enter} It reads {say_signed(one.entered or '0')} now."
    else:
        do = "Measure it again, better: the uncertainty fills the tolerance." if expanded >= tolerance else enter
    return Judged(verdict, one.what, _text(left), one.sigma, one.tolerance, told, do)


def against(left: Decimal, sigma: str, tolerance: Decimal) -> str:
    """The verdict on what is left of an angle: `within`, `outside`, or `cannot_decide` between the two."""
    expanded = 2 * Decimal(sigma)
    if abs(left) + expanded <= tolerance:
        return "within"
    return "outside" if abs(left) - expanded > tolerance else "cannot_decide"


def _text(figure: Decimal | None) -> str | None:
    return None if figure is None else format(figure, "f")


@dataclass(frozen=True, slots=True)
class LeftAngle:
    """What an alignment left of one angle it judged, in degrees; `left` is None when nobody said what the unit holds."""

    judged: str
    left: str | None
    sigma: str


@dataclass(frozen=True, slots=True)
class Alignment:
    """The newest alignment of a stay, with the newest answer to it, if any; `outdated` says that the bay’s part of it
    was entered anew since."""

    id: str
    found_by: str
    verdict: str
    told: str
    next: str
    aligned_at: str
    seq: int
    answer: str | None = None
    answered_at: str | None = None
    answer_told: str = ""
    answer_seq: int | None = None
    outdated: str = ""
    residual: LeftAngle | None = None

    @property
    def state(self) -> str:
        """`confirmed`, `withdrawn`, `carried`, or its own verdict."""
        return self.answer or ("carried" if self.found_by == "carried" and self.verdict != "outside" else self.verdict)


def finding_of_alignment(
    one: Alignment | None, bay: str, bay_id: str, dowels: bool, installed_seq: int | None = None
) -> Finding | None:
    """What stands against a bay with a pair in it, put in by the entry `installed_seq`. None when the alignment is within,
    or was confirmed.

    To be measured is `care` and not `stops`: the run that measures it needs the vehicle in the water. Outside stops:
    it is mended on deck, in the settings.
    """
    key = {"bay": bay_id}
    measure = Offer("carry_alignment", "Carry the alignment over", key) if dowels else Offer(
        "record_alignment", "Enter an alignment", key
    )  # fmt: skip
    answered = Offer("confirm_alignment", "Enter the residual of a check run", key)
    if one is None:
        told = "No alignment was entered since this pair went in. " + (
            "The bay has dowels: the last one may be carried over." if dowels else "It is to be measured."
        )
        return Finding("care", "alignment_missing", f"Bay {bay}: no alignment", told, installed_seq, bay, measure)
    if one.state == "withdrawn":
        told = f"{one.answer_told} It is to be measured."
        offer = Offer("record_alignment", "Enter an alignment", key)
        fact = f"Bay {bay}: alignment withdrawn on {say_day(one.answered_at or '')}"
        return Finding("care", "alignment_withdrawn", fact, told, one.answer_seq, bay, offer)
    if one.outdated:
        told = f"{one.outdated} The alignment of {say(one.aligned_at)} rests on the one before."
        offer = Offer("record_alignment", "Enter an alignment", key)
        return Finding("care", "alignment_outdated", f"Bay {bay}: alignment out of date", told, one.seq, bay, offer)
    if one.state == "carried":
        told = f"{one.told} The residual of the first mission confirms or withdraws it."
        return Finding("care", "alignment_carried", f"Bay {bay}: alignment carried over", told, one.seq, bay, answered)
    if one.state == "outside":
        told = f"{one.told} {one.next}"
        return Finding("stops", "alignment_outside", f"Bay {bay}: alignment outside", told, one.seq, bay, answered)
    if one.state == "cannot_decide":
        told = f"{one.told} {one.next}"
        fact = f"Bay {bay}: alignment cannot be decided"
        return Finding("care", "alignment_undecided", fact, told, one.seq, bay, answered)
    return None


@dataclass(frozen=True, slots=True)
class Setting:
    """One line of what is typed into the unit: what, the figure with its sign, the sign in words, sigma."""

    what: str
    figure: str
    words: str
    sigma: str


def settings_to_enter(
    orientation: str | None, whole: Mapping[str, Any] | None, dvl: Mapping[str, Any] | None, arms: Mapping[str, Mapping[str, Any]]
) -> list[Setting]:  # fmt: skip
    """What the technician enters: mounting, fine angles of plate and unit together, DVL, lever arms; signs in words."""
    rows = [Setting("Mounting", ORIENTATIONS[orientation], "as the unit’s marks point", "")] if orientation else []
    for name in ("roll", "pitch", "yaw") if whole else ():
        degrees = str(whole[f"{name}_deg"]) if whole else "0"
        sigma = f"{say_thousandths(whole[f'{name}_sigma_deg'])}°" if whole else ""
        rows.append(Setting(name.capitalize(), say_signed(degrees), say_angle(name, degrees), sigma))
    if dvl:
        yaw = str(dvl["yaw_deg"])
        rows.append(
            Setting("DVL, yaw", say_signed(yaw), say_angle("yaw", yaw), f"{say_thousandths(dvl['yaw_sigma_deg'])}°")
        )
        if dvl["scale"] is not None:
            scale = Decimal(str(dvl["scale"]))
            reads = "reads short" if scale > 0 else "reads long" if scale < 0 else "reads true"
            rows.append(Setting("DVL, scale", f"{1 + scale}", f"it {reads}", f"{dvl['scale_sigma']}"))
    for leads_to, arm in sorted(arms.items()):
        for axis in AXES:
            metres = str(arm[f"{axis}_m"])
            what = f"Lever arm to the {ARMS[leads_to]}, {axis}"
            rows.append(Setting(what, f"{metres.replace('-', '−')} m", say_length(axis, metres), f"{arm['sigma_m']} m"))
    return rows


def say_state(one: Alignment) -> str:
    """`Carried over on dowels on 4 May 2026, 09:00 UTC: cannot decide; confirmed.`"""
    way = WAYS[one.found_by]
    answer = f"; {ANSWERS[one.answer]}" if one.answer else ""
    return f"{way[0].upper()}{way[1:]} on {say(one.aligned_at)}: {VERDICTS[one.verdict]}{answer}."


@dataclass(frozen=True, slots=True)
class Carrying:
    """What is known when an alignment is to be carried over: `before` names the pair that sat in the bay last."""

    dowels: bool
    faces_clean: bool
    before: str | None
    same_type: bool
    aligned: bool
    withdrawn: bool
    same_mounting: bool
    measured_since: bool
    bay_id: str


def reasons_not_to_carry(facts: Carrying) -> list[Reason]:
    """Every reason why the last alignment of a bay says nothing about the unit in it now."""
    told = []
    if not facts.dowels:
        told.append(("The bay has no dowels: nothing says that this unit sits as the last one did.", "bay"))
    if not facts.faces_clean:
        told.append(("Faces and dowels were not seen clean: a grain of sand is a tenth of a degree.", "faces_clean"))
    if facts.measured_since:
        told.append(("This stay has an alignment already; carrying over the last one would blur it.", "bay"))
    if facts.before is None:
        told.append(("No pair sat in this bay before: there is nothing to carry over.", "bay"))
    elif not facts.same_type:
        told.append((f"{facts.before}, which sat in this bay before, is of another type.", "bay"))
    if facts.before and not facts.aligned:
        told.append((f"{facts.before} had no alignment here that could be carried over.", "bay"))
    elif facts.withdrawn:
        told.append((f"The alignment of {facts.before} was withdrawn.", "bay"))
    elif facts.aligned and not facts.same_mounting:
        told.append(("The mounting of the bay was entered anew since that alignment.", "bay"))
    offer = Offer("record_alignment", "Enter an alignment", {"bay": facts.bay_id})
    return [Reason("cannot_carry", words, field, "Measure it.", offer) for words, field in told]


def reasons_of_roll(verdicts: Iterable[str]) -> list[Reason]:
    """A heading that fits does not answer a roll that does not."""
    if all(verdict == "within" for verdict in verdicts):
        return []
    told = "The roll of the unit is not within its tolerance, and the residual of a heading says nothing of it."
    do = "Give the residual of the roll too, from a patch test."
    return [Reason("outside_tolerance", told, "roll_residual_deg", do)]


def judge_residual(what: str, residual: str, sigma: str, tolerance: str | None) -> Judged:
    """What a check run left over, against the tolerance of the use: only within it confirms anything."""
    one = _judge_one(Left(what, residual, sigma, "0", tolerance))
    told = f"Residual of the {what} {say_angle(what, residual)} ± {say_thousandths(2 * Decimal(sigma))}° ({COVERAGE})"
    told += (
        f"; tolerance {tolerance}°: {VERDICTS[one.verdict]}."
        if tolerance
        else "; the use of the bay states no tolerance."
    )
    do = {"outside": "Withdraw the alignment, or correct the settings and repeat the run."}.get(one.verdict, one.next)
    if one.verdict == "cannot_decide" and tolerance:
        do = "Make a longer run: the residual must be known better."
    return Judged(one.verdict, what, one.left_deg, sigma, tolerance, told, do)
