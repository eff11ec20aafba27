"""Swap kits: the seals, pins and tools that a swap in a housing takes, and where one lies."""

from dataclasses import dataclass, field

from registry.domain.spares import BayAt, Need
from registry.domain.times import say_day
from registry.errors import Offer


@dataclass(frozen=True, slots=True)
class Counted:
    """Kits of one housing at one site, as somebody counted them last."""

    site_id: str
    site: str
    kits: int
    counted_at: str

    def say(self) -> str:
        kits = "no kit" if not self.kits else f"{self.kits} {'kit' if self.kits == 1 else 'kits'}"
        return f"{kits} at {self.site}, counted {say_day(self.counted_at)}"


@dataclass(frozen=True, slots=True)
class SwapKit:
    """What a swap in a housing takes, line by line (what, how many), and the counts of such kits."""

    lines: tuple[tuple[str, int], ...] = ()
    counted: tuple[Counted, ...] = field(default=())

    def at_hand(self, site_id: str | None) -> bool:
        return any(one.kits and one.site_id == site_id for one in self.counted)

    def say(self, bay: BayAt) -> str:
        """Whether a kit is at hand where the vehicle lies."""
        if not self.lines:
            return "Nobody entered what a swap takes."
        if self.at_hand(bay.site_id):
            return f"At hand: {next(one.say() for one in self.counted if one.site_id == bay.site_id)}."
        return f"None at hand at {bay.site or 'a place that is not recorded'}. {self.say_elsewhere()}"

    def say_elsewhere(self) -> str:
        lying = [one.say() for one in self.counted if one.kits]
        return f"Elsewhere: {'; '.join(lying)}." if lying else "None is counted anywhere."


def needs_of_kit(kit: SwapKit, bay: BayAt) -> tuple[Need, ...]:
    """A swap begins with its kit beside it. Where nobody entered what it takes, nothing says that one is missing."""
    if not kit.lines or kit.at_hand(bay.site_id):
        return ()
    fields = {"housing": bay.housing_id} | ({"site": bay.site_id} if bay.site_id else {})
    offer = Offer("count_swap_kits", "Count swap kits", fields)
    return (Need("kit_missing", f"Swap kit: {kit.say(bay)[0].lower()}{kit.say(bay)[1:]}", offer, work="carriage_min"),)
