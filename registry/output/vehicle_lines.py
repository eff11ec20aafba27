"""The life line of a vehicle: a lane for each bay and housing, drawn like that of a pair."""

from collections.abc import Sequence

from markupsafe import Markup

from registry.output.lifelines import Bar, Lane, Peg, life_line
from registry.queries.lives import LifeLane


def vehicle_line(life: Sequence[LifeLane], at: str) -> Markup:
    """Both drawings of it; nothing when nothing has happened yet."""
    begun = [one.since for lane in life for one in lane.stretches] + [one.at for lane in life for one in lane.marks]
    if not begun:
        return Markup("")
    return life_line([_drawn(lane) for lane in life], min(begun), at)


def _drawn(lane: LifeLane) -> Lane:
    bars = [Bar(one.since, one.until, "" if one.hold else one.words, hatched=one.hold) for one in lane.stretches]
    pegs = [Peg(one.at, "") for one in lane.marks]
    return Lane(lane.name.removesuffix(" housing"), lane.name.removeprefix("Bay ").split(" ")[0], bars, pegs)
