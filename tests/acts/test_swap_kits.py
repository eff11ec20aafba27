"""Swap kits: a list that is told anew as a whole, and counts of which the newest holds."""

from registry.models.swap_kits import swap_kits
from tests.cast import World

SEALS, PINS = {"item": "seal ring", "quantity": 2}, {"item": "dowel pins", "quantity": 1}


def kit(world: World, at: str):
    housing = world.ids["teasel forward"]
    with world.database.reading() as db:
        return swap_kits(db, [housing], f"2026-05-{at}:00.000000Z")[housing]


def test_a_list_takes_the_place_of_the_one_before_from_its_instant_on(world: World):
    world.do("set_swap_kit", "10 09:00", by="piet", housing="teasel forward", lines=[SEALS, PINS])
    world.do("set_swap_kit", "12 09:00", by="piet", housing="teasel forward", lines=[PINS])
    assert kit(world, "10T08:59").lines == ()
    assert kit(world, "11T12:00").lines == (("seal ring", 2), ("dowel pins", 1))
    assert kit(world, "12T09:00").lines == (("dowel pins", 1),)
    told = world.refused("set_swap_kit", "11 09:00", by="piet", housing="teasel forward", lines=[SEALS])
    assert list(told) == ["overlaps_history"]


def test_the_newest_count_at_each_site_holds(world: World):
    for when, site, kits in (("10 09:00", "shed", 2), ("11 09:00", "vessel", 1), ("12 09:00", "shed", 0)):
        world.do("count_swap_kits", when, housing="teasel forward", site=site, kits=kits)
    assert [(one.site, one.kits) for one in kit(world, "11T12:00").counted] == [("Halcyon Tern", 1), ("North shed", 2)]
    assert [(one.site, one.kits) for one in kit(world, "12T12:00").counted] == [("Halcyon Tern", 1), ("North shed", 0)]


def test_a_count_below_none_and_an_empty_list_are_told(world: World):
    assert "wrong_form" in world.refused("count_swap_kits", housing="teasel forward", site="shed", kits=-1)
    assert world.refused("set_swap_kit", by="piet", housing="teasel forward", lines=[])
