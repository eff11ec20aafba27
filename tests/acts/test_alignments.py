"""Alignments: entered, fitted to directions, fitted to a run; judged, priced, and kept with their parts and residuals."""

import io

import pytest

from registry.acts.catalogue import ACTS
from tests.acts.stage import Stage
from tests.lived import MOUNTED, PAIRS, SHEET
from tests.samples import TRACK_GIVEN, given
from tests.tracks import track

RUN = {
    "files": [TRACK_GIVEN],
    "heading_north": "true",
    "reference_north": "true",
    "sound_speed_m_s": "1500",
    "rtk": True,
}
FIT = {"pairs": PAIRS, "source": "inclinometer and boresight", "north": "none"}


def seated(stage: Stage, use: str = "camera") -> None:
    stage.do("record_mounting", "9 07:00", bay="teasel A", **MOUNTED)
    stage.do("set_bay_use", "9 08:00", by="piet", bay="teasel A", use=use)
    stage.install("p1", "teasel A", "10 09:00")


def entered(stage: Stage, when: str = "10 10:00", **but: str):
    return stage.do("record_alignment", when, bay="teasel A", **(SHEET | but))


def parts(stage: Stage) -> dict:
    return {row.part: row for row in stage.rows("alignment_part")}


def test_an_entered_alignment_is_the_plate_and_the_unit_in_series(stages: Stage):
    seated(stages)
    entered(stages)
    row = stages.row("alignment")
    # Small angles nearly add: 0.35 + 0.05, sigma the root of 0.03² + 0.02² (by hand).
    assert float(row.yaw_deg) == pytest.approx(0.40, abs=0.002)
    assert float(row.yaw_sigma_deg) == pytest.approx(0.0361, abs=0.0002)
    assert (row.judged, row.verdict, row.tolerance_deg) == ("yaw", "within", "0.1")
    assert {name: part.found_by for name, part in parts(stages).items()} == {
        "plate_vehicle": "measured",
        "unit_plate": "certificate",
    }
    assert parts(stages)["unit_plate"].source == "sheet AC-7001"
    assert stages.unlike() == []


def test_what_is_left_in_the_unit_is_outside_and_priced(stage: Stage):
    seated(stage)
    entered(stage, in_unit_yaw_deg="0.00")
    row = stage.row("alignment")
    assert row.verdict == "outside"
    # tan(0.4° + 2 sigma) is 0.82 %, 8.2 m in each kilometre (trigonometry).
    assert float(row.cost_percent) == pytest.approx(0.824, abs=0.01)
    assert float(row.cost_m_per_km) == pytest.approx(8.24, abs=0.1)
    assert row.next.startswith("Enter +0.4° (0.4° to starboard) and read it back.")


def test_without_what_stands_in_the_unit_nothing_is_decided(stage: Stage):
    seated(stage)
    sent = stage.sent("record_alignment", "10 10:00", bay="teasel A", **SHEET)
    del sent["in_unit_yaw_deg"]
    stage.send(sent)
    row = stage.row("alignment")
    assert (row.verdict, row.left_deg, row.cost_percent) == ("cannot_decide", None, None)


def test_a_multibeam_is_judged_by_its_roll_too(stage: Stage):
    seated(stage, use="multibeam")
    entered(stage, in_unit_roll_deg="0.00")
    # 0.09° found with a sigma of 0.028° (0.02° each): less twice that it is under the 0.05° of a multibeam's roll.
    left = {row.judged: row.verdict for row in stage.rows("alignment_left")}
    assert left == {"yaw": "within", "roll": "cannot_decide"}
    assert stage.row("alignment").judged == "roll"


def test_without_a_mounting_there_is_no_heading_to_enter(stage: Stage):
    stage.install("p1", "teasel A", "10 09:00")
    for act, told in (("record_alignment", SHEET), ("fit_alignment", FIT)):
        assert stage.refusal(stage.sent(act, "10 10:00", bay="teasel A", **told)) == {"mounting_missing": "bay"}


def test_an_empty_bay_is_not_aligned(stage: Stage):
    stage.do("record_mounting", "9 07:00", bay="teasel A", **MOUNTED)
    for act, told in (
        ("record_alignment", SHEET),
        ("fit_alignment", FIT),
        ("fit_dvl_run", RUN),
        ("carry_alignment", {"faces_clean": True}),
    ):
        assert stage.refusal(stage.sent(act, "10 10:00", bay="teasel A", **told)) == {"not_installed": "bay"}


@pytest.mark.parametrize("north", ["grid", "magnetic"])
def test_north_is_nothing_without_what_makes_it_true(north: str, stage: Stage):
    seated(stage)
    told = SHEET | {"north": north}
    assert stage.refusal(stage.sent("record_alignment", "10 10:00", bay="teasel A", **told)) == {"wrong_form": None}
    entered(stage, north=north, north_told="declination 3.1° east, chart of 2025")
    assert stage.row("alignment").north == north


def test_a_fit_leaves_residuals_and_the_unit_on_its_plate(stages: Stage):
    seated(stages)
    stages.do("fit_alignment", "10 10:00", bay="teasel A", **FIT)
    assert len(stages.rows("alignment_residual")) == len(PAIRS)
    unit = parts(stages)["unit_plate"]
    assert (unit.found_by, unit.method) == ("derived", "direction-fit 2026-1")
    whole = stages.row("alignment")
    assert float(unit.yaw_deg) == pytest.approx(float(whole.yaw_deg) - 0.35, abs=0.01)
    assert stages.unlike() == []


def turned(pairs: list[dict]) -> list[dict]:
    """The same directions as a unit turned by half a turn about the vertical would see them."""
    flip = lambda text: text.removeprefix("-") if text.startswith("-") else f"-{text}"  # noqa: E731
    return [row | {"unit_x": flip(row["unit_x"]), "unit_y": flip(row["unit_y"])} for row in pairs]


LEANING = PAIRS[1] | {
    "unit_z": "0.2"
}  # the boresight eleven degrees off square to gravity, which it is not in the vehicle


@pytest.mark.parametrize(
    ("pairs", "told"),
    [
        (turned(PAIRS), "Entered: x to starboard, y aft, z down. Found: x to port, y forward, z down."),
        ([PAIRS[0], PAIRS[0]], "The directions lie within"),
        ([PAIRS[0], LEANING], "The directions do not agree with one rotation"),
    ],
)
def test_directions_that_fit_nothing_are_refused_with_the_reason(pairs: list[dict], told: str, stage: Stage):
    seated(stage)
    sent = stage.sent("fit_alignment", "10 10:00", bay="teasel A", **(FIT | {"pairs": pairs}))
    assert stage.refusal(sent) == {"cannot_compute": "pairs"}
    assert stage.answer(sent).reasons[0].message.startswith(told)


def test_a_run_gives_angle_and_scale_of_the_dvl_and_goes_with_the_pair(stages: Stage):
    seated(stages)
    done = stages.do("fit_dvl_run", "10 10:00", bay="teasel A", in_unit_dvl_deg="0.65", **RUN)
    dvl = parts(stages)["dvl_unit"]
    # The track was made with 0.65° to starboard and 0.4 % short (tests/tracks.py).
    assert abs(float(dvl.yaw_deg) - 0.65) < 3 * float(dvl.yaw_sigma_deg)
    assert abs(float(dvl.scale) - 0.004) < 4 * float(dvl.scale_sigma)
    assert (dvl.method, dvl.source) == ("dvl-fit 2026-1", "track run.csv, 4 of 4 legs used")
    assert {row.name for row in stages.rows("alignment_residual")} == {f"leg {number}" for number in (1, 2, 3, 4)}
    assert (stages.row("alignment").verdict, stages.row("attachment").name) == ("within", "run.csv")
    assert done.remarks[1].startswith("The DVL points 0.65°")
    assert stages.unlike() == []


def test_a_run_needs_no_mounting(stage: Stage):
    stage.install("p1", "teasel A", "10 09:00")
    stage.do("fit_dvl_run", "10 10:00", bay="teasel A", **RUN)
    assert list(parts(stage)) == ["dvl_unit"]
    assert stage.row("alignment").yaw_deg is None


def test_a_run_keeps_the_angles_of_before_and_what_was_left_of_them(stage: Stage):
    """A good DVL does not make a yaw good that nobody corrected."""
    seated(stage)
    entered(stage, in_unit_yaw_deg="0.00")
    stage.do("fit_dvl_run", "10 12:00", name="run", bay="teasel A", in_unit_dvl_deg="0.65", **RUN)
    row = stage.row("alignment", found_by="dvl_run")
    assert (row.judged, row.verdict) == ("yaw", "outside")
    assert {one.judged: one.verdict for one in stage.rows("alignment_left", alignment_id="run")} == {
        "dvl": "within",
        "yaw": "outside",
    }
    entered(stage, "10 13:00")
    assert stage.row("alignment", aligned_at="2026-05-10T13:00:00.000000Z").verdict == "within"


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"time_s,heading_deg\n0,1\n", "The recording lacks dvl_x"),
        (track(leg_s=40), "No leg can be used"),
    ],
)
def test_a_track_that_says_nothing_is_refused_with_the_reason(content: bytes, told: str, stage: Stage):
    seated(stage)
    stage.files.keep(io.BytesIO(content), "bad.csv")
    sent = stage.sent(
        "fit_dvl_run", "10 10:00", bay="teasel A", **(RUN | {"files": [given(content, "bad.csv", "text/csv")]})
    )
    assert stage.refusal(sent) == {"cannot_compute": "files"}
    assert told in stage.answer(sent).reasons[0].message


def test_a_track_that_was_never_sent_is_asked_for(stage: Stage):
    seated(stage)
    told = RUN | {"files": [TRACK_GIVEN | {"sha256": "0" * 64}]}
    assert stage.refusal(stage.sent("fit_dvl_run", "10 10:00", bay="teasel A", **told)) == {"unknown_file": "files.0"}


@pytest.mark.parametrize(("north", "missing"), [("grid", "latitude"), ("magnetic", "declination")])
def test_a_run_says_which_north_with_its_figures(north: str, missing: str, stage: Stage):
    seated(stage)
    told = RUN | {"reference_north": north}
    sent = stage.sent("fit_dvl_run", "10 10:00", bay="teasel A", **told)
    assert stage.refusal(sent) == {"wrong_form": None}
    assert missing in str([r.message for r in _reasons(stage, sent)])


def _reasons(stage: Stage, sent: dict) -> list:
    from registry.errors import Refused

    with pytest.raises(Refused) as caught:
        stage.send(sent)
    return list(caught.value.reasons)


def test_grid_north_turns_the_track_and_is_told(stage: Stage):
    seated(stage)
    place = {"lat_deg": "60", "lon_deg": "6", "utm_zone": 31}
    stage.do("fit_dvl_run", "10 10:00", bay="teasel A", **(RUN | {"reference_north": "grid"} | place))
    # Three degrees off the central meridian at 60° north: convergence 2.6° (Krüger series; practice table).
    assert float(parts(stage)["dvl_unit"].yaw_deg) == pytest.approx(0.65 + 2.6, abs=0.05)
    assert "transverse Mercator" in stage.row("alignment").north_told


@pytest.mark.parametrize(("act", "told"), [("record_alignment", SHEET), ("fit_alignment", FIT), ("fit_dvl_run", RUN)])
def test_what_was_computed_is_worked_out_again_from_the_entry(act: str, told: dict, stage: Stage):
    seated(stage)
    entry = stage.do(act, "10 10:00", bay="teasel A", **told).entry
    again = ACTS[act].again(entry)
    assert again
    assert again == {name: entry.decided[name] for name in again}
