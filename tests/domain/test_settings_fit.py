"""What settings, firmware and closing sheets say against deploying: one test a finding, and what clears each."""

from dataclasses import replace

import pytest

from registry.domain.settings_fit import Loaded, ReadBack, Runs, SettingsStanding, findings_of_settings

T1, T2, T3 = (f"2026-05-1{day}T09:00:00.000000Z" for day in (1, 2, 3))
READ = ReadBack("r", "agrees", "The same.", "Nothing to change.", T3, 30)
GOOD = SettingsStanding("s2", 2, T1, 10, load=Loaded("s2", 2, T2, 20), read_back=READ)


def told(one: SettingsStanding | None) -> list[tuple[str, str, str]]:
    found = findings_of_settings(one, "A", "bay-a", "p1", T1)
    return [(f.severity, f.code, f.offer.act if f.offer else "") for f in found]


def test_a_loaded_sheet_that_was_read_back_has_nothing_against_it():
    assert told(GOOD) == [] == told(None)


@pytest.mark.parametrize(
    ("one", "finding"),
    [
        (SettingsStanding(), ("note", "no_settings_sheet", "write_settings_sheet")),
        (SettingsStanding(demanded=True), ("stops", "no_settings_sheet", "write_settings_sheet")),
        (replace(GOOD, load=None), ("stops", "settings_not_loaded", "load_settings")),
        (replace(GOOD, load=Loaded("s1", 1, T2, 20)), ("stops", "settings_changed", "load_settings")),
        (replace(GOOD, load=Loaded("s2", 2, T2, 20, T3)), ("stops", "settings_changed", "load_settings")),
        (replace(GOOD, read_back=None), ("care", "not_read_back", "record_readback")),
        (replace(GOOD, read_back=replace(READ, read_at=T1, seq=9)), ("care", "not_read_back", "record_readback")),
        (replace(GOOD, read_back=replace(READ, verdict="cannot_tell")), ("care", "not_read_back", "record_readback")),
        *(
            (replace(GOOD, read_back=replace(READ, verdict=verdict)), ("stops", "readback_differs", "record_readback"))
            for verdict in ("other_version", "other_bay", "no_sheet")
        ),
        (replace(GOOD, read_back=replace(READ, serials="Other.")), ("stops", "other_serials", "record_sighting")),
        (replace(GOOD, runs=(Runs("electronics", "e", "3.1", False, 7),)), ("stops", "firmware_not_permitted", "record_firmware")),
        (replace(GOOD, runs=(Runs("electronics", "e", None, False),)), ("care", "firmware_not_read", "record_firmware")),
    ],
)  # fmt: skip
def test_each_finding_stands_alone_with_the_act_that_clears_it(one: SettingsStanding, finding: tuple[str, str, str]):
    assert told(one) == [finding]


def test_no_list_asks_nothing_of_firmware_and_a_permitted_one_is_well():
    for permitted in (None, True):
        assert told(replace(GOOD, runs=(Runs("sensor", "s", None, permitted),))) == []


def test_a_read_back_in_the_minute_of_the_load_counts_when_it_was_entered_later():
    same = replace(GOOD, read_back=replace(READ, read_at=T2, seq=21))
    assert told(same) == []
    assert told(replace(same, read_back=replace(READ, read_at=T2, seq=19))) == [
        ("care", "not_read_back", "record_readback")
    ]
