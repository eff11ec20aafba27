"""The axis and sign check: right, wrong with the entry that explains it, cannot tell; one stay each, and a hold when wrong."""

import pytest

from registry.models.standings import standings
from tests.acts.stage import Stage
from tests.lived import MOUNTED, RIGHT

WRONG = {"bow_down": "pitch_up", "roll_right": "roll_left", "turn": "rises"}


def seated(stage: Stage, mounted: bool = True) -> None:
    if mounted:
        stage.do("record_mounting", "9 07:00", bay="teasel A", **MOUNTED)
    stage.install("p1", "teasel A", "10 09:00")


def checked(stage: Stage, when: str = "10 10:00", **shown: str):
    return stage.do("record_axis_check", when, bay="teasel A", **(RIGHT | shown))


def test_right_signs_are_kept_with_the_stay_and_hold_nothing(stages: Stage):
    seated(stages)
    checked(stages)
    row = stages.row("axis_check")
    assert (row.verdict, row.explained_by, row.method) == ("right", None, "axis-signs 2026-1")
    assert row.installation_id == stages.row("installation").id
    assert stages.rows("hold") == []
    assert stages.unlike() == []


def test_wrong_signs_name_the_entry_that_explains_them_and_hold_the_pair(stages: Stage):
    seated(stages)
    done = checked(stages, **WRONG)
    row = stages.row("axis_check")
    assert (row.verdict, row.explained_by) == ("wrong", "port forward down")
    assert row.told == "Entered: x to starboard, y aft, z down. Found: x to port, y forward, z down."
    hold = stages.row("hold")
    assert (hold.pairing_id, hold.cause) == (stages.ids["p1"], "suspect")
    assert hold.reason.startswith("Axis and sign check, wrong: Entered: x to starboard")
    assert done.remarks[0].startswith("Wrong. Entered:")
    assert stages.unlike() == []


@pytest.mark.parametrize(
    ("shown", "told"),
    [
        ({"turn": "falls"}, "The heading fell in a turn clockwise"),
        ({"bow_down": "pitch_up"}, "No mounting explains these signs"),
    ],
)
def test_wrong_signs_that_no_entry_explains_say_so(shown: dict, told: str, stage: Stage):
    seated(stage)
    checked(stage, **shown)
    row = stage.row("axis_check")
    assert (row.verdict, row.explained_by) == ("wrong", None)
    assert row.told.startswith(told)


def test_a_unit_that_shows_itself_upside_down_is_wrong_too(stage: Stage):
    seated(stage)
    checked(stage, level="upside_down")
    assert stage.row("axis_check").explained_by == "port aft up"


@pytest.mark.parametrize("shown", [{"roll_right": "not_done"}, {"bow_down": "nothing"}, {"turn": "not_done"}])
def test_without_all_three_motions_nothing_can_be_told(shown: dict, stage: Stage):
    seated(stage)
    checked(stage, **shown)
    assert stage.row("axis_check").verdict == "cannot_tell"
    assert stage.rows("hold") == []


def test_without_a_mounting_the_signs_are_judged_and_no_entry_is_named(stage: Stage):
    seated(stage, mounted=False)
    checked(stage)
    assert stage.row("axis_check").told == "The three signs are right. How the bay is mounted is not entered."
    checked(stage, "10 11:00", **WRONG)
    told = stage.row("axis_check", verdict="wrong").told
    assert (
        told
        == "What the unit gives out is turned: its forward, starboard and down point like x aft, y to port, z down."
    )


def test_an_empty_bay_has_nothing_to_check(stage: Stage):
    assert stage.refusal(stage.sent("record_axis_check", "10 10:00", bay="teasel A", **RIGHT)) == {
        "not_installed": "bay"
    }
    seated(stage)
    stage.remove("p1", "teasel A", "10 11:00")
    assert stage.refusal(stage.sent("record_axis_check", "10 12:00", bay="teasel A", **RIGHT)) == {
        "not_installed": "bay"
    }


def test_a_check_entered_late_belongs_to_the_stay_of_its_instant(stage: Stage):
    seated(stage)
    stage.remove("p1", "teasel A", "10 11:00")
    stage.install("p1", "teasel A", "10 12:00")
    checked(stage, "10 10:30")
    first = min(stage.rows("installation_span"), key=lambda row: row.installed_at)
    assert stage.row("axis_check").installation_id == first.installation_id


@pytest.mark.parametrize("tilt", ["4.9", "61", "0"])
def test_a_tilt_that_tells_nothing_is_refused(tilt: str, stage: Stage):
    seated(stage)
    assert stage.refusal(stage.sent("record_axis_check", "10 10:00", bay="teasel A", tilt_deg=tilt, **RIGHT)) == {
        "wrong_form": "tilt_deg"
    }


def test_the_verdict_is_worked_out_again_from_the_entry_alone(stage: Stage):
    from registry.acts.catalogue import ACTS

    seated(stage)
    entry = checked(stage, **WRONG).entry
    again = ACTS["record_axis_check"].again(entry)
    assert again == {name: entry.decided[name] for name in again}
    assert again["verdict"] == "wrong"


def outdated(stage: Stage) -> str:
    installation = stage.row("installation").id
    return standings(stage.db, [installation], "2026-05-20T12:00:00.000000Z")[installation].check.outdated


def test_other_firmware_asks_for_the_check_again_and_the_same_does_not(stages: Stage):
    stages.do("record_firmware", "9 09:00", half="p1 e", firmware="2.4")
    seated(stages)
    checked(stages)
    assert outdated(stages) == ""
    stages.do("record_firmware", "11 09:00", half="p1 e", firmware="2.4")
    assert outdated(stages) == ""
    # The first reading of a half tells of no change.
    stages.do("record_firmware", "11 10:00", half="p1 s", firmware="1.0")
    assert outdated(stages) == ""
    stages.do("record_firmware", "12 09:00", half="p1 e", firmware="2.5")
    assert outdated(stages) == "Other firmware was read on 12 May 2026, 09:00 UTC."
    checked(stages, "12 10:00")
    assert outdated(stages) == ""


def test_another_orientation_asks_for_the_check_again_and_finer_angles_do_not(stage: Stage):
    seated(stage)
    checked(stage)
    stage.do("record_mounting", "11 09:00", bay="teasel A", **(MOUNTED | {"yaw_deg": "0.36"}))
    assert outdated(stage) == ""
    stage.do("record_mounting", "12 09:00", bay="teasel A", **(MOUNTED | {"orientation": "port forward down"}))
    assert outdated(stage) == "The mounting was entered anew for 12 May 2026, 09:00 UTC: x to port, y forward, z down."
