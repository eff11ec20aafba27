"""Sailings: how they are written, and which are not looked at together."""

import pytest

from registry.domain.sailings import MOST_SAILINGS, Sailing, read_sailing, reasons_not_to_look

SINCE, UNTIL = "2026-05-20T06:00:00.000000Z", "2026-05-28T18:00:00.000000Z"
ONE = Sailing("teasel", SINCE, UNTIL)


@pytest.mark.parametrize(
    ("text", "vehicle", "use"),
    [
        ("Teasel 2026-05-20T06:00:00Z/2026-05-28T18:00:00Z", "Teasel", None),
        ("Spare hull 2026-05-20T08:00:00+02:00/2026-05-28T18:00:00Z multibeam", "Spare hull", "multibeam"),
    ],
)
def test_a_sailing_is_a_vehicle_both_instants_and_perhaps_a_use(text: str, vehicle: str, use: str | None):
    assert read_sailing(text) == Sailing(vehicle, SINCE, UNTIL, use)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Teasel", "is not readable as a sailing"),
        ("2026-05-20T06:00:00Z/2026-05-28T18:00:00Z", "is not readable as a sailing"),
        ("Teasel 2026-05-20T06:00:00Z/2026-05-28T18:00:00Z for multibeam", "is not readable as a sailing"),
        ("Teasel 2026-05-20T06:00:00Z/2026-05-28T18:00:00Z fishing", "is no use a vehicle may be asked about"),
        ("Teasel 2026-05-28T18:00:00Z/2026-05-20T06:00:00Z", "before it sails"),
        ("Teasel 2026-05-20T06:00:00Z/soon", "with its offset"),
    ],
)
def test_what_is_none_says_what_is_wrong(text: str, told: str):
    with pytest.raises(ValueError, match=told):
        read_sailing(text)


def test_every_reason_is_told_at_once():
    sailings = [ONE] * 2 + [Sailing(f"v{n}", SINCE, "2026-05-21T00:00:00.000000Z") for n in range(MOST_SAILINGS)]
    names = {one.vehicle: one.vehicle for one in sailings}
    reasons = reasons_not_to_look(sailings, names, "2026-05-22T00:00:00.000000Z")
    assert [reason.code for reason in reasons] == ["too_large", "wrong_form", *["wrong_form"] * MOST_SAILINGS]
    assert reasons_not_to_look([ONE], {"teasel": "Teasel"}, SINCE) == []
    assert reasons_not_to_look([], {}, SINCE)[0].code == "missing_field"
