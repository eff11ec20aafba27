"""What it takes to make a vehicle fit for a sailing: for each bay the ways there are, for each housing opened or shut, as
steps with the act that starts each and the minutes the plan of the site gives it.

Pure, over what is recorded at one instant. What no step clears (a hold, a discrepancy) needs a named person first.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from registry.domain.findings import Finding
from registry.domain.fit_facts import HousingFacts
from registry.domain.fleet import LEAK_TESTED
from registry.domain.openings import RECHECKS
from registry.domain.sailings import Sailing
from registry.domain.spares import BayAt, Need, Spare
from registry.errors import Offer

#: Code of a finding about a bay -> the figure of the plan that says how long its act takes, and whether the hull is open
#: for it. A finding that is not here is answered by no work: what stops then takes another pair, or a named person.
WORK: dict[str, tuple[str, bool]] = {
    "verification_failed": ("heading_check_min", False),
    "verification_overdue": ("heading_check_min", False),
    "verification_undecided": ("heading_check_min", False),
    "verification_due_on_voyage": ("heading_check_min", False),
    "never_like_this": ("look_min", True),
    "not_confirmed": ("look_min", True),
    "halves_apart": ("look_min", True),
    "other_serials": ("look_min", True),
    **dict.fromkeys(("second_check_awaited", "checked_alone", "seating_faulty"), ("second_check_min", True)),
    "settings_not_loaded": ("load_min", False),
    "settings_changed": ("load_min", False),
    "sheet_outdated": ("load_min", False),
    "not_read_back": ("load_min", False),
    "readback_differs": ("load_min", False),
    "firmware_not_read": ("load_min", False),
    "firmware_not_permitted": ("firmware_min", False),
    "axis_check_missing": ("axis_check_min", False),
    "axis_check_wrong": ("axis_check_min", False),
    "alignment_missing": ("alignment_min", False),
    "alignment_withdrawn": ("alignment_min", False),
    "alignment_outdated": ("alignment_min", False),
    "alignment_undecided": ("alignment_min", False),
    "alignment_carried": ("check_run_min", False),
    "alignment_outside": ("check_run_min", False),
}
#: The same for what a knock asked of a pair. A leak test is asked of the housing.
ASKED = {
    "verification": ("heading_check_min", False), "axis_and_sign": ("axis_check_min", False), "alignment": ("alignment_min", False),
    "connectors": ("look_min", True), "visual": ("look_min", True),
}  # fmt: skip
#: Findings of the housing: they are cleared with it, not in a bay.
OF_HOUSING = {"housing_open", "leak_test_missing", "leak_test_failed", "closing_contradicts", "closing_incomplete"}
#: Findings about a bay that another pair in it leaves as they are: somebody has to answer them first.
OF_BAY = {"discrepancy", "mounting_contradicted", "no_settings_sheet"}


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work, its minutes, the act it is entered by, and whether it is done inside an open hull."""

    told: str
    minutes: int
    offer: Offer | None = None
    inside: bool = False


@dataclass(frozen=True, slots=True)
class WayTo:
    """One way to make a bay fit: keep its pair, or seat a spare; the steps it takes and what is left to be accepted."""

    spare: Spare | None
    steps: tuple[Step, ...]
    opens: bool = False
    care: tuple[str, ...] = ()

    @property
    def minutes(self) -> int:
        return sum(step.minutes for step in self.steps)


@dataclass(frozen=True, slots=True)
class BayWork:
    """A bay of a sailing: what is in it, its ways, and why what is in it cannot stay, if so."""

    bay: BayAt
    pair: str | None
    ways: tuple[WayTo, ...]
    why_not: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HousingWork:
    """A housing of a sailing: the steps when it is opened and when it stays as it is."""

    housing_id: str
    name: str
    counts: bool
    must_open: bool
    opened: tuple[Step, ...]
    shut: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class VehicleWork:
    """A sailing with all of it; `blocks` are what a named person must answer before any work helps."""

    sailing: Sailing
    vehicle: str
    code: str
    minutes_left: int
    bays: tuple[BayWork, ...]
    housings: tuple[HousingWork, ...]
    blocks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SailingBay:
    """A bay as it stands: what is in it, the type that may carry its alignment over, whether it has a settings sheet."""

    bay: BayAt
    pair: str | None
    carries_type: str | None
    has_sheet: bool
    spares: tuple[Spare, ...]


@dataclass(frozen=True, slots=True)
class SailingFacts:
    """What is known of a vehicle that is to sail. `staying` are holds that do not leave with a pair; `asked` says what an
    open recheck asks, and of which housing, if of one; `minutes` are the figures of the plan (None: not set), `carriage`
    how long each other site says that carriage takes."""

    sailing: Sailing
    vehicle: str
    code: str
    findings: tuple[Finding, ...]
    bays: tuple[SailingBay, ...]
    housings: tuple[HousingFacts, ...]
    staying: frozenset[str]
    asked: Mapping[str, tuple[str, str | None]]
    minutes: Mapping[str, int | None]
    minutes_left: int
    carriage: Mapping[str, int]
    accept_care: bool = False

    def asks(self, one: Finding) -> bool:
        """Whether a finding is to be cleared: what stops, and what is care unless it is accepted or left to be."""
        return one.severity == "stops" or (one.severity == "care" and not one.accepted and not self.accept_care)

    def step(self, told: str, figure: str, offer: Offer | None = None, inside: bool = False) -> Step:
        return Step(told, self.minutes[figure] or 0, offer, inside)


def work_ahead(facts: SailingFacts) -> VehicleWork:
    """Everything a sailing may take, for the program to choose from."""
    bays = tuple(_bay_work(facts, one) for one in facts.bays)
    housings = tuple(_housing_work(facts, one) for one in facts.housings)
    blocks = tuple(f"{one.fact}. {one.told}" for one in facts.findings if _stays(facts, one))
    return VehicleWork(facts.sailing, facts.vehicle, facts.code, facts.minutes_left, bays, housings, blocks)


def _stays(facts: SailingFacts, one: Finding) -> bool:
    """Whether a finding stands whatever pairs are in the bays, and whatever is done to the housings."""
    if not facts.asks(one):
        return False
    if one.code == "on_hold":
        return one.offer is not None and one.offer.fields.get("hold") in facts.staying
    if one.bay is None:
        return one.code not in OF_HOUSING | {"recheck"}
    return one.code in OF_BAY


def _bay_work(facts: SailingFacts, one: SailingBay) -> BayWork:
    why_not: list[str] = []
    keep = _keep(facts, one, why_not) if one.pair else None
    ways = [keep] if keep else []
    if keep is None or keep.steps:  # nothing is better than what is fit as it is
        ways += [way for spare in one.spares if not spare.kept_out and (way := _seat(facts, one, spare))]
    return BayWork(one.bay, one.pair, tuple(ways), tuple(why_not))


def _keep(facts: SailingFacts, one: SailingBay, why_not: list[str]) -> WayTo | None:
    """The way that leaves the pair where it is; None, and why, when only another pair helps."""
    steps: list[tuple[str, Step]] = []
    opens, care = False, []
    for finding in (each for each in facts.findings if each.bay == one.bay.letter):
        if not facts.asks(finding):
            care += [finding.fact] if finding.severity == "care" and not finding.accepted else []
        elif found := _work_of(facts, finding):
            steps.append((found[0], facts.step(finding.fact, found[0], finding.offer, found[1])))
            opens = opens or found[1]
        elif finding.code not in OF_BAY:
            why_not.append(finding.fact)
    return None if why_not else WayTo(None, _once(steps), opens, tuple(care))


def _work_of(facts: SailingFacts, finding: Finding) -> tuple[str, bool] | None:
    if finding.code == "recheck":
        what, _housing = facts.asked[finding.offer.fields["recheck"]] if finding.offer else ("", None)
        return ASKED.get(what)
    if finding.offer and finding.offer.act == "review_verification":
        return "review_min", False
    return WORK.get(finding.code)


def _once(steps: Iterable[tuple[str, Step]]) -> tuple[Step, ...]:
    """Two findings that one piece of work clears are entered by two acts, and take its time once."""
    seen: set[str] = set()
    made = []
    for figure, step in steps:
        made.append(replace(step, minutes=0) if figure in seen else step)
        seen.add(figure)
    return tuple(made)


def _seat(facts: SailingFacts, one: SailingBay, spare: Spare) -> WayTo | None:
    """The way that seats a spare; None when something it needs cannot be had by work."""
    pair, bay = spare.pair, one.bay
    needs = [(need, f"{pair.pair}: {need.told.rstrip('.')}") for need in spare.needs]
    if not spare.aboard:
        told = f"Carry {pair.pair} from {pair.sensor.words.removeprefix('at ')} to {bay.site or bay.vehicle}"
        fields = {
            "halves": f"{pair.sensor_code}\n{pair.electronics_code}",
            **({"site": bay.site_id} if bay.site_id else {}),
        }
        needs.insert(
            0, (Need("elsewhere", told, Offer("move_halves", "Move halves", fields), work="carriage_min"), told)
        )
    if any(facts.minutes.get(need.work) is None for need, _told in needs):
        return None
    # Both ends say how long it takes, and the longer counts: what is at sea is not sent for by road.
    carriage = facts.carriage.get(pair.site_id or "", 0)
    if not spare.aboard and not carriage:
        return None
    steps = list(_once((need.work, facts.step(told, need.work, need.offer)) for need, told in needs))
    if not spare.aboard:
        steps[0] = replace(steps[0], minutes=max(steps[0].minutes, carriage))
    key, halves = {"bay": bay.code}, (pair.sensor_code, pair.electronics_code)
    if one.pair:
        swap = Offer("swap_pairs", "Swap this bay", {**key, "sensor_in": halves[0], "electronics_in": halves[1]})
        steps.append(facts.step(f"Bay {bay.letter}: swap {one.pair} for {pair.pair}", "swap_min", swap, True))
    else:
        seat = Offer("install_pair", "Install this pair", {**key, "sensor": halves[0], "electronics": halves[1]})
        steps.append(facts.step(f"Bay {bay.letter}: seat {pair.pair}", "swap_min", seat, True))
    check = Offer("check_seating", "Enter a second person’s check", key)
    steps.append(facts.step(f"Bay {bay.letter}: a second person’s check of it", "second_check_min", check, True))
    if one.has_sheet:
        load, read = (Offer(act, words, key) for act, words in (("load_settings", "Load settings"), ("record_readback", "Enter a read-back")))  # fmt: skip
        steps.append(facts.step(f"Bay {bay.letter}: load its settings", "load_min", load))
        steps.append(Step(f"Bay {bay.letter}: read them back", 0, read))
    axis = Offer("record_axis_check", "Enter the axis and sign check", key)
    steps.append(facts.step(f"Bay {bay.letter}: axis and sign check", "axis_check_min", axis))
    if facts.accept_care:
        return WayTo(spare, tuple(steps), True, (f"Bay {bay.letter}: alignment carried over or to be measured",))
    return WayTo(spare, (*steps, *_align(facts, one, pair.type_id)), True)


def _align(facts: SailingFacts, one: SailingBay, type_id: str) -> list[Step]:
    """Carried over where dowels, type and an alignment in force allow it, and answered by a check run; else measured."""
    letter, key = one.bay.letter, {"bay": one.bay.code}
    if one.carries_type != type_id:
        offer = Offer("record_alignment", "Enter an alignment", key)
        return [facts.step(f"Bay {letter}: measure the alignment", "alignment_min", offer)]
    carry = Offer("carry_alignment", "Carry the alignment over", key)
    answer = Offer("confirm_alignment", "Enter the residual of a check run", key)
    carried = facts.step(f"Bay {letter}: carry the alignment over on its dowels", "carry_min", carry)
    return [carried, facts.step(f"Bay {letter}: check run, which answers it", "check_run_min", answer)]


def _housing_work(facts: SailingFacts, one: HousingFacts) -> HousingWork:
    """Opened: closed again and tested. Left as it is: whatever of that is missing."""
    key, name = {"housing": one.housing_id}, f"the {one.name} housing"
    tested = one.closing_method in LEAK_TESTED
    asked = [id_ for id_, (what, housing) in facts.asked.items() if what == "leak_test" and housing == one.housing_id]
    answers = tuple(
        Step(f"Answer: {RECHECKS['leak_test']}", 0, Offer("answer_recheck", "Answer it", {"recheck": id_}))
        for id_ in asked
    )
    opening = facts.step(f"Open {name}", "open_min", Offer("open_housing", "Open it", key))
    close = facts.step(f"Close {name}", "close_min", Offer("close_housing", "Close it", key))
    test = (
        facts.step(f"Leak test of {name}", "leak_test_min", Offer("record_leak_test", "Enter a leak test", key)),
        *answers,
    )
    if one.closing_method == "none":
        return HousingWork(one.housing_id, one.name, False, False, (), ())
    after: Sequence[Step] = (close, *test) if tested else (close,)
    if one.is_open:
        return HousingWork(one.housing_id, one.name, False, False, tuple(after), tuple(after))
    causes = [
        each.fact
        for each in facts.findings
        if facts.asks(each) and each.code in _opened_for(one) and each.offer and each.offer.fields.get("housing") == one.housing_id
    ]  # fmt: skip
    if causes:
        opening = replace(opening, told=f"{opening.told}. {'. '.join(causes)}")
    missing = tested and bool(one.opened_at) and (not one.is_tested or one.test_verdict == "cannot_judge")
    shut = test if missing or asked else ()
    return HousingWork(one.housing_id, one.name, True, bool(causes), (opening, *after), shut)


def _opened_for(one: HousingFacts) -> set[str]:
    """Findings of a housing that are looked into with it open: a test that could not be judged is only done again."""
    failed = {"leak_test_failed"} if one.test_verdict == "does_not" else set()
    return {"closing_contradicts", "closing_incomplete"} | failed
