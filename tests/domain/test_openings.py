"""The leak test and the rechecks of a knock: pure."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.openings import JUDGED_BY, RECHECKS, LeakTest, judge_leak_test, rechecks_of_knock
from registry.domain.plans import ITEMS

#: The defaults of the plan by which leak tests are judged.
BY = tuple(ITEMS[name].default for name in JUDGED_BY)
TENTHS = st.integers(0, 20).map(lambda tenths: Decimal(tenths) / 10)


@given(st.integers(100, 1100), st.integers(-10, 40), TENTHS, st.integers(-50, 50))
def test_only_what_the_gas_law_does_not_explain_is_a_leak(start: int, celsius: int, warmer: Decimal, tenths: int):
    """Whatever the pressure and the temperature: the change told is the gas that came in, and 2 mbar is the limit."""
    kelvin = Decimal(celsius) + Decimal("273.15")
    leak = Decimal(tenths) / 10
    end = (Decimal(start) * (kelvin + warmer) / kelvin + leak).quantize(Decimal("0.000001"))
    found = judge_leak_test(LeakTest(str(start), str(celsius), str(end), str(celsius + warmer), "30", *BY))
    assert abs(Decimal(found.change_mbar) - leak) <= Decimal("0.01")
    if abs(abs(leak) - 2) > Decimal("0.05"):
        assert found.verdict == ("does_not" if abs(leak) > 2 else "holds")


@pytest.mark.parametrize(
    ("end_c", "hold", "verdict"),
    [
        ("22", "30", "holds"),
        ("22.01", "30", "cannot_judge"),
        ("17.99", "30", "cannot_judge"),
        ("20", "29.9", "cannot_judge"),
        ("20", "30", "holds"),
    ],
)
def test_what_cannot_be_judged_is_said_to_be(end_c: str, hold: str, verdict: str):
    end = Decimal(750) * (Decimal(end_c) + Decimal("273.15")) / Decimal("293.15")
    assert judge_leak_test(LeakTest("750", "20", str(end), end_c, hold, *BY)).verdict == verdict


def test_a_vacuum_that_grew_is_no_better_than_one_that_shrank():
    assert judge_leak_test(LeakTest("750", "20", "747.9", "20", "30", *BY)).verdict == "does_not"


@pytest.mark.parametrize("hard", [False, True])
@pytest.mark.parametrize("housed", [False, True])
def test_a_knock_asks_for_what_there_is_and_more_when_it_was_hard(hard: bool, housed: bool):
    asked = rechecks_of_knock(hard, housed)
    assert set(asked) <= RECHECKS.keys()
    assert ("verification" in asked) == hard
    assert ("alignment" in asked) == housed
    assert len(asked) == len(set(asked))
