"""What the pages of missions and impacts cost: not more with more bays and lines; two statements more for each swap."""

import pytest

from registry.queries.impacts import impact_page
from registry.queries.missions import mission_page
from tests.cast import World
from tests.queries.watching import opened, statements

AT = "2026-05-20T12:00:00.000000Z"


def sailed(world: World, bays: str, missions: int, swaps: int = 0) -> dict[str, str]:
    """A vehicle with a pair in each of these bays, so many missions of it, and what one of the pairs was used for."""
    world.add_vehicle("barge", bays)
    for number, letter in enumerate(bays):
        world.add_pair(f"b{number}")
        world.install(f"b{number}", f"barge {letter}", "10 09:00")
    told = {"vehicle": "barge", "area": "Sill", "distance_km": "8"}
    for number in range(missions):
        since, until = f"10 1{number}:00", f"2026-05-10T1{number}:50:00Z"
        done = world.do("record_mission", since, reference=f"B-{number}", ended_at=until, **told)
        world.ids.setdefault("mission", done.entry.id)
    for number in range(swaps):
        world.remove("b0", f"barge {bays[0]}", f"10 10:{number}1")
        world.install("b0", f"barge {bays[0]}", f"10 10:{number}5")
    found = world.do("open_impact", "12 09:00", by="vera", pair="b0", reason="it drifts")
    return {"mission": world.ids["mission"], "impact": found.entry.id}


def costs(furnished, folder, *grown: int | str) -> tuple[int, int]:
    world = opened(furnished, folder)
    ids = sailed(world, *grown)
    cost = (
        len(statements(world, lambda db: mission_page(db, ids["mission"], AT))),
        len(statements(world, lambda db: impact_page(db, ids["impact"], AT))),
    )
    world.database.dispose()
    return cost


@pytest.fixture(scope="module")
def small(furnished_file, tmp_path_factory) -> tuple[int, int]:
    return costs(furnished_file, tmp_path_factory.mktemp("one-bay"), "A", 1)


def test_neither_page_costs_more_with_more_bays_pairs_and_lines(small, furnished_file, tmp_path_factory):
    assert costs(furnished_file, tmp_path_factory.mktemp("four-bays"), "ABCD", 4) == small


def test_a_mission_of_many_stays_costs_two_statements_more_for_each_swap(small, furnished_file, tmp_path_factory):
    """Verification is told as it stood when each share began."""
    mission, impact = costs(furnished_file, tmp_path_factory.mktemp("swapped"), "A", 1, 3)
    assert (mission, impact) == (small[0] + 2 * 3, small[1])
