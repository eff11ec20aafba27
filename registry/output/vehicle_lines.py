"""The life line of a vehicle: a lane for each bay and housing, drawn like that of a pair."""

from collections.abc import Sequence

from markupsafe import Markup

from registry.domain.times import NEVER
from registry.output.lifelines import Bar, Lane, Peg, life_line
from registry.queries.lives import LifeLane, Stretch


def vehicle_line(life: Sequence[LifeLane], at: str) -> Markup:
    """Both drawings of it; nothing when nothing has happened yet."""
    begun = [one.since for lane in life for one in lane.stretches] + [one.at for lane in life for one in lane.marks]
    if not begun:
        return Markup("")
    return life_line([_drawn(lane) for lane in life], min(begun), at)


def _drawn(lane: LifeLane) -> Lane:
    pegs = [Peg(one.at, "") for one in lane.marks]
    return Lane(
        lane.name.removesuffix(" housing"), lane.name.removeprefix("Bay ").split(" ")[0], _bars(lane.stretches), pegs
    )


def _bars(stretches: Sequence[Stretch]) -> list[Bar]:
    """Holds hatched; a stay solid where no hold lies on it, because a hatch over a solid bar cannot be seen."""
    holds = [one for one in stretches if one.hold]
    bars = [Bar(one.since, one.until, "", hatched=True) for one in holds]
    for stay in stretches:
        if not stay.hold:
            free = _free(stay, holds)
            bars += [Bar(*piece, "" if number else stay.words) for number, piece in enumerate(free)]
            # Where a hold covers all of it, its name stands at the hatch.
            bars += [] if free else [Bar(stay.since, stay.until, stay.words, hatched=True)]
    return sorted(bars, key=lambda bar: bar.since)


def _free(stay: Stretch, holds: Sequence[Stretch]) -> list[tuple[str, str | None]]:
    """The parts of a stay on which no hold lies, the oldest first."""
    parts: list[tuple[str, str | None]] = []
    since, end = stay.since, stay.until or NEVER
    for held in sorted(holds, key=lambda one: one.since):
        if held.since < end and (held.until or NEVER) > since:
            if held.since > since:
                parts.append((since, held.since))
            since = held.until or NEVER
    if since < end:
        parts.append((since, stay.until))
    return parts
