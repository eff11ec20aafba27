"""The plan of fewest openings over a record: what it proposes, why not, and that carrying it out makes the vehicle fit."""

import pytest

from registry import planner
from registry.domain.fewest_openings import OpeningPlan
from registry.domain.sailings import Sailing
from registry.domain.voyages import Voyage
from registry.errors import Refused
from registry.queries.fleet import vehicles_at
from tests.cast import World
from tests.lived import LEAK, LOOKED, MOUNTED, RIGHT, SHEET

NOW, SAILS, BACK = "2026-05-20T11:00:00.000000Z", "2026-05-22T06:00:00.000000Z", "2026-05-29T18:00:00.000000Z"


def plan(world: World, *vehicles: str, use: str | None = None, sails: str = SAILS, **more: bool) -> OpeningPlan:
    named = [Sailing(world.ids[name], sails, BACK, use) for name in vehicles]
    return planner.planned(world.database, named, NOW, apart=False, **more)


def acts(found: OpeningPlan, number: int = 0) -> list[str]:
    return [step.offer.act for step in found.lines[number].steps if step.offer]


@pytest.fixture
def ready(world: World) -> World:
    """p1 and p2 are verified; Teasel is mounted with dowels, and shut."""
    world.mark()
    for pair in ("p1", "p2"):
        world.verify(pair)
    for bay in ("teasel A", "teasel B"):
        world.do("record_mounting", "8 07:00", bay=bay, **MOUNTED)
    return world


def test_carrying_out_the_plan_leaves_nothing_that_stops_or_needs_an_acceptance(ready: World):
    found = plan(ready, "teasel")
    assert found.score[:2] == (1, 1)
    assert acts(found) == [
        "open_housing", "install_pair", "check_seating", "install_pair", "check_seating", "close_housing", "record_leak_test",
        "record_axis_check", "record_alignment", "record_axis_check", "record_alignment",
    ]  # fmt: skip
    seats = [step.offer.fields for step in found.lines[0].steps if step.offer and step.offer.act == "install_pair"]
    ready.sign("ida", "20 08:00")
    ready.do("open_housing", "20 09:00", housing="teasel forward", reason="the plan")
    for seat in seats:
        ready.do("install_pair", "20 09:10", **seat)
        ready.do("check_seating", "20 09:15", by="yusuf", bay=seat["bay"], **LOOKED)
    ready.do("close_housing", "20 09:30", housing="teasel forward")
    ready.do("record_leak_test", "20 10:10", housing="teasel forward", **LEAK)
    for bay in ("teasel A", "teasel B"):
        ready.do("record_axis_check", "20 10:20", bay=bay, **RIGHT)
        ready.do("record_alignment", "20 10:30", bay=bay, **SHEET)
    with ready.database.reading() as db:
        (state,) = vehicles_at(db, NOW, only=[ready.ids["teasel"]])
    assert state.severity == "note"
    again = plan(ready, "teasel")
    assert (again.score, acts(again)) == ((1, 0, 0), [])


def test_two_vehicles_that_want_one_spare_are_told_which_goes_without(ready: World):
    ready.do("place_hold", "19 09:00", pair="p2", cause="wet", reason="a wet patch")
    ready.do("place_hold", "19 09:00", pair="p3", cause="wet", reason="a wet patch")
    for name in ("v1", "v2"):
        ready.add_vehicle(name, "A")
    found = plan(ready, "v1", "v2")
    assert found.score[:2] == (1, 1)
    (left,) = [line for line in found.lines if not line.fit]
    assert left.why == ("It could be made fit by itself; what it takes does more elsewhere.",)
    without = next(other for other in found.fallbacks if other.when == "Without p1")
    assert without.score == (0, 0, 0)
    assert without.told.startswith("0 vehicles fit, 0 openings, no time: 1 vehicle fewer, 1 opening fewer")


def test_a_hold_on_the_pair_is_answered_by_a_swap_and_one_on_the_bay_by_a_person(ready: World):
    ready.sign("ida", "19 08:00")
    ready.install("p1", "teasel A", "19 09:00")
    ready.do("place_hold", "19 10:00", pair="p1", cause="suspect", reason="it hummed")
    assert "swap_pairs" in acts(plan(ready, "teasel"))
    ready.do("place_hold", "19 11:00", bay="teasel A", cause="suspect", reason="a bent pin in the plug")
    found = plan(ready, "teasel")
    assert found.score == (0, 0, 0)
    assert any("a bent pin in the plug" in why for why in found.lines[0].why)


def test_what_lies_elsewhere_counts_only_where_both_sites_say_how_long_it_takes(ready: World):
    ready.do("move_vehicle", "19 09:00", by="piet", vehicle="teasel", site="vessel")
    found = plan(ready, "teasel")
    assert found.score == (0, 0, 0)
    assert found.lines[0].why[0] == "Bay A: it is empty, and no spare can be had for it by then."
    told = {"figure": "carriage_min", "value": "300", "reason": "the launch", "source": "the agent"}
    ready.do("set_plan_figure", "19 10:00", by="oda", site="vessel", **told)
    assert plan(ready, "teasel").score == (0, 0, 0)
    ready.do("set_plan_figure", "19 10:00", by="oda", site="shed", **told | {"value": "400"})
    found = plan(ready, "teasel")
    assert {step.minutes for step in found.lines[0].steps if step.told.startswith("Carry p")} == {400}
    assert found.score[0] == 1 and acts(found).count("move_halves") == 2
    assert any("300 min" in line and "the launch" not in line for line in found.assumed)


def test_a_vehicle_that_sails_before_the_work_is_done_is_not_made_fit(ready: World):
    found = plan(ready, "teasel", sails="2026-05-20T12:00:00.000000Z")
    assert found.lines[0].why[0].startswith("1 h are left before it sails")


def test_a_use_judges_the_alignments_by_its_own_tolerances(ready: World):
    """A multibeam judges roll as well, and nobody said what roll stands in the unit."""
    fit_in(ready)
    assert acts(plan(ready, "teasel", use="transit")) == []
    assert set(acts(plan(ready, "teasel", use="multibeam"))) == {"record_alignment"}


def test_what_somebody_accepted_by_name_is_not_worked_on(ready: World):
    fit_in(ready, aligned=False)
    assert acts(plan(ready, "teasel")) == ["carry_alignment", "carry_alignment"]
    with ready.database.reading() as db:
        (state,) = vehicles_at(db, NOW, only=[ready.ids["teasel"]], voyage=Voyage(SAILS, BACK))
    for finding in [one for one in state.findings if one.code == "alignment_missing"]:
        assert finding.answer
        told = {"reason": "a short dive", **finding.answer.fields, "from_on": SAILS[:10], "to_on": BACK[:10]}
        ready.do("accept_finding", "20 10:50", by="rosa", **told)
    assert acts(plan(ready, "teasel")) == []


def test_a_housing_that_leaks_is_opened_for_it_and_one_that_could_not_be_judged_is_tested_again(ready: World):
    fit_in(ready)
    ready.do("record_leak_test", "19 12:00", housing="teasel forward", **{**LEAK, "end_c": "25.0"})
    assert acts(plan(ready, "teasel")) == ["record_leak_test"]
    ready.do("record_leak_test", "19 13:00", housing="teasel forward", **{**LEAK, "end_mbar": "790.0"})
    ready.do(
        "release_hold", "19 14:00", by="rosa", hold=held_vehicle(ready), reason="a hair on the seal", evidence="photo 4"
    )
    found = plan(ready, "teasel")
    assert acts(found) == ["open_housing", "close_housing", "record_leak_test"]
    assert "the leak test does not hold" in found.lines[0].steps[0].told


def held_vehicle(world: World) -> str:
    with world.database.reading() as db:
        (state,) = vehicles_at(db, NOW, only=[world.ids["teasel"]])
    return next(str(one.offer.fields["hold"]) for one in state.findings if one.code == "on_hold" and one.offer)


def fit_in(world: World, aligned: bool = True) -> None:
    """Both pairs seated on the 19th, shut and tested, their signs right, and aligned if so."""
    world.sign("ida", "19 08:00")
    for bay, pair in (("teasel A", "p1"), ("teasel B", "p2")):
        world.install(pair, bay, "19 09:00")
    world.do("close_housing", "19 09:30", housing="teasel forward")
    world.do("record_leak_test", "19 10:10", housing="teasel forward", **LEAK)
    for bay in ("teasel A", "teasel B"):
        world.do("record_axis_check", "19 10:20", bay=bay, **RIGHT)
        if aligned:
            world.do("record_alignment", "19 10:30", bay=bay, **SHEET)


def test_what_may_sail_with_an_acceptance_is_left_to_it_when_asked(ready: World):
    found = plan(ready, "teasel", accept_care=True)
    assert "record_alignment" not in acts(found)
    assert len(found.lines[0].care) == 2


def test_a_sailing_that_began_and_a_vehicle_named_twice_are_refused(ready: World):
    with pytest.raises(Refused, match="began before"):
        plan(ready, "teasel", sails="2026-05-19T06:00:00.000000Z")
    with pytest.raises(Refused, match="Teasel is named twice"):
        plan(ready, "teasel", "teasel")


def test_the_process_apart_finds_what_this_one_finds(ready: World):
    named = [Sailing(ready.ids["teasel"], SAILS, BACK), Sailing(ready.ids["burdock"], SAILS, BACK)]
    here = planner.planned(ready.database, named, NOW, apart=False)
    assert planner.planned(ready.database, named, NOW) == here
