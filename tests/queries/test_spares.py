"""Spares of a bay: which free pairs may go in, what each still needs, and that the door agrees."""

import pytest

from registry.domain.spares import Spare
from registry.queries.spares import BaySpares, bay_spares, spares_of_bays
from tests.cast import World
from tests.lived import lived_in
from tests.queries.watching import statements

NOW = "2026-05-20T12:00:00.000000Z"
#: What the door refuses because of who acts, and not because of the pair.
OF_THE_PERSON = {"no_esd_signoff", "esd_failed", "not_trained", "not_allowed", "needs_second_person"}


def spares(world: World, bay: str = "teasel A", at: str = NOW, **more: str) -> BaySpares:
    with world.database.reading() as db:
        (found,) = spares_of_bays(db, [world.ids[bay]], at, **more)
    return found


def one(found: BaySpares, pair: str) -> Spare:
    return next(spare for spare in found.spares if spare.pair.pair == pair)


def codes(found: BaySpares, pair: str) -> list[str]:
    return [need.code for need in one(found, pair).needs]


def test_a_verified_pair_at_the_site_of_the_vehicle_is_ready_and_first(either: World):
    either.mark()
    either.verify("p2")
    found = spares(either)
    assert [spare.pair.pair for spare in found.ready_aboard] == ["p2"]
    assert found.spares[0].pair.pair == "p2"
    assert found.spares[0].say_where() == "at North shed, shelf 2, with the vehicle"
    assert [spare.pair.pair for spare in found.kept_out] == ["p4"]
    assert codes(found, "p4")[0] == "type_not_accepted"


def test_what_sits_in_a_bay_is_no_spare_until_it_comes_out(either: World):
    either.install("p1", "burdock A", "10 09:00")
    assert "p1" not in [spare.pair.pair for spare in spares(either).spares]
    either.remove("p1", "burdock A", "10 15:00")
    assert "p1" in [spare.pair.pair for spare in spares(either).spares]
    assert "p1" not in [spare.pair.pair for spare in spares(either, at="2026-05-10T12:00:00.000000Z").spares]


def test_a_ready_spare_elsewhere_comes_after_one_with_the_vehicle_and_one_apart_comes_last(world: World):
    world.mark()
    for pair in ("p1", "p2", "p3"):
        world.verify(pair)
    world.do("move_halves", "11 09:00", halves=["p1 s", "p1 e"], site="vessel")
    world.do("move_halves", "11 09:00", halves=["p2 s"], site="vessel")
    found = spares(world)
    assert [spare.pair.pair for spare in found.may_go_in] == ["p3", "p1", "p2"]
    assert (one(found, "p1").ready, one(found, "p1").aboard) == (True, False)
    assert codes(found, "p2") == ["halves_apart"]


def test_a_verification_that_nobody_reviewed_or_that_ends_on_the_voyage_is_still_needed(world: World):
    world.mark()
    world.verify("p1", review=False)
    world.verify("p2")
    found = spares(world)
    assert (codes(found, "p1"), codes(found, "p2")) == (["awaits_review"], [])
    assert codes(spares(world, until="2027-05-10T23:00:00.000000Z"), "p2") == []
    assert codes(spares(world, until="2027-05-11T00:30:00.000000Z"), "p2") == ["verification_due"]


def test_a_hold_lies_on_the_pair_whatever_its_halves_are_called_now(world: World):
    world.do("place_hold", "11 09:00", pair="p1", cause="dropped", reason="fell")
    world.do("place_hold", "11 09:00", half="p2 e", cause="wet", reason="a wet patch")
    world.do("record_knock", "11 09:10", half="p3 s", words="slipped")
    found = spares(world)
    assert {pair: codes(found, pair)[0] for pair in ("p1", "p2", "p3")} == {
        "p1": "on_hold",
        "p2": "on_hold",
        "p3": "not_looked_at",
    }
    assert found.may_go_in == ()


def test_a_pair_with_a_half_at_repair_is_kept_out_until_it_is_back(world: World):
    world.do("send_to_repair", "9 12:00", halves=["p2 s"], keeper="Ardlune works")
    found = one(spares(world), "p2")
    assert "away" in [need.code for need in found.needs if need.keeps_out]
    assert any("at repair, Ardlune works" in need.told for need in found.needs)


def test_a_swap_kit_is_needed_where_one_is_stated_and_none_is_counted(world: World):
    world.mark()
    world.verify("p1")
    lines = [{"item": "seal 60 mm", "quantity": 2}, {"item": "dowel pins", "quantity": 2}]
    world.do("set_swap_kit", "11 09:00", by="piet", housing="teasel forward", lines=lines)
    assert codes(spares(world), "p1") == ["kit_missing"]
    world.do("count_swap_kits", "11 10:00", housing="teasel forward", site="vessel", kits=2)
    assert codes(spares(world), "p1") == ["kit_missing"]
    world.do("count_swap_kits", "11 11:00", housing="teasel forward", site="shed", kits=1)
    assert codes(spares(world), "p1") == []
    world.do("count_swap_kits", "11 12:00", housing="teasel forward", site="shed", kits=0)
    assert codes(spares(world), "p1") == ["kit_missing"]
    assert codes(spares(world, at="2026-05-11T08:00:00.000000Z"), "p1") == ["awaits_review"]


def test_firmware_that_no_list_permits_is_needed_before_the_swap(world: World):
    world.mark()
    world.verify("p1")
    assert codes(spares(world), "p1") == []
    permitted = [{"kind": "electronics", "version": "2.4.1"}]
    world.do("permit_firmware", "11 09:00", by="oda", unit_type="reed", versions=permitted, reason="first list")
    assert codes(spares(world), "p1") == ["firmware_not_read"]
    world.do("record_firmware", "11 10:00", half="p1 e", firmware="2.3.0")
    assert codes(spares(world), "p1") == ["firmware_not_permitted"]
    world.do("record_firmware", "11 11:00", half="p1 e", firmware="2.4.1")
    assert codes(spares(world), "p1") == []


def test_the_door_refuses_exactly_what_is_kept_out(lived: World):
    """An independent witness: the go / no-go of an install, asked for every pair at a bay that is empty."""
    for bay in ("burdock A", "teasel B"):
        found = spares(lived, bay, "2026-05-18T12:00:00.000000Z")
        assert len(found.spares) > 3 and found.kept_out and found.may_go_in
        for spare in found.spares:
            halves = {"sensor": spare.pair.sensor_code, "electronics": spare.pair.electronics_code}
            reasons = lived.check("install_pair", "18 12:00", bay=bay, **halves).reasons
            refused = {reason.code for reason in reasons} - OF_THE_PERSON
            assert bool(refused) == spare.kept_out, (bay, spare.pair.pair, refused, spare.needs)
            assert refused == {need.code for need in spare.needs if need.keeps_out}


def test_spares_of_one_bay_and_of_many_cost_the_same(world: World):
    few = len(statements(world, lambda db: bay_spares(db, world.ids["teasel A"], NOW)))
    for number in range(5, 12):
        world.add_pair(f"p{number}")
        world.add_vehicle(f"v{number}")
    every = [world.ids[f"v{number} {letter}"] for number in range(5, 12) for letter in "AB"]
    assert len(statements(world, lambda db: spares_of_bays(db, every, NOW))) == few == 17


def test_a_bay_that_was_not_known_yet_has_no_spares(world: World):
    with world.database.reading() as db:
        assert bay_spares(db, world.ids["teasel A"], NOW, 1) is None


@pytest.fixture
def lived(world: World) -> World:
    """Pairs held, knocked, failed, not inspected, lying apart, and one of another type."""
    lived_in(world)
    world.do("move_halves", "17 12:20", halves=["p5 s"], site="vessel")
    return world
