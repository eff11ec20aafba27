"""Surveys of bench marks, one in force at a time."""

from registry.acts.act import ACTS
from tests.acts.stage import Stage
from tests.lived import PROCEDURE

EARLY = "2025-03-01T09:00:00Z"


def test_a_new_survey_takes_the_place_of_the_one_before(stage: Stage):
    old = stage.mark().entry
    new = stage.mark("120.50", "10 09:00").entry
    rows = {row.id: row for row in stage.rows("bench_mark")}
    assert (rows[old.id].ended_at, rows[old.id].end_reason) == (new.at, "surveyed anew")
    assert rows[new.id].ended_at is None
    assert stage.unlike() == []


def test_a_survey_cannot_begin_before_the_one_in_force(stage: Stage):
    stage.mark()
    told = {
        "site": "shed",
        "mark": "East wall",
        "heading_deg": "1",
        "north": "true",
        "sigma_deg": "0.1",
        "how": "x",
        "surveyed_on": "2025-02-01",
    }
    assert set(stage.refused("survey_mark", EARLY, by="vera", **told)) == {"overlaps_history"}


def test_grid_north_is_made_true_and_worked_out_again(stage: Stage):
    entry = stage.mark("88.20", north="grid", to_true_deg="-1.46", north_source="grid of 2020").entry
    assert stage.row("bench_mark").true_deg == "86.74"
    assert ACTS["survey_mark"].again(entry) == {"true_deg": "86.74"} == {"true_deg": entry.decided["true_deg"]}


def test_a_north_without_its_angle_is_refused(stage: Stage):
    told = {
        "site": "shed",
        "mark": "Rail",
        "heading_deg": "88",
        "north": "magnetic",
        "sigma_deg": "0.1",
        "how": "compass",
        "surveyed_on": "2026-05-01",
    }
    assert set(stage.refused("survey_mark", by="vera", **told)) == {"missing_field"}


def test_a_mark_that_ended_is_used_no_more(stage: Stage):
    stage.mark()
    stage.do("end_mark", "9 09:00", by="vera", mark="mark", reason="painted over")
    told = {
        "pair": "p1",
        "mark": "mark",
        **PROCEDURE,
        "tolerance_deg": "0.2",
        "found_deg": "120",
        "u_deg": "0.02",
    }
    assert set(stage.refused("record_heading_check", by="vera", **told)) == {"overlaps_history"}
    assert set(stage.refused("end_mark", "10 09:00", by="vera", mark="mark", reason="again")) == {"already_so"}


def test_a_mark_is_found_by_the_name_it_has_at_its_site(stage: Stage):
    stage.mark()
    told = {
        "pair": "p1",
        **PROCEDURE,
        "tolerance_deg": "0.2",
        "found_deg": "120",
        "u_deg": "0.02",
    }
    stage.do("record_heading_check", by="vera", mark="North shed, East wall", **told)
    assert set(stage.refused("record_heading_check", by="vera", mark="West wall 9", **told)) == {"unknown_label"}
