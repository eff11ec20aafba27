"""The verdict over all readings of an ESD sign-off, and of a station’s periodic check: worked out, never typed in."""

from dataclasses import dataclass, field
from decimal import Decimal

from registry.domain.plans import Plan
from registry.domain.readings import QUANTITIES, Judged, Reading, in_thousands, judge_reading, limit_of
from registry.domain.times import say_day

STATION_KINDS = {"protected_area": "protected area", "field_kit": "field kit"}
VERDICTS = {"pass": "pass", "fail": "fail", "incomplete": "incomplete"}
#: What a sign-off at each kind of station takes, in the order it is taken; the strap may be replaced as the plan says.
ASKED = {
    "protected_area": ("strap_mohm", "footwear_mohm", "garment_mohm", "surface_mohm", "field_kv_m"),
    "field_kit": ("strap_mohm", "garment_mohm", "bond_mohm"),
}
#: What may ground the person in place of the strap, and the word of the plan that lets it. A kit has no floor.
IN_PLACE_OF_STRAP = {"footwear_mohm": "standing_by_footwear", "garment_mohm": "garment_for_strap"}
#: What a periodic check of each kind of station asks for, and what it takes where there is one.
CHECKED = {
    "protected_area": ("surface_mohm", "field_kv_m"),
    "field_kit": ("surface_mohm", "field_kv_m", "bond_mohm"),
}
ALSO_CHECKED = ("floor_mohm", "ioniser_offset_v", "ioniser_decay_s")
PERIODS = {"protected_area": "mat_check_months", "field_kit": "kit_check_months"}
#: The figures of the plan by which sign-offs and checks are judged.
JUDGED_BY = (
    *(name for one in QUANTITIES.values() for name in (one.least, one.below) if name), *IN_PLACE_OF_STRAP.values(),
    "insulator_far_v", "insulator_far_cm", "insulator_near_v", "insulator_near_cm", "signoff_holds_h", *PERIODS.values(),
)  # fmt: skip
#: What to do at an open hull with a field kit, in this order.
OPEN_HULL_PLAN = (
    "Make the vehicle safe first: isolated, vented, and left alone for the time its maker gives.",
    "Unroll the mat, take your strap, and clip person, mat, frame and unit to one common point, at bare metal.",
    "Read the strap and the bonds with the tester of the kit.",
    "Clear every insulator 30 cm away: tape, cups, foam, bags, your own outer clothing.",
    "Wear dissipative gloves; touch the frame before the unit.",
    "Sign. Then open the hull.",
)


@dataclass(frozen=True, slots=True)
class Insulator:
    """An insulator that the work needs: what it is, its surface potential (V, either sign) and how far off it is kept (cm)."""

    what: str
    potential_v: str
    distance_cm: str


@dataclass(frozen=True, slots=True)
class MeterUsed:
    """A meter, what it reads, and the last day its calibration covers; None when no calibration is on record."""

    id: str
    name: str
    reads: str
    due_on: str | None


@dataclass(frozen=True, slots=True)
class LastCheck:
    """The newest periodic check of a station."""

    verdict: str
    checked_on: str
    good_to_on: str | None


@dataclass(frozen=True, slots=True)
class ReadingsTaken:
    """Everything a verdict over readings is worked out from, on the day `on`."""

    kind: str
    plan: Plan
    on: str
    readings: dict[str, Reading]
    meters: tuple[MeterUsed, ...] = ()
    insulators: tuple[Insulator, ...] = ()
    insulators_cleared: bool = False
    gloves_on: bool = False
    looks_sound: bool = False
    check: LastCheck | None = None
    trained: bool = True


@dataclass(frozen=True, slots=True)
class ReadingsVerdict:
    """The verdict over all readings, each with its own, what each insulator came out as, and the reasons in words."""

    verdict: str
    readings: tuple[Judged, ...]
    reasons: tuple[str, ...]
    insulators: tuple[bool, ...] = field(default=())


def judge_signoff(taken: ReadingsTaken) -> ReadingsVerdict:
    """Any fail gives fail; else anything missing or out of date gives incomplete; else pass. Never typed in."""
    readings = taken.readings
    asked = {"bond_mohm"} if taken.kind == "field_kit" else set()
    grounds, gaps = _person_grounded(taken)
    asked |= grounds
    checked = taken.check is not None and taken.check.verdict == "pass" and (taken.check.good_to_on or "") >= taken.on
    if "surface_mohm" not in readings and not checked:
        gaps += _not_checked(taken)
        asked |= {"surface_mohm"} if taken.kind == "protected_area" else set()
    if taken.kind == "protected_area" and not taken.insulators:
        asked.add("field_kv_m")
    if taken.kind == "field_kit":
        gaps += [] if taken.insulators_cleared else ["Insulators are not cleared 30 cm away yet."]
        gaps += [] if taken.gloves_on else ["Dissipative gloves are not on yet."]
    fails = [] if taken.trained else ["Your ESD training or its refresher does not cover this day."]
    if taken.check and taken.check.verdict == "fail":
        fails.append(
            f"The station failed its check on {say_day(taken.check.checked_on)}; it stays out of use until one passes."
        )
    return _over_all(taken, asked, fails, gaps)


def judge_check(taken: ReadingsTaken) -> ReadingsVerdict:
    """The verdict over a station’s periodic check, by the same rule."""
    gaps = [] if taken.looks_sound else ["Cords, clips, mat and their bonds are not looked over yet."]
    return _over_all(taken, set(CHECKED[taken.kind]), [], gaps)


def _over_all(taken: ReadingsTaken, asked: set[str], fails: list[str], gaps: list[str]) -> ReadingsVerdict:
    judged = tuple(
        judge_reading(name, taken.readings.get(name, Reading(None)), limit_of(name, taken.plan))
        for name in QUANTITIES
        if name in asked or name in taken.readings
    )
    kept = tuple(_far_enough(one, taken.plan) for one in taken.insulators)
    fails = [j.told for j in judged if j.verdict.startswith("fail")] + fails
    fails += [_too_near(one, taken.plan) for one, ok in zip(taken.insulators, kept, strict=True) if not ok]
    gaps = [j.told for j in judged if j.verdict == "incomplete"] + gaps + _meters_in_date(taken)
    verdict = "fail" if fails else "incomplete" if gaps else "pass"
    return ReadingsVerdict(verdict, judged, (*fails, *gaps), kept)


def _person_grounded(taken: ReadingsTaken) -> tuple[set[str], list[str]]:
    """What has to ground the person, and why something read in place of the strap does not count."""
    gaps = []
    for quantity, word in IN_PLACE_OF_STRAP.items():
        if "strap_mohm" in taken.readings or quantity not in taken.readings:
            continue
        if quantity in ASKED[taken.kind] and taken.plan.allows(word):
            return {quantity}, []
        gaps.append(f"{QUANTITIES[quantity].label} does not replace the strap by the plan of this site.")
    return {"strap_mohm"}, gaps


def _not_checked(taken: ReadingsTaken) -> list[str]:
    """Why the periodic check does not speak for the mat. A bench whose surface is read needs none for that."""
    check = taken.check
    if taken.kind == "protected_area" or (check and check.verdict == "fail"):
        return []
    if check is None:
        return ["No check of this kit is on record. Check it, or read its mat now."]
    if check.verdict == "incomplete":
        return [
            f"The check of this kit on {say_day(check.checked_on)} is incomplete. Check it again, or read its mat now."
        ]
    return [
        f"The check of this kit was good to {say_day(check.good_to_on or '')}. Check it again, or read its mat now."
    ]


def meter_of(quantity: str, meters: tuple[MeterUsed, ...]) -> MeterUsed | None:
    """The first of these meters that reads such a thing."""
    return next((one for one in meters if one.reads in QUANTITIES[quantity].read_by), None)


def _meters_in_date(taken: ReadingsTaken) -> list[str]:
    read = [name for name, one in taken.readings.items() if one.value or one.open_circuit]
    read += ["field_kv_m"] if taken.insulators else []
    used = {name: meter_of(name, taken.meters) for name in read}
    unsaid = [QUANTITIES[name].label for name, meter in used.items() if meter is None]
    gaps = [f"Which meter read it is not said: {', '.join(dict.fromkeys(unsaid))}."] if unsaid else []
    for meter in dict.fromkeys(one for one in used.values() if one):
        if meter.due_on is None:
            gaps.append(f"No calibration of meter {meter.name} is on record.")
        elif meter.due_on < taken.on:
            gaps.append(f"Meter {meter.name} was due on {say_day(meter.due_on)}.")
    return gaps


def _far_enough(one: Insulator, plan: Plan) -> bool:
    """Option b of the rule on insulators: over so many volts, kept so far off."""
    volts, cm = abs(Decimal(one.potential_v)), Decimal(one.distance_cm)
    far = volts > plan.number("insulator_far_v") and cm < plan.number("insulator_far_cm")
    near = volts > plan.number("insulator_near_v") and cm < plan.number("insulator_near_cm")
    return not (far or near)


def _too_near(one: Insulator, plan: Plan) -> str:
    over = abs(Decimal(one.potential_v)) > plan.number("insulator_far_v")
    least = plan.value("insulator_far_cm" if over else "insulator_near_cm")
    return f"{one.what}: {in_thousands(one.potential_v)} V at {one.distance_cm} cm; keep it {least} cm off, or take it away."
