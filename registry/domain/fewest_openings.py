"""Fewest openings: from the work ahead of each sailing to a program, and from its answer to a plan in words.

The plan is a proposal: it enters nothing. Each of its steps names the act that does.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from registry.domain.opening_program import MOST_COLUMNS, Answer, Hull, Shell, Way, columns
from registry.domain.plans import ITEMS
from registry.domain.times import say
from registry.domain.work_ahead import BayWork, HousingWork, Step, VehicleWork, WayTo
from registry.errors import Reason

Score = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the program found: the plan, the plans without each spare it uses and without each vehicle it makes fit
    (None: time ran out before), and of each vehicle that is not made fit, whether it alone could be."""

    best: Answer
    without_spare: Mapping[int, Score | None]
    without_hull: Mapping[int, Score | None]
    alone: Mapping[int, bool | None]


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A vehicle in the plan: made fit by these steps, or not, and why."""

    vehicle: str
    code: str
    sails: str
    fit: bool
    openings: int
    minutes: int
    steps: tuple[Step, ...]
    kept: tuple[str, ...] = ()
    care: tuple[str, ...] = ()
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fallback:
    """What the plan would be otherwise: without a spare it uses, or without a vehicle."""

    when: str
    told: str
    score: Score | None


@dataclass(frozen=True, slots=True)
class OpeningPlan:
    """The plan with everything it assumed. `proved`: none is better by these rules."""

    lines: tuple[PlanLine, ...]
    score: Score
    proved: bool
    assumed: tuple[str, ...]
    fallbacks: tuple[Fallback, ...]

    def told(self) -> dict[str, Any]:
        """All of it as plain data."""
        fit, openings, minutes = self.score
        return {"fit": fit, "openings": openings, "minutes": minutes, **asdict(self)}


def say_minutes(minutes: int) -> str:
    """`3 h 20 min`, `45 min`, `no time`."""
    hours, rest = divmod(minutes, 60)
    return " ".join(([f"{hours} h"] if hours else []) + ([f"{rest} min"] if rest else [])) or "no time"


def say_score(score: Score) -> str:
    fit, openings, minutes = score
    return (
        f"{fit} {'vehicle' if fit == 1 else 'vehicles'} fit, {openings} {'opening' if openings == 1 else 'openings'},"
        f" {say_minutes(minutes)}"
    )


def spares_of(work: Sequence[VehicleWork]) -> list[str]:
    """Every spare there is a way for, by the id of its pair: its place here is its number in the program."""
    return sorted({way.spare.pair.pairing_id for one in work for bay in one.bays for way in bay.ways if way.spare})


def hulls_of(work: Sequence[VehicleWork]) -> list[Hull]:
    """The same as figures alone."""
    numbers = {id_: number for number, id_ in enumerate(spares_of(work))}
    return [_hull(one, numbers) for one in work]


def _hull(one: VehicleWork, numbers: Mapping[str, int]) -> Hull:
    places = {housing.housing_id: place for place, housing in enumerate(one.housings)}
    bays = tuple(
        tuple(
            Way(
                places[bay.bay.housing_id],
                way.minutes,
                way.opens,
                numbers[way.spare.pair.pairing_id] if way.spare else None,
            )
            for way in bay.ways
        )
        for bay in one.bays
    )
    shells = tuple(Shell(h.counts, h.must_open, _minutes(h.opened), _minutes(h.shut)) for h in one.housings)
    return Hull(bays, shells, one.minutes_left, bool(one.blocks))


def _minutes(steps: Sequence[Step]) -> int:
    return sum(step.minutes for step in steps)


def reasons_too_large(hulls: Sequence[Hull]) -> list[Reason]:
    if (size := columns(hulls)) <= MOST_COLUMNS:
        return []
    told = f"These sailings have {size:,} choices between them; {MOST_COLUMNS:,} are worked out within the time a page has."
    return [Reason("too_large", told, "sailing", "Leave out those that sail last, and ask again.")]


def opening_plan(work: Sequence[VehicleWork], outcome: Outcome, assumed: Sequence[str]) -> OpeningPlan:
    """The answer in words."""
    hulls = hulls_of(work)
    score = outcome.best.score(hulls)
    lines = tuple(_line(work, hulls, outcome, number) for number in range(len(work)))
    return OpeningPlan(lines, score, outcome.best.proved, tuple(assumed), tuple(_fallbacks(work, outcome, score)))


def _line(work: Sequence[VehicleWork], hulls: Sequence[Hull], outcome: Outcome, number: int) -> PlanLine:
    one, ways = work[number], outcome.best.ways[number]
    named = (one.vehicle, one.code, one.sailing.say())
    if ways is None:
        return PlanLine(*named, False, 0, 0, (), why=tuple(_why_not(one, hulls[number], outcome.alone.get(number))))
    steps: list[Step] = []
    kept, care = [], []
    are_open = outcome.best.opened(hulls, number)
    for housing, is_open in zip(one.housings, are_open, strict=True):
        inside = [
            (bay, bay.ways[way])
            for bay, way in zip(one.bays, ways, strict=True)
            if bay.bay.housing_id == housing.housing_id
        ]
        steps += _in_order(housing, is_open, [way for _bay, way in inside])
        kept += [f"Bay {bay.bay.letter} keeps {bay.pair}" for bay, way in inside if way.spare is None]
        care += [told for _bay, way in inside for told in way.care]
    openings = sum(housing.counts and is_open for housing, is_open in zip(one.housings, are_open, strict=True))
    return PlanLine(*named, True, openings, _minutes(steps), tuple(steps), tuple(kept), tuple(care))


def _in_order(housing: HousingWork, is_open: bool, ways: Sequence[WayTo]) -> list[Step]:
    """First what each spare needs, then the hull open, closed and tested again, then what is done from outside."""
    before: list[Step] = []
    inside: list[Step] = []
    after: list[Step] = []
    for way in ways:
        places = [number for number, step in enumerate(way.steps) if step.inside]
        first, last = (places[0], places[-1]) if places else (0, -1)
        before += way.steps[:first]
        inside += way.steps[first : last + 1]
        after += way.steps[last + 1 :]
    if not is_open:
        return [*before, *inside, *after, *housing.shut]
    shut = [step for step in housing.opened if not _opens(step)]
    return [*before, *filter(_opens, housing.opened), *inside, *shut, *after]


def _opens(step: Step) -> bool:
    return step.offer is not None and step.offer.act == "open_housing"


def _why_not(one: VehicleWork, hull: Hull, alone: bool | None) -> list[str]:
    if one.blocks:
        return [*one.blocks]
    why = []
    for bay in one.bays:
        if not bay.ways:
            why += [*bay.why_not, _no_spare(bay)]
    if why:
        return why
    if alone:
        return ["It could be made fit by itself; what it takes does more elsewhere."]
    if alone is None:
        return ["Time ran out before it was known whether it alone could be made fit."]
    return [
        f"{say_minutes(one.minutes_left)} are left before it sails, and every way takes longer or takes one spare twice."
    ]


def _no_spare(bay: BayWork) -> str:
    held = f"{bay.pair} cannot stay" if bay.pair else "it is empty"
    return f"Bay {bay.bay.letter}: {held}, and no spare can be had for it by then."


def _fallbacks(work: Sequence[VehicleWork], outcome: Outcome, score: Score) -> list[Fallback]:
    names = {
        way.spare.pair.pairing_id: way.spare.pair.pair
        for one in work
        for bay in one.bays
        for way in bay.ways
        if way.spare
    }
    ids = spares_of(work)
    found = [
        Fallback(f"Without {names[ids[n]]}", _differs(score, other), other)
        for n, other in outcome.without_spare.items()
    ]
    return found + [
        Fallback(f"Without {work[n].vehicle}", _differs((score[0] - 1, *score[1:]), other), other)
        for n, other in outcome.without_hull.items()
    ]


def _differs(score: Score, other: Score | None) -> str:
    """What another plan costs against this one."""
    if other is None:
        return "Not worked out: time ran out."
    parts = []
    for name, mine, its in (("vehicle", score[0], other[0]), ("opening", score[1], other[1])):
        if its != mine:
            parts.append(
                f"{abs(its - mine)} {name}{'' if abs(its - mine) == 1 else 's'} {'more' if its > mine else 'fewer'}"
            )
    if other[2] != score[2]:
        parts.append(f"{say_minutes(abs(other[2] - score[2]))} {'more' if other[2] > score[2] else 'less'}")
    return f"{say_score(other)}: {', '.join(parts) if parts else 'the same otherwise'}."


def assumptions(at: str, accept_care: bool, uses: bool, figures: Mapping[str, Mapping[str, str]]) -> list[str]:
    """What the plan takes for granted. `figures`: site -> figure of the plan -> whose it is, where a site set its own."""
    told = [
        f"Everything is as recorded on {say(at)}, and nothing else breaks.",
        "One crew works on each vehicle, without a break, from now until it sails; crews and marks are there when needed.",
        "Every verification, leak test and check run passes, and every review agrees.",
        "A housing is opened once, whatever is done in it. A pair that comes out is not seated again.",
        "A pair in a hull is checked on a mark without opening it.",
    ]
    told.append(
        "What may sail with a named acceptance is left to it, and is listed." if accept_care
        else "What may sail with a named acceptance is cleared by work as well."
    )  # fmt: skip
    if uses:
        told.append(
            "Where a use is named, alignments are judged by its tolerances; what is measured is taken to come out within them."
        )
    told.append("Times are common practice without a source, but for those a site set itself.")
    for site, set_ in figures.items():
        told += [f"{site}. {ITEMS[name].label}: {whose}." for name, whose in set_.items()]
    return told
