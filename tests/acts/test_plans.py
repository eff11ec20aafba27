"""Figures of the plan: set from a day on, judged by their own day, and dropped again."""

import pytest

from tests.acts.stage import Stage

OWN = {"figure": "strap_below_mohm", "site": "shed", "reason": "the testers are set to it", "source": "plan, issue 3"}
BENCH = {"strap_mohm": "12", "surface_mohm": "40", "field_kv_m": "0.4", "meters": ["BT-04", "RM-1", "FM-2"]}


def set_to(stage: Stage, value: str, when: str, **more):
    return stage.do("set_plan_figure", when, by="oda", value=value, **OWN | more)


def test_readings_are_judged_by_the_plan_of_their_own_day(stages: Stage):
    set_to(stages, "10", "11 00:00")
    late = stages.do("sign_esd", "10 09:00", station="bench", **BENCH)
    now = stages.do("sign_esd", "11 09:00", station="bench", **BENCH)
    assert [done.entry.decided["verdict"] for done in (late, now)] == ["pass", "fail"]
    rows = {row.quantity: row for row in stages.rows("esd_reading", esd_signoff_id=now.entry.id)}
    assert (rows["strap_mohm"].below, rows["surface_mohm"].below) == ("10", "1000")
    assert "plan, issue 3 (the site’s plan since 11 May 2026)" in rows["strap_mohm"].limit_source
    assert stages.unlike() == []


def test_another_site_keeps_its_own(stage: Stage):
    set_to(stage, "10", "9 00:00", site="vessel")
    assert stage.do("sign_esd", "10 09:00", station="bench", **BENCH).entry.decided["verdict"] == "pass"
    set_to(stage, "11", "9 01:00", site=None)
    assert stage.do("sign_esd", "10 10:00", station="bench", **BENCH).entry.decided["verdict"] == "fail"


def test_a_value_entered_late_ends_where_the_next_begins(stages: Stage):
    second, first = set_to(stages, "10", "11 00:00"), set_to(stages, "20", "9 00:00")
    row = stages.row("plan_figure", id=first.entry.id)
    assert (row.ended_at, row.end_reason) == ("2026-05-11T00:00:00.000000Z", "another value was set")
    assert stages.row("plan_figure", id=second.entry.id).ended_at is None
    assert stages.unlike() == []


def test_going_back_to_the_default(stages: Stage):
    set_to(stages, "10", "9 00:00")
    dropped = {"figure": "strap_below_mohm", "site": "shed", "reason": "new testers"}
    stages.do("drop_plan_figure", "10 08:00", by="oda", **dropped)
    assert stages.do("sign_esd", "10 09:00", station="bench", **BENCH).entry.decided["verdict"] == "pass"
    assert stages.row("plan_figure").end_reason == "new testers"
    assert stages.refusal(stages.sent("drop_plan_figure", "11 08:00", **dropped), "oda") == {"already_so": "figure"}
    assert stages.unlike() == []


REFUSED = {
    "no value": ({"value": "much"}, {"wrong_form": "value"}),
    "what it is already": ({"value": "10"}, {"already_so": "value"}),
    "at the very instant": (
        {"value": "12", "happened_at": "2026-05-09T00:00:00Z"},
        {"overlaps_history": "happened_at"},
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_figure_is_refused(name: str, stage: Stage):
    set_to(stage, "10", "9 00:00")
    told, reasons = REFUSED[name]
    sent = stage.sent("set_plan_figure", "10 00:00", **OWN | {"value": "12"}) | told
    assert stage.refusal(sent, "oda") == reasons


def test_hours_of_a_sign_off_months_of_training_and_a_leak_limit_follow_the_plan(stage: Stage):
    for figure, value, site in (
        ("signoff_holds_h", "8", "shed"),
        ("refresher_months", "6", None),
        ("leak_below_mbar", "1", "shed"),
    ):
        set_to(stage, value, "9 00:00", figure=figure, site=site)
    signed = stage.sign("ida", "10 09:00")
    assert stage.row("esd_signoff", id=signed.entry.id).good_to_at == "2026-05-10T17:00:00.000000Z"
    told = {"person": "ida", "subject": "lifting", "trained_on": "2026-05-02"}
    trained = stage.do("record_training", "10 09:00", by="maren", **told)
    assert stage.row("training", id=trained.entry.id).good_to_on == "2026-11-02"
    leak = {"start_mbar": "750.0", "start_c": "20.0", "end_mbar": "751.5", "end_c": "20.0", "hold_min": "30"}
    tested = stage.do("record_leak_test", "10 09:30", housing="teasel forward", **leak)
    assert (tested.entry.decided["verdict"], tested.entry.decided["limit_mbar"]) == ("does_not", "1")
    stronger = stage.do("record_leak_test", "10 10:30", housing="teasel forward", limit_mbar="3", **leak)
    assert stronger.entry.decided["verdict"] == "holds"
