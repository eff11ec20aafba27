"""The mounting check: agrees, contradicts naming what explains it, cannot decide; typed or recorded, and what it stops."""

import io

import pytest

from registry.acts.catalogue import ACTS
from registry.domain.fit import findings
from registry.models.standings import standings
from registry.queries.fleet import vehicles_at
from tests.acts.stage import Stage
from tests.lived import MOUNTED, POSES
from tests.samples import POSES_GIVEN

LEVEL = POSES[:1]
AT = "2026-05-20T12:00:00.000000Z"


def seated(stage: Stage, mounted: bool = True, **told: str) -> None:
    if mounted:
        stage.do("record_mounting", "9 07:00", bay="teasel A", **(MOUNTED | told))
    stage.install("p1", "teasel A", "10 09:00")


def check(stage: Stage, when: str = "10 10:00", **told):
    return stage.do("record_mounting_check", when, bay="teasel A", **({"poses": POSES} | told))


def stops(stage: Stage) -> list[tuple[str, str]]:
    state = vehicles_at(stage.db, AT, only=[stage.ids["teasel"]])[0]
    return [(one.code, one.told) for one in state.findings if one.code == "mounting_contradicted"]


def test_poses_that_fit_the_entry_agree_and_say_how_far_the_next_is(stages: Stage):
    seated(stages)
    check(stages)
    row = stages.row("mounting_check")
    assert (row.verdict, row.best, row.still_open) == ("agrees", "starboard aft down", "starboard aft down")
    assert row.told.startswith("The unit sits x to starboard, y aft, z down, as entered.")
    # Against arithmetic: neighbours at a tilt of 10° are sqrt(2) g sin 10° = 2.41 m/s² apart.
    assert float(row.runner_up_residual_m_s2) == pytest.approx(2.41, abs=0.02)
    assert row.installation_id == stages.row("installation").id
    assert sorted((pose.number, pose.pitch_deg) for pose in stages.rows("mounting_pose")) == [(1, "0"), (2, "10")]
    assert stops(stages) == []
    assert stages.unlike() == []


def test_poses_that_contradict_name_the_entry_that_would_explain_them_and_stop(stages: Stage):
    seated(stages, orientation="port forward down")
    done = check(stages)
    row = stages.row("mounting_check")
    assert (row.verdict, row.still_open) == ("contradicts", "starboard aft down")
    assert "Found: x to starboard, y aft, z down. That entry would explain the poses." in row.told
    assert done.remarks[0].startswith("Contradicts. Entered: x to port, y forward, z down.")
    ((_code, told),) = stops(stages)
    assert "correct the mounting to x to starboard, y aft, z down" in told


def test_once_the_entry_is_corrected_the_same_poses_agree(stage: Stage):
    seated(stage, orientation="port forward down")
    check(stage)
    stage.do("record_mounting", "11 09:00", bay="teasel A", **MOUNTED)
    assert stops(stage) == []
    standing = standings(stage.db, [stage.row("installation").id], AT)[stage.row("installation").id]
    assert standing.mounting.now == "agrees"
    assert standing.mounting.since.endswith("the same poses say: agrees.")
    # and entered wrong again, they contradict
    stage.do("record_mounting", "12 09:00", bay="teasel A", **(MOUNTED | {"orientation": "forward starboard down"}))
    assert "The bay is entered as x forward" in stops(stage)[0][1]


def test_a_level_pose_alone_never_proves_how_a_unit_sits(stage: Stage):
    seated(stage)
    check(stage, poses=LEVEL)
    row = stage.row("mounting_check")
    assert row.verdict == "cannot_decide"
    assert len(row.still_open.split("; ")) == 4
    assert "A level pose cannot tell which way a unit is turned about the vertical." in row.told
    assert row.next.startswith("Raise the bow by 5° or more, record 60 s")
    assert stops(stage) == []


def test_a_level_pose_does_rule_out_a_unit_entered_upside_down(stage: Stage):
    seated(stage, orientation="forward port up")
    check(stage, poses=LEVEL)
    row = stage.row("mounting_check")
    assert row.verdict == "contradicts" and "The poses rule that out." in row.told


def test_a_check_ends_with_the_stay(stage: Stage):
    seated(stage, orientation="port forward down")
    check(stage)
    stage.remove("p1", "teasel A", "10 11:00")
    stage.install("p1", "teasel A", "10 12:00")
    assert stops(stage) == []


def test_a_recording_is_worked_out_before_the_lock_and_kept_for_strict_checks(stages: Stage):
    seated(stages)
    entry = check(stages, poses=[], files=[POSES_GIVEN], turn_deg_s="6").entry
    assert [(one["name"], one["pitch_deg"]) for one in entry.decided["measured"]["poses"]] == [
        ("level", "0.000"), ("bow_up", "8.000"),
    ]  # fmt: skip
    assert entry.decided["verdict"] == "agrees"
    again = ACTS["record_mounting_check"].again(entry)
    assert again == {name: entry.decided[name] for name in again}
    assert stages.row("attachment").sha256 == POSES_GIVEN["sha256"]


def test_a_turn_that_tells_other_axes_than_the_forces_is_explained_by_no_entry(stage: Stage):
    seated(stage)
    check(stage, turn_deg_s="5", rate_x_deg_s="0", rate_y_deg_s="0", rate_z_deg_s="-5")
    row = stage.row("mounting_check")
    assert (row.verdict, row.still_open) == ("contradicts", "")
    assert "the gyros tell other axes than the accelerometers" in row.told
    assert stops(stage)


def test_without_an_entry_it_says_what_was_found_and_that_nobody_entered_it(stage: Stage):
    seated(stage, mounted=False)
    check(stage)
    row = stage.row("mounting_check")
    assert row.verdict == "cannot_decide"
    assert row.told.startswith("Found: x to starboard, y aft, z down. Nobody entered how the bay is mounted.")


@pytest.mark.parametrize(
    ("told", "code"),
    [
        ({"poses": []}, "wrong_form"),
        ({"files": [POSES_GIVEN]}, "wrong_form"),
        ({"turn_deg_s": "5"}, "wrong_form"),
        ({"poses": [LEVEL[0] | {"force_z_m_s2": "-1"}]}, "cannot_compute"),  # in g
        ({"poses": [LEVEL[0] | {"force_z_m_s2": "-9"}]}, "cannot_compute"),  # not gravity
        ({"poses": POSES, "moving_deck": True}, "cannot_compute"),  # 60 s on a moving deck
        ({"poses": [], "files": [POSES_GIVEN]}, "cannot_compute"),  # a turn without its rate
    ],
)
def test_what_proves_nothing_is_refused(told: dict, code: str, stage: Stage):
    seated(stage)
    refused = stage.refusal(
        stage.sent("record_mounting_check", "10 10:00", bay="teasel A", **({"poses": POSES} | told))
    )
    assert list(refused) == [code]


def test_a_recording_of_a_unit_that_moved_is_refused(stage: Stage):
    rows = ["time_s,phase,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2,pitch_deg,roll_deg"]
    rows += [f"{n},level,{(-1) ** n},0,-9.81,0,0" for n in range(30)]
    file = stage.files.keep(io.BytesIO("\n".join(rows).encode()), "moved.csv").file._asdict()
    seated(stage)
    sent = stage.sent("record_mounting_check", "10 10:00", bay="teasel A", files=[file])
    assert stage.refusal(sent) == {"cannot_compute": "files"}


def test_nothing_is_found_against_a_bay_without_a_check():
    from registry.domain.fit_facts import BayFacts, VehicleFacts

    bays = (BayFacts("b", "A", "p1", "2026-05-10T09:00:00.000000Z"),)
    assert "mounting_contradicted" not in {one.code for one in findings(VehicleFacts("v", "Teasel", bays))}
