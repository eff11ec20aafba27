"""The program of fewest openings, held against trying everything, and against another way of finding the same."""

import itertools
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from registry.domain.opening_program import Answer, Hull, Shell, Way, columns, cost, fewest_openings, without

SPARES = 3
minutes = st.integers(0, 6).map(lambda number: number * 30)
shells = st.builds(
    lambda counts, must, shut, more: Shell(counts, must, shut + more, shut),
    st.booleans(),
    st.booleans(),
    minutes,
    minutes,
)
#: A smaller instance is not sought when one fails: each try is solved three times.
unshrunk = (Phase.explicit, Phase.reuse, Phase.generate)
ways = st.builds(Way, st.integers(0, 1), minutes, st.booleans(), st.none() | st.integers(0, SPARES - 1))
hulls = st.builds(
    Hull,
    st.lists(st.lists(ways, max_size=3).map(tuple), min_size=1, max_size=2).map(tuple),
    st.tuples(shells, shells),
    st.sampled_from([60, 200, 400, 10_000]),
    st.sampled_from([False, False, False, True]),
)


def patterns(hull: Hull) -> Iterator[tuple[int, ...]]:
    """Every complete set of ways of one hull that its time allows, told without the program."""
    if hull.barred:
        return
    for taken in itertools.product(*(range(len(bay)) for bay in hull.bays)):
        if _minutes(hull, taken) <= hull.most_min and len(set(used(hull, taken))) == len(used(hull, taken)):
            yield taken


def used(hull: Hull, taken: Sequence[int]) -> list[int]:
    picked = [bay[number] for bay, number in zip(hull.bays, taken, strict=True)]
    return [way.spare for way in picked if way.spare is not None]


def _open_shells(hull: Hull, taken: Sequence[int]) -> set[int]:
    picked = [bay[number] for bay, number in zip(hull.bays, taken, strict=True)]
    return {way.housing for way in picked if way.opens} | {n for n, shell in enumerate(hull.shells) if shell.must_open}


def _minutes(hull: Hull, taken: Sequence[int]) -> int:
    here = _open_shells(hull, taken)
    picked = [bay[number].minutes for bay, number in zip(hull.bays, taken, strict=True)]
    return sum(picked) + sum(shell.opened_min if n in here else shell.shut_min for n, shell in enumerate(hull.shells))


def _openings(hull: Hull, taken: Sequence[int]) -> int:
    return sum(hull.shells[number].counts for number in _open_shells(hull, taken))


def by_trying_everything(fleet: Sequence[Hull]) -> tuple[int, int, int]:
    """Every hull left or made fit by each of its patterns: the best of all combinations that use no spare twice."""
    best = (0, 0, 0)
    for choice in itertools.product(*([None, *patterns(hull)] for hull in fleet)):
        made = [(hull, taken) for hull, taken in zip(fleet, choice, strict=True) if taken is not None]
        spares = [spare for hull, taken in made for spare in used(hull, taken)]
        if len(set(spares)) == len(spares):
            score = (len(made), sum(_openings(*one) for one in made), sum(_minutes(*one) for one in made))
            best = min(best, score, key=lambda one: (-one[0], one[1], one[2]))
    return best


def by_stages(fleet: Sequence[Hull]) -> tuple[int, int, int]:
    """Another formulation: hull after hull, for each set of spares used so far the best score yet (Bellman’s principle of
    optimality; scores add up, and are compared in order)."""
    table: dict[frozenset[int], tuple[int, int, int]] = {frozenset(): (0, 0, 0)}
    for hull in fleet:
        after = dict(table)
        for taken in patterns(hull):
            mine = frozenset(used(hull, taken))
            for before, (unfit, openings, spent) in table.items():
                if not mine & before:
                    score = (unfit - 1, openings + _openings(hull, taken), spent + _minutes(hull, taken))
                    after[before | mine] = min(after.get(before | mine, (1, 0, 0)), score)
        table = after
    unfit, openings, spent = min(table.values())
    return -unfit, openings, spent


def scored(fleet: Sequence[Hull]) -> tuple[int, int, int]:
    answer = fewest_openings(fleet)
    assert answer.proved
    _lawful(fleet, answer)
    return answer.score(fleet)


def _lawful(fleet: Sequence[Hull], answer: Answer) -> None:
    """No spare twice, nobody late, nothing barred: read off the answer itself."""
    made = [(hull, taken) for hull, taken in zip(fleet, answer.ways, strict=True) if taken is not None]
    spares = [spare for hull, taken in made for spare in used(hull, taken)]
    assert len(spares) == len(set(spares))
    for hull, taken in made:
        assert not hull.barred
        assert cost(hull, taken) == (_openings(hull, taken), _minutes(hull, taken))
        assert _minutes(hull, taken) <= hull.most_min


@settings(max_examples=40, deadline=None, phases=unshrunk)
@given(st.lists(hulls, min_size=1, max_size=3))
def test_the_program_finds_what_trying_everything_finds(fleet: list[Hull]):
    assert scored(fleet) == by_trying_everything(fleet)


@settings(max_examples=20, deadline=None, phases=unshrunk)
@given(st.lists(hulls, min_size=4, max_size=7))
def test_the_program_finds_what_going_hull_by_hull_finds(fleet: list[Hull]):
    assert scored(fleet) == by_stages(fleet)


def test_the_two_witnesses_agree_with_each_other():
    fleet = [hull(Way(0, 60, True, 0), Way(0, 30, True, 1)), hull(Way(0, 60, True, 1), keeps=200)]
    assert by_trying_everything(fleet) == by_stages(fleet) == (2, 1, 410)


def test_a_housing_that_would_be_opened_to_save_time_is_no_housing():
    with pytest.raises(ValueError, match="or longer"):
        Shell(counts=True, must_open=False, opened_min=30, shut_min=60)


SHUT = Shell(counts=True, must_open=False, opened_min=180, shut_min=0)


def hull(*listed: Way, keeps: int | None = None, most: int = 10_000, shells: tuple[Shell, ...] = (SHUT,)) -> Hull:
    first = () if keeps is None else (Way(0, keeps, False),)
    return Hull(((*first, *listed),), shells, most)


def test_more_vehicles_go_before_fewer_openings_and_those_before_time():
    only_spare = hull(Way(0, 60, True, 0))
    choosing = hull(Way(0, 60, True, 0), keeps=5000)
    assert scored([only_spare, choosing]) == (2, 1, 5240)
    assert scored([choosing]) == (1, 0, 5000)


def test_one_opening_serves_every_bay_of_a_housing():
    two = Hull(((Way(0, 60, True, 0),), (Way(0, 60, True, 1),)), (SHUT,), 10_000)
    apart = Hull(((Way(0, 60, True, 0),), (Way(1, 60, True, 1),)), (SHUT, SHUT), 10_000)
    assert scored([two]) == (1, 1, 300)
    assert scored([apart]) == (1, 2, 480)


def test_a_housing_that_stands_open_costs_no_opening():
    stands_open = Shell(counts=False, must_open=False, opened_min=135, shut_min=135)
    assert scored([hull(Way(0, 60, True, 0), shells=(stands_open,))]) == (1, 0, 195)
    assert scored([hull(Way(0, 60, True, 0), keeps=200, shells=(stands_open,))]) == (1, 0, 195)
    assert scored([hull(Way(0, 60, True, 0), keeps=200)]) == (1, 0, 200)


def test_what_takes_longer_than_there_is_time_is_not_planned():
    assert scored([hull(Way(0, 60, True, 0), most=239)]) == (0, 0, 0)
    assert scored([hull(Way(0, 60, True, 0), most=240)]) == (1, 1, 240)


def test_without_a_spare_or_a_hull_the_numbers_of_the_ways_stay():
    fleet = [hull(Way(0, 60, True, 0), Way(0, 90, True, 1)), hull(Way(0, 60, True, 1))]
    assert scored(fleet) == (2, 2, 480)
    assert scored(without(fleet, spare=0)) == (1, 1, 240)
    assert fewest_openings(without(fleet, hull=1)).ways == ((0,), None)


def test_a_program_that_runs_out_of_time_says_so():
    """Nothing is claimed to be the fewest when the solver was stopped."""
    fleet = [
        Hull(
            tuple(tuple(Way(b, 30 + (7 * s + 5 * h) % 90, True, s) for s in range(40)) for b in range(2)),
            (SHUT, SHUT),
            500,
        )
        for h in range(25)
    ]
    answer = fewest_openings(fleet, limit_s=0.0001)
    assert not answer.proved
    _lawful(fleet, answer)


@pytest.mark.parametrize("fleet", [[], [Hull((), (), 0)], [Hull(((),), (SHUT,), 0)]])
def test_nothing_to_choose_is_an_answer(fleet: list[Hull]):
    assert scored(fleet)[0] == sum(all(one.bays) for one in fleet)
    assert columns(fleet) == sum(1 + len(one.shells) for one in fleet)
