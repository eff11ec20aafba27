"""Intervals: proposed by rule, approved by name; hours that run."""

import pytest

from tests.acts.stage import Stage
from tests.lived import PROCEDURE


@pytest.fixture
def checked(stage: Stage) -> Stage:
    stage.mark()
    stage.verify("p1", "9 09:00", "120.03")
    return stage


def approved(stage: Stage, days: int, when: str = "10 09:00", **more):
    return stage.do("approve_interval", when, by="rosa", pair="p1", days=days, words="the rule", **more).entry


def test_within_eighty_percent_of_the_tolerance_the_rule_proposes_a_quarter_more(checked: Stage):
    """Case ST-1 of the calibration cases: 365 days and a deviation of 15 % of the tolerance give 456 days."""
    entry = approved(checked, 456)
    assert (entry.decided["in_force_days"], entry.decided["proposed_days"]) == (365, 456)
    assert checked.row("verification_interval").approved_by_id == checked.ids["rosa"]


def test_no_longer_interval_than_the_rule_proposes(checked: Stage):
    told = {"pair": "p1", "days": 457, "words": "it looks well"}
    refused = checked.refused("approve_interval", by="rosa", **told)
    assert refused == {"interval_too_long": "457 days are longer than the 365 in force, and the rule proposes 456."}


def test_a_pair_without_a_number_gets_no_longer_interval_and_may_get_a_shorter_one(stage: Stage):
    told = {"pair": "p1", "words": "a hard season"}
    assert set(stage.refused("approve_interval", by="rosa", days=366, **told)) == {"interval_too_long"}
    stage.do("approve_interval", by="rosa", days=90, **told)


def test_outside_the_tolerance_the_rule_halves_it(stage: Stage):
    """Case ST-4 of the calibration cases: found outside, 365 days become 182. The pair was adjusted, and is in use."""
    stage.mark()
    stage.verify("p1", "9 09:00", "120.50", left_deg="120.00")
    assert approved(stage, 100).decided["proposed_days"] == 182


def test_without_as_found_the_interval_never_grows(stage: Stage):
    """Case ST-9 of the calibration cases."""
    stage.mark()
    told = {
        "pair": "p1",
        "mark": "mark",
        **PROCEDURE,
        "tolerance_deg": "0.2",
        "left_deg": "120",
        "u_deg": "0.02",
    }
    stage.do("record_heading_check", "9 09:00", by="vera", **told)
    assert approved(stage, 365).decided["proposed_days"] == 365
    assert set(stage.refused("approve_interval", "11 09:00", by="rosa", pair="p1", days=366, words="more")) == {
        "interval_too_long"
    }


def test_an_approval_takes_the_place_of_the_one_before(checked: Stage):
    first, second = approved(checked, 300), approved(checked, 200, "11 09:00")
    rows = {row.id: row for row in checked.rows("verification_interval")}
    assert (rows[first.id].ended_at, rows[second.id].ended_at) == (second.at, None)
    assert set(checked.refused("approve_interval", "11 09:00", by="rosa", pair="p1", days=100, words="late")) == {
        "overlaps_history"
    }
    assert checked.unlike() == []


def test_a_counter_does_not_run_back(stage: Stage):
    stage.do("record_hours", "9 09:00", pair="p1", hours_run="120.5")
    assert set(stage.refused("record_hours", "10 09:00", pair="p1", hours_run="120.4")) == {"overlaps_history"}
    stage.do("record_hours", "8 09:00", pair="p1", hours_run="100")
