"""An axis and sign check from a recording: the signs are worked out before the lock, and kept with what they rest on."""

import io

from registry.acts.catalogue import ACTS
from tests.acts.stage import Stage
from tests.acts.test_axis_checks import seated
from tests.samples import MOTIONS, MOTIONS_GIVEN


def kept(stage: Stage, content: bytes, name: str = "motions.csv") -> dict:
    return stage.files.keep(io.BytesIO(content), name).file._asdict()


def recorded(stage: Stage, file: dict, when: str = "10 10:00"):
    return stage.do("record_axis_recording", when, bay="teasel A", files=[file])


def test_right_signs_of_a_recording_are_a_check_like_any_other(stages: Stage):
    seated(stages)
    recorded(stages, MOTIONS_GIVEN)
    row = stages.row("axis_check")
    assert (row.verdict, row.bow_down, row.roll_right, row.turn, row.level) == (
        "right", "pitch_down", "roll_right", "rises", "level",
    )  # fmt: skip
    assert row.method == "axis-signs 2026-1; motion-signs 2026-1"
    assert "From a recording: bow down: pitch −9.0°" in row.told
    motions = {one.motion: one for one in stages.rows("axis_check_motion")}
    # Against the recording as it was invented: bow down by 9°, rolled right by 8°, 0.06° of noise, 80 rows.
    assert abs(float(motions["bow_down"].pitch_deg) + 9) < 0.03
    assert abs(float(motions["roll_right"].roll_deg) - 8) < 0.03
    assert float(motions["level"].roll_sigma_deg) < 0.03
    assert stages.unlike() == []


def test_a_reversed_roll_is_wrong_and_holds_the_pair(stage: Stage):
    seated(stage)
    header, *rows = MOTIONS.decode().split("\n")[1:-1]
    turned = [",".join([t, phase, str(-float(roll)), str(-float(pitch)), heading]) for t, phase, roll, pitch, heading in (row.split(",") for row in rows)]  # fmt: skip
    recorded(stage, kept(stage, "\n".join([header, *turned]).encode()))
    row = stage.row("axis_check")
    assert (row.verdict, row.explained_by) == ("wrong", "port forward down")
    assert stage.row("hold").cause == "suspect"


def test_a_motion_that_is_too_small_is_refused_and_nothing_kept(stage: Stage):
    seated(stage)
    small = MOTIONS.replace(b",bow_down,", b",idle,").replace(b",level,", b",bow_down,", 1)
    sent = stage.sent("record_axis_recording", "10 10:00", bay="teasel A", files=[kept(stage, small)])
    assert stage.refusal(sent) == {"cannot_compute": "files"}
    assert stage.rows("axis_check") == []


def test_the_verdict_is_worked_out_again_from_what_is_kept(stage: Stage):
    seated(stage)
    entry = recorded(stage, MOTIONS_GIVEN).entry
    again = ACTS["record_axis_recording"].again(entry)
    assert again == {name: entry.decided[name] for name in again}
    assert again["signs"]["tilt_deg"] == entry.decided["signs"]["tilt_deg"]
