"""Overlap and restating of stays: pure, and the same whichever of two stays is looked at first."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.amendments import overlaps, reasons_not_to_restate
from registry.domain.installs import Stay
from registry.domain.matches import Pairing


def at(hour: int) -> str:
    return f"2026-05-{1 + hour // 24:02d}T{hour % 24:02d}:00:00.000000Z"


def stay(since: int, until: int | None, bay: str = "A", pair: str = "1", id_: str = "x") -> Stay:
    return Stay(
        id_,
        bay,
        f"bay {bay}",
        f"P{pair}",
        f"P{pair}",
        f"s{pair}",
        f"e{pair}",
        at(since),
        None if until is None else at(until),
    )


OVERLAPS = {
    "one bay, one after the other": (stay(0, 5), stay(5, 9, pair="2"), False),
    "one bay, an hour shared": (stay(0, 6), stay(5, 9, pair="2"), True),
    "one bay, one within the other": (stay(0, 9), stay(3, 4, pair="2"), True),
    "one bay, both without an end": (stay(0, None), stay(5, None, pair="2"), True),
    "one bay, the first without an end": (stay(0, None), stay(5, 6, pair="2"), True),
    "one pair in two bays": (stay(0, 6), stay(5, 9, bay="B"), True),
    "one sensor half in two pairs": (stay(0, 6), replace(stay(5, 9, bay="B", pair="2"), sensor_id="s1"), True),
    "one electronics half in two pairs": (
        stay(0, 6),
        replace(stay(5, 9, bay="B", pair="2"), electronics_id="e1"),
        True,
    ),
    "nothing shared": (stay(0, None), stay(0, None, bay="B", pair="2"), False),
}


@pytest.mark.parametrize("name", OVERLAPS)
def test_two_stays_overlap(name: str):
    one, other, told = OVERLAPS[name]
    assert overlaps(one, other) == overlaps(other, one) == told


HOURS = st.integers(0, 60)
STAYS = st.builds(
    lambda since, length, bay, pair: stay(since, None if length is None else since + length, bay, pair),
    HOURS,
    st.none() | st.integers(1, 20),
    st.sampled_from("AB"),
    st.sampled_from("12"),
)


@given(STAYS, STAYS)
def test_overlap_is_sharing_an_hour_of_a_bay_or_a_half(one: Stay, other: Stay):
    def hours(found: Stay) -> set[int]:
        return {hour for hour in range(100) if found.installed_at <= at(hour) < (found.removed_at or "9")}

    shared = one.bay_id == other.bay_id or one.sensor_id == other.sensor_id
    assert overlaps(one, other) == bool(shared and hours(one) & hours(other))


PAIRING = Pairing("P1", "P1", "s1", "e1", at(0), at(48))
RESTATED = {
    "in order": ([stay(2, 9)], [], []),
    "out before in": ([stay(9, 2)], [], ["would have come out of bay A before it went in"]),
    "before its pair": (
        [replace(stay(2, 9), installed_at="2026-04-30T00:00:00.000000Z")],
        [],
        ["did not hold for all of that time"],
    ),
    "beyond its pair": ([stay(2, 49)], [], ["did not hold for all of that time"]),
    "over another": ([stay(2, 9)], [stay(8, 12, pair="2")], ["would overlap P2 in bay A"]),
    "over one another": ([stay(2, 9), stay(8, 12, pair="2", id_="y")], [], ["would overlap P2 in bay A"]),
    "next to another": ([stay(2, 9)], [stay(9, 12, pair="2")], []),
}


@pytest.mark.parametrize("name", RESTATED)
def test_a_stay_is_restated(name: str):
    again, others, told = RESTATED[name]
    reasons = reasons_not_to_restate(again, others, {"P1": PAIRING})
    assert len(reasons) == len(told)
    assert all(sentence in reason.message for sentence, reason in zip(told, reasons, strict=True))
    assert {reason.code for reason in reasons} <= {"overlaps_history"}
