"""The alignment of a whole mission in one sentence: as good as the worst of what it rode on."""

from collections.abc import Iterable
from typing import NamedTuple

from registry.domain.alignments import Alignment

#: States of an alignment that leave a mission in doubt, the worst first, with what is said of the pair.
_DOUBTS = {
    "withdrawn": "was withdrawn",
    "outside": "is outside its tolerance",
    "cannot_decide": "cannot decide whether it is within its tolerance",
}
#: Less than this, in hours, is how instants are written down.
_NOTHING_H = 0.05


class Aligned(NamedTuple):
    """What is said of it, and whether it wants care."""

    said: str
    care: bool


def alignment_of_mission(unaligned_h: float, ridden: Iterable[tuple[str, Alignment | None]]) -> Aligned:
    """Of a mission that rode on these pairs (name, newest alignment), so many hours of it, all together, with none."""
    pairs = list(ridden)
    found = [(_doubt(one), name) for name, one in pairs if one and _doubt(one)]
    told = [f"{unaligned_h:.1f} hours of it had no alignment."] if unaligned_h > _NOTHING_H else []
    if found:
        worst = min((doubt for doubt, _name in found), key=list(_DOUBTS).index)
        names = sorted({name for doubt, name in found if doubt == worst})
        told.append(f"The alignment of {', '.join(names)} {_DOUBTS[worst]}.")
    if told:
        return Aligned(" ".join(told), True)
    return Aligned("Every pair was aligned for all of its share." if pairs else "No pair rode on it.", not pairs)


def _doubt(one: Alignment) -> str:
    """What its state leaves in doubt; nothing when a residual confirmed it or it is within."""
    state = one.verdict if one.state == "carried" else one.state
    return state if state in _DOUBTS else ""
