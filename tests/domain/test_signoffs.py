"""ESD sign-offs on record: one person at one station for a time."""

import pytest

from registry.domain.signoffs import Signoff, good_to, reasons_without_signoff


def signed(at: str = "08:00", person: str = "ida", **more) -> Signoff:
    stamp = f"2026-05-10T{at}:00.000000Z"
    told = {
        "id": at,
        "person": person,
        "station": "Bench 2",
        "station_kind": "protected_area",
        "site_id": "shed",
        "signed_at": stamp,
        "good_to_at": good_to(stamp, 12),
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
