"""The same batch: halves that share something with a half in doubt, and may share its fault."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from registry.domain.impacts import BATCH_DAYS, KINSHIPS
from registry.domain.times import say_day
from registry.errors import Reason


@dataclass(frozen=True, slots=True)
class Kin:
    """Another half, one thing it shares, and which ("DN-2214")."""

    half_id: str
    kinship: str
    told: str


@dataclass(frozen=True, slots=True)
class Handled:
    """A half in somebody’s hands: when, at which station, under which strap tester."""

    half_id: str
    at: str
    station: str
    tester: str | None


def alike_by_day(handled: Iterable[Handled], mine: set[str]) -> Iterator[Kin]:
    """Halves that passed the same station, or were handled under the same tester, within so many days of one of mine."""
    listed = list(handled)
    own = [one for one in listed if one.half_id in mine]
    for one in listed:
        for other in own:
            apart = abs((date.fromisoformat(one.at[:10]) - date.fromisoformat(other.at[:10])).days)
            if one.half_id in mine or apart > BATCH_DAYS:
                continue
            if one.station == other.station:
                yield Kin(one.half_id, "station", f"{one.station}, {say_day(one.at)}")
            if one.tester and one.tester == other.tester:
                yield Kin(one.half_id, "tester", f"{one.tester}, {say_day(one.at)}")


def reasons_not_of_batch(kin: Iterable[Kin], half_id: str, kinship: str, half: str) -> list[Reason]:
    """A half is answered for as of a batch only by something that the record says it shares."""
    shared = {one.kinship for one in kin if one.half_id == half_id}
    if kinship in shared:
        return []
    what = "; it shares: " + ", ".join(KINSHIPS[one] for one in KINSHIPS if one in shared) if shared else ""
    told = f"The record does not say that {half} {KINSHIPS[kinship]}{what}."
    return [Reason("not_same_batch", told, "half", "Choose a half of the list, or place a hold by itself.")]
