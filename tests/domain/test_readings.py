"""Readings against their limits: strict, and told apart by the side they fail on."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.plans import Plan, PlanFigure
from registry.domain.readings import QUANTITIES, Reading, judge_reading, limit_of

DEFAULTS = Plan()
LIMITS = {name: limit_of(name, DEFAULTS) for name in QUANTITIES}


@given(st.sampled_from(sorted(name for name in LIMITS if LIMITS[name].below)), st.decimals("0", "2000", places=3))
def test_a_reading_is_within_or_fails_to_one_side(quantity: str, value):
    limit = LIMITS[quantity]
    found = judge_reading(quantity, Reading(format(value, "f")), limit)
    low = limit.least is not None and value < type(value)(limit.least)
    high = value >= type(value)(limit.below)
    assert found.verdict == ("fail_low" if low else "fail_high" if high else "pass")


@pytest.mark.parametrize(
    ("value", "verdict"), [("-34.9", "pass"), ("-35", "fail_high"), ("34.9", "pass"), ("35", "fail_high")]
)
def test_an_ioniser_is_off_to_either_side(value: str, verdict: str):
    assert judge_reading("ioniser_offset_v", Reading(value), LIMITS["ioniser_offset_v"]).verdict == verdict


def test_what_has_no_limit_is_not_judged_until_the_site_sets_one():
    reading = Reading("1.2")
    assert judge_reading("ioniser_decay_s", reading, LIMITS["ioniser_decay_s"]).verdict == "incomplete"
    own = PlanFigure("ioniser_decay_below_s", "2", "shed", "2026-05-01T00:00:00.000000Z", "fast belt", "plan", 7)
    limit = limit_of("ioniser_decay_s", Plan({own.name: own}))
    assert judge_reading("ioniser_decay_s", reading, limit).verdict == "pass"
    assert limit.source == "plan (the site’s plan since 1 May 2026)"


@pytest.mark.parametrize("quantity", [name for name in QUANTITIES if name.endswith("mohm")])
def test_an_open_circuit_fails_high(quantity: str):
    found = judge_reading(quantity, Reading(None, True), LIMITS[quantity])
    assert found.verdict == "fail_high" and QUANTITIES[quantity].mend in found.told
