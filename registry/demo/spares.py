"""Swap kits of the invented outfit: what a swap takes, where kits were counted, and how long carriage takes ashore."""

from registry.demo.hand import Hand
from registry.demo.outfit import VEHICLES

_TAKES = (("seal ring of the lid", 2), ("dowel pins", 2), ("desiccant bag", 1), ("torque driver, 1 to 5 N m", 1))
#: Vehicle -> where kits for its housings were counted, and how many.
_COUNTED = {
    "Teasel": (("North shed", 2), ("Halcyon Tern", 1)),
    "Burdock": (("North shed", 1),),
    "Mallow": (("South quay", 1),),
    "Sorrel": (("North shed", 1), ("South quay", 0)),
    "Yarrow": (("Halcyon Tern", 1),),
    "Tansy": (("South quay", 2),),
    "Campion": (("North shed", 1),),
}
#: Two sites by road; what is aboard comes back with the vessel, and nothing is counted on.
_CARRIAGE = (("North shed", "240"), ("South quay", "240"))


def lay_out_kits(hand: Hand) -> None:
    """Each housing says what it takes; the newest counts are a week old."""
    lines = [{"item": what, "quantity": count} for what, count in _TAKES]
    for site, minutes in _CARRIAGE:
        told = {"figure": "carriage_min", "value": minutes, "reason": "The van between shed and quay."}
        hand.do("set_plan_figure", -40, "09:00", by="Oda Fenn", site=site, source="invented: the outfit’s van", **told)
    for vehicle, counted in _COUNTED.items():
        names = ("main",) if len(VEHICLES[vehicle][4]) == 1 else ("forward", "aft")
        for name in names:
            housing = f"{vehicle} {name}"
            hand.do("set_swap_kit", -40, "10:00", by="Tomas Oyelaran", housing=housing, lines=lines)
            for site, kits in counted:
                hand.do("count_swap_kits", -7, "15:00", by="Ida Brekke", housing=housing, site=site, kits=kits)
