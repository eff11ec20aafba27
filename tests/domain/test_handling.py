"""ESD readings and sign-offs: strict limits, a verdict that is worked out, and one person at one station for a time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.domain.handling import (
    LIMITS,
    REQUIRED,
    Reading,
    Signoff,
    good_to,
    judge_reading,
    judge_signoff,
    reasons_without_signoff,
)

GOOD = {"strap_mohm": "7", "surface_mohm": "40", "field_kv_m": "0.4", "bond_mohm": "12"}
WITH = {"on": "2026-05-10", "meter": "M", "meter_due_on": "2026-05-10", "cleared": True, "trained": True}


@given(st.sampled_from(sorted(LIMITS)), st.decimals("0", "2000", places=3))
def test_a_reading_is_within_or_fails_to_one_side(quantity: str, value):
    limit, found = LIMITS[quantity], judge_reading(quantity, Reading(format(value, "f")))
    low = limit.least is not None and value < type(value)(limit.least)
    high = value >= type(value)(limit.below)
    assert found.verdict == ("fail_low" if low else "fail_high" if high else "pass")


@pytest.mark.parametrize("kind", REQUIRED)
@pytest.mark.parametrize("missing", LIMITS)
def test_what_a_station_asks_for_and_nothing_else_is_missed(kind: str, missing: str):
    readings = {name: Reading(value) for name, value in GOOD.items() if name != missing}
    assert judge_signoff(kind, readings, **WITH).verdict == ("incomplete" if missing in REQUIRED[kind] else "pass")


@pytest.mark.parametrize("quantity", LIMITS)
def test_a_reading_nobody_asked_for_still_fails(quantity: str):
    for kind in REQUIRED:
        readings = {name: Reading(value) for name, value in GOOD.items()} | {quantity: Reading(None, True)}
        assert judge_signoff(kind, readings, **WITH).verdict == "fail"


def test_the_reasons_are_the_words_of_each_fault():
    found = judge_signoff(
        "protected_area",
        {"strap_mohm": Reading("0.5")},
        on="2026-05-10",
        meter="M",
        meter_due_on="2026-05-09",
        cleared=False,
        trained=False,
    )
    assert found.verdict == "fail"
    assert [told.split(":")[0].split(" ")[0] for told in found.reasons] == ["Fails", "Your", "Bench", "Field", "Meter"]


def signed(at: str = "08:00", person: str = "ida", **more) -> Signoff:
    stamp = f"2026-05-10T{at}:00.000000Z"
    told = {
        "id": at,
        "person": person,
        "station": "Bench 2",
        "station_kind": "protected_area",
        "site_id": "shed",
        "signed_at": stamp,
        "good_to_at": good_to(stamp),
        "ended_at": None,
        "verdict": "pass",
    }
    return Signoff(**told | more)


NINE = "2026-05-10T09:00:00.000000Z"
SIGNED = {
    "in force": ([signed()], None, []),
    "nobody's": ([], None, ["no_esd_signoff"]),
    "later": ([signed("09:01")], None, ["no_esd_signoff"]),
    "at that very instant": ([signed("09:00")], None, []),
    "another's": ([signed(person="yusuf")], None, ["no_esd_signoff"]),
    "run out": ([signed(good_to_at=NINE)], None, ["no_esd_signoff"]),
    "ended": ([signed(ended_at=NINE)], None, ["no_esd_signoff"]),
    "failed": ([signed(verdict="fail")], None, ["esd_failed"]),
    "incomplete": ([signed(verdict="incomplete")], None, ["esd_failed"]),
    "failed, then passed": ([signed(verdict="fail"), signed("08:30")], None, []),
    "passed, then failed": ([signed(), signed("08:30", verdict="fail")], None, ["esd_failed"]),
    "failed and passed in one minute, as they were entered": ([signed(verdict="fail"), signed()], None, []),
    "at another site": ([signed(site_id="vessel")], None, ["no_esd_signoff"]),
    "a kit from another site": ([signed(site_id="vessel", station_kind="field_kit")], None, []),
    "named, another's": ([signed()], signed(person="yusuf"), ["no_esd_signoff"]),
    "named, the last": ([signed("08:00"), signed("08:30")], signed("08:30"), []),
    "named, not the last": ([signed("08:00"), signed("08:30")], signed("08:00"), ["no_esd_signoff"]),
    "named, failed": ([signed(verdict="fail")], signed(verdict="fail"), ["esd_failed"]),
}


@pytest.mark.parametrize("name", SIGNED)
def test_a_sign_off(name: str):
    own, named, codes = SIGNED[name]
    reasons, found = reasons_without_signoff("ida", own, NINE, named=named, site_id="shed")
    assert [reason.code for reason in reasons] == codes
    assert (found is None) == bool(codes)
