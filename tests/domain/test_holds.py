"""Holds: what stands against putting in, and who may release."""

import pytest

from registry.domain.holds import CAUSES, Hold, reasons_not_to_release, reasons_on_hold

HOLD = Hold("h", "pair P1", "wet", "took water", "2026-05-10T09:00:00.000000Z", "ida", "yusuf")


def test_every_open_hold_stands_against_it():
    told = reasons_on_hold([HOLD, HOLD], "sensor")
    assert [(reason.code, reason.field) for reason in told] == [("on_hold", "sensor")] * 2
    assert told[0].message == "Pair P1 is on hold since 10 May 2026: took water"
    assert reasons_on_hold([], "sensor") == []


@pytest.mark.parametrize(("by", "at", "codes"), [
    ("rosa", "2026-05-10T09:00:00.000001Z", []),
    ("rosa", "2026-05-10T09:00:00.000000Z", ["overlaps_history"]),
    ("ida", "2026-05-11T09:00:00.000000Z", ["own_work"]),
    ("yusuf", "2026-05-11T09:00:00.000000Z", ["own_work"]),
    ("ida", "2026-05-09T09:00:00.000000Z", ["own_work", "overlaps_history"]),
])  # fmt: skip
def test_who_may_release_it_and_when(by: str, at: str, codes: list[str]):
    assert [reason.code for reason in reasons_not_to_release(HOLD, by, at)] == codes


def test_every_cause_has_words():
    assert all(CAUSES.values())
