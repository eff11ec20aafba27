"""Differences: every half that is not where it should be is told once, and the bay itself."""

from hypothesis import given
from hypothesis import strategies as st

from registry.domain.matches import Half
from registry.domain.sightings import differences

IDS = st.sets(st.sampled_from(["s1", "e1", "s2", "e2"]))


def half(id_: str) -> Half:
    return Half(id_, f"K{id_.upper():0>7}", "sensor" if id_[0] == "s" else "electronics", "t", "Ardlune Reed")


@given(IDS, IDS)
def test_each_end_is_told_once_and_nothing_when_all_is_as_recorded(recorded: set[str], seen: set[str]):
    expected, found = {id_: half(id_) for id_ in recorded}, {id_: half(id_) for id_ in seen}
    ends = differences("here", "Teasel, bay A", expected, found, {"s2": "there"}, {"s2": "in Burdock, bay A"})
    if recorded == seen:
        assert ends == []
        return
    assert [end.half for end in ends].count(None) == 1
    assert sorted(end.half for end in ends if end.half) == sorted(recorded ^ seen)
    for end in ends:
        assert end.bay == ("here" if end.half is None or end.half in recorded else {"s2": "there"}.get(end.half))
        assert end.words.endswith(".")
