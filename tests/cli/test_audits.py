"""Audits and movements at the command line."""

import json

from tests.web.doors import Doors


def test_audits_are_listed_and_one_is_told_with_where_to_walk_next(untouched: Doors):
    listed = untouched.cli("audits")
    assert "A-2, Burdock, opened 15 May 2026, 10:10 UTC by Anselm: 2 of 2 answered" in listed.output
    told = untouched.cli("audits", "A-2")
    assert "Burdock, bay B: not opened. sealed for the voyage" in told.output
    assert "Next: Burdock, bay A" in untouched.cli("audits", "A-1").output
    assert json.loads(untouched.cli("audits", "A-1", "--json").output)["answered"] == 0
    assert untouched.cli("audits", "A-7").exit_code == 1


def test_movements_are_listed_with_the_reminder(untouched: Doors):
    told = untouched.cli("movements").output
    assert "Spare hull: lent to them, Lowmoor Survey; due back on 30 June 2026. Piet answers for it." in told
    assert "at repair, Ardlune works, since 16 May 2026; no day of return was agreed." in told
    assert told.endswith("Reminder only. Ask your export officer.\n")
    assert json.loads(untouched.cli("movements", "--json").output)["overdue"] == 0
    assert untouched.cli("movements", "--at", "2026-05-01T00:00:00Z").output == "Nothing is out.\n"
