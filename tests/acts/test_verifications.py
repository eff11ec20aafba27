"""Heading checks, static tests, checks against the ship, and their review: verdicts, what a fail does, what is refused."""

import json
import math
from statistics import NormalDist

import pytest

from registry.acts.act import ACTS
from registry.acts.verify import verify
from registry.errors import Refused
from tests.acts.stage import Stage
from tests.faults.conftest import KEY
from tests.samples import NOTE_GIVEN, PHOTO_GIVEN, REST_GIVEN

PROCEDURE = {"procedure": "WP-12", "issue": "3"}
SHIP = {"unit_heading_deg": "0.3", "ship_heading_deg": "359.9", "tolerance_deg": "1", **PROCEDURE}


@pytest.fixture
def world(stage: Stage) -> Stage:
    return stage


@pytest.fixture
def marked(stage: Stage) -> Stage:
    stage.mark()
    return stage


def decided(done) -> dict:
    return done.entry.decided


@pytest.mark.parametrize(
    ("rule", "verdict"), [("simple", "pass"), ("guarded", "fail"), ("four-way", "conditional_pass")]
)
def test_the_rule_fixed_before_decides_what_the_same_reading_is(marked: Stage, rule: str, verdict: str):
    """0.07° against ± 0.10° with U = 0.04°: inside, but not by U (ILAC-G8:09/2019, 4.2). The chance that it conforms is
    Φ(1.5) = 0.9332, off a table of the normal distribution."""
    found = decided(
        marked.verify("p1", found_deg="120.07", u_deg="0.019595918", tolerance_deg="0.10", review=False, rule=rule)
    )
    assert marked.ids["mark"]
    assert found["verdict"] == verdict
    (line,) = found["lines"]
    assert line["as_found"] == pytest.approx(0.07)
    assert line["u"] == pytest.approx(0.028, abs=1e-3)  # root-sum-square with 0.02 of the mark
    assert line["p_conform"] == pytest.approx(NormalDist().cdf(0.03 / line["u"]), abs=1e-9)


def test_the_chance_of_conformance_is_that_of_a_table(world: Stage):
    world.mark(sigma_deg="0.000001")
    found = decided(world.verify("p1", found_deg="120.07", u_deg="0.02", tolerance_deg="0.10", rule="simple"))
    assert found["lines"][0]["p_conform"] == pytest.approx(0.9332, abs=1e-4)


def test_a_heading_is_compared_across_north_and_made_true(world: Stage):
    world.mark(heading_deg="359.90")
    told = {"north": "magnetic", "to_true_deg": "1.50"}
    found = decided(world.verify("p1", found_deg="358.55", **told))
    assert found["lines"][0]["as_found"] == pytest.approx(0.15)
    assert found["lines"][0]["measured"] == pytest.approx(0.05)


@pytest.mark.parametrize(("tolerance", "coarse"), [("0.12", False), ("0.119", True)])
def test_a_mark_that_is_known_too_coarsely_is_told_of(marked: Stage, tolerance: str, coarse: bool):
    """To a third of the tolerance (common practice, no source): ± 2 × 0.02° is a third of 0.12°."""
    found = decided(marked.verify("p1", found_deg="120.00", tolerance_deg=tolerance, review=False))
    assert ("survey it better" in found["told"]) is coarse


def test_as_left_is_judged_and_as_found_is_kept(marked: Stage):
    found = decided(marked.verify("p1", found_deg="121.00", left_deg="120.01"))
    (line,) = found["lines"]
    assert (line["as_found"], line["as_left"]) == (pytest.approx(1.0), pytest.approx(0.01))
    assert (found["verdict"], found["holds"]) == ("pass", [])


def test_an_uncertainty_as_wide_as_the_tolerance_decides_nothing(marked: Stage):
    """Case GUARD-EATS-TOLERANCE of the calibration cases: never a pass."""
    found = decided(marked.verify("p1", found_deg="120.00", u_deg="0.2", tolerance_deg="0.2", review=False))
    assert found["verdict"] == "cannot_decide"
    assert found["holds"] == []


def test_without_an_uncertainty_a_guarded_rule_is_refused_and_the_simple_one_is_not(marked: Stage):
    told = {"pair": "p1", "mark": "mark", "tolerance_deg": "0.2", "found_deg": "120.05", **PROCEDURE}
    refused = marked.refused("record_heading_check", by="vera", **told)
    assert refused == {"cannot_compute": "The uncertainty is not stated, so a guarded rule cannot be applied."}
    found = decided(marked.do("record_heading_check", by="vera", rule="simple", **told))
    assert (found["verdict"], found["lines"][0]["p_conform"]) == ("pass", None)


# the pair's own number


def test_a_number_beyond_its_scatter_is_told_with_the_limit(marked: Stage):
    for day, found in ((1, "120.00"), (2, "120.02"), (3, "119.99")):
        assert decided(marked.verify("p1", f"{day} 09:00", found, review=False))["jumped"] is False
    found = decided(marked.verify("p1", "4 09:00", "120.15", review=False, tolerance_deg="0.3"))
    assert found["verdict"] == "pass"  # and yet these are other halves, perhaps
    assert found["jumped"] is True
    compared = found["compared"]
    # 1.96 √2 s √((1 + 1/3)/2), s the stated 0.0283: ISO 5725, one number against a mean of three.
    assert compared["limit"] == pytest.approx(1.959964 * 2**0.5 * 0.0282843 * (2 / 3) ** 0.5, abs=1e-5)
    assert compared["sentence"].startswith("These two halves have never looked like this: +0.150°")
    assert compared["sentence"] in found["told"]
    row = marked_row(marked, "p1")
    assert row.jumped


def marked_row(world: Stage, name: str):
    stage = world
    return stage.row("verification", id=world.ids[f"check {name}"])


def test_a_number_within_its_scatter_is_never_called_proof(marked: Stage):
    first = decided(marked.verify("p1", "1 09:00", "120.00", review=False))
    assert first["compared"]["sentence"] == "First number of this pair on record: nothing to compare it with."
    second = decided(marked.verify("p1", "2 09:00", "120.03", review=False))
    assert "would not show: this proves no pair." in second["told"]


def test_an_adjustment_begins_a_new_series(marked: Stage):
    marked.verify("p1", "1 09:00", "120.15", left_deg="120.00", review=False)
    found = decided(marked.verify("p1", "2 09:00", "120.01", review=False))
    assert found["earlier"] == [[pytest.approx(0.0), pytest.approx(0.0282843, abs=1e-6)]]
    assert found["jumped"] is False


def test_a_rejected_check_is_no_number_of_the_pair(marked: Stage):
    bad = marked.verify("p1", "1 09:00", "120.18", review=False)
    told = {"verification": bad.entry.id, "outcome": "rejected", "words": "read on the wrong wall"}
    marked.do("review_verification", "1 10:00", by="oda", **told)
    assert decided(marked.verify("p1", "2 09:00", "120.00", review=False))["earlier"] == []


# what a fail does


def test_a_fail_holds_the_pair_and_its_vehicle_at_once_and_lists_what_it_was_used_for(marked: Stage):
    stage = marked
    stage.install("p1", "teasel B", "10 09:00")
    stage.remove("p1", "teasel B", "10 10:00")
    stage.verify("p1", "11 09:00", review=False)
    stage.sign("ida", "12 08:00")
    stage.install("p1", "teasel A", "12 09:00")
    failed = stage.verify("p1", "13 09:00", "121.00", review=False).entry
    held = stage.rows("hold")
    assert {(row.pairing_id, row.vehicle_id, row.cause) for row in held} == {
        (stage.ids["p1"], None, "failed_verification"),
        (None, stage.ids["teasel"], "failed_verification"),
    }
    assert {row.placed_at for row in held} == {failed.at}
    # The stay of the 10th ended before the last good result, on the 11th: case LB-1 of the calibration cases.
    (stay,) = stage.rows("affected_stay")
    assert (stay.verification_id, stay.installed_at, stay.removed_at) == (
        failed.id,
        "2026-05-12T09:00:00.000000Z",
        None,
    )
    assert failed.decided["since"] == "2026-05-11"
    assert "on_hold" in stage.refused("install_pair", "14 09:00", bay="teasel B", sensor="p2 s", electronics="p2 e")


def test_without_an_earlier_good_result_every_use_since_receipt_is_listed(marked: Stage):
    """Case LB-4 of the calibration cases."""
    marked.install("p1", "teasel B", "10 09:00")
    marked.remove("p1", "teasel B", "10 10:00")
    failed = decided(marked.verify("p1", "13 09:00", "121.00", review=False))
    assert failed["since"] is None
    assert [one["installed_at"] for one in failed["affected"]] == ["2026-05-10T09:00:00.000000Z"]
    assert failed["holds"] == [["pairing_id", marked.ids["p1"]]]


# static tests


def test_a_recording_is_judged_against_place_and_class_and_kept_with_its_method(world: Stage):
    stage = world
    told = {"pair": "p1", "lat_deg": "59.3", "warm_up_min": "60", "files": [REST_GIVEN], **PROCEDURE}
    done = stage.do("record_static_test", by="vera", name="test", **told).entry
    lines = {line["quantity"]: line for line in done.decided["lines"]}
    # The International Gravity Formula of 1980 and the earth's rate (IERS), neither of which the program uses so.
    sin2, double2 = math.sin(math.radians(59.3)) ** 2, math.sin(math.radians(118.6)) ** 2
    gravity = 9.780327 * (1 + 0.0053024 * sin2 - 0.0000058 * double2)
    assert lines["gravity"]["expected"] == pytest.approx(gravity, abs=5e-6)
    assert lines["earth_rate"]["expected"] == pytest.approx(15.041067, abs=1e-6)
    assert lines["gravity"]["outcome"] == "pass"
    # The type of these tests holds no gyro limit: then nothing is decided, whatever was read.
    assert {lines[name]["outcome"] for name in ("earth_rate", "vertical_rate")} == {"cannot_decide"}
    assert done.decided["verdict"] == "cannot_decide"
    assert "This does not prove the pair" in done.decided["told"]
    kept = stage.row("bench_recording", verification_id=done.id)
    assert (kept.sha256, float(kept.seconds), float(kept.rate_hz)) == (REST_GIVEN["sha256"], 720.0, 1.0)
    assert json.loads(kept.worked_out) == done.decided["recorded"]
    assert stage.row("verification", id=done.id).method == done.decided["method"] == "static-test 2026-1"
    assert stage.unlike() == []


def test_a_class_with_a_gyro_limit_lets_it_pass_and_judges_the_random_walk(world: Stage):
    limits = [
        {"quantity": "gyro_bias", "value": "0.05", "statistic": "1_sigma"},
        {"quantity": "angle_random_walk", "value": "0.02", "statistic": "rms"},
    ]
    world.do(
        "add_unit_type",
        "1 09:00",
        by="oda",
        name="fine",
        maker="Ardlune",
        type_name="Fine",
        sensor_part="FS-100",
        electronics_part="FE-200",
        accepts=["calibration_sheet"],
        class_limits=limits,
    )
    world.add_pair("f1", "fine")
    told = {"pair": "f1", "lat_deg": "59.3", "files": [REST_GIVEN], **PROCEDURE}
    found = decided(world.do("record_static_test", by="vera", **told))
    assert {line["quantity"] for line in found["lines"]} >= {"gravity", "earth_rate", "vertical_rate", "walk_x"}
    assert found["verdict"] == "pass"
    # The recording was made with 0.35 deg/h of white noise at 1 Hz: 0.35/60 deg/√h.
    walk = next(line for line in found["lines"] if line["quantity"] == "walk_x")
    assert walk["measured"] == pytest.approx(0.35 / 60, rel=0.1)
    wrong = decided(world.do("record_static_test", "11 09:00", by="vera", **told | {"lat_deg": "52"}))
    assert (wrong["verdict"], wrong["holds"]) == ("fail", [["pairing_id", world.ids["f1"]]])


@pytest.mark.parametrize("files", [[PHOTO_GIVEN], [NOTE_GIVEN], [REST_GIVEN, REST_GIVEN]])
def test_a_static_test_is_one_recording(world: Stage, files: list):
    told = {"pair": "p1", "lat_deg": "59.3", "files": files, **PROCEDURE}
    assert set(world.refused("record_static_test", by="vera", **told)) == {"wrong_form"}


def test_what_comes_beside_the_recording_is_looked_for_too(world: Stage):
    files = [REST_GIVEN, PHOTO_GIVEN | {"size": 1}]
    sent = world.sent("record_static_test", pair="p1", lat_deg="59.3", files=files, **PROCEDURE)
    assert world.refusal(sent, "vera") == {"wrong_file": "files.1"}


def test_a_recording_that_nobody_sent_is_asked_for(world: Stage):
    told = {"pair": "p1", "lat_deg": "59.3", "files": [REST_GIVEN | {"sha256": "0" * 64}], **PROCEDURE}
    assert set(world.refused("record_static_test", by="vera", **told)) == {"unknown_file"}


# against the ship


def test_a_check_against_the_ship_compares_heading_pitch_and_roll(world: Stage):
    level = {
        "unit_pitch_deg": "1.0",
        "ship_pitch_deg": "0.9",
        "unit_roll_deg": "-2.0",
        "ship_roll_deg": "-1.2",
        "level_tolerance_deg": "0.5",
    }
    found = decided(world.do("record_ship_check", by="ida", u_deg="0.1", **SHIP, pair="p1", **level))
    assert [(one["quantity"], one["outcome"]) for one in found["lines"]] == [
        ("heading", "pass"),
        ("pitch", "pass"),
        ("roll", "fail"),
    ]
    assert found["lines"][0]["as_found"] == pytest.approx(0.4)
    assert found["verdict"] == "fail"


@pytest.mark.parametrize(
    "more",
    [{"unit_pitch_deg": "1"}, {"unit_roll_deg": "1", "ship_roll_deg": "1"}, {"seconds": 60}],
    ids=["one side", "no tolerance", "too short"],
)
def test_a_check_against_the_ship_is_whole_or_refused(world: Stage, more: dict):
    assert set(world.refused("record_ship_check", **SHIP, pair="p1", u_deg="0.1", **more)) == {"wrong_form"}


# which pair, which mark, who


def test_a_pair_is_verified_while_it_is_one(marked: Stage):
    marked.do("end_pairing", "11 09:00", by="oda", pair="p3", why="scrapped")
    ended = {"pair": "p3", "mark": "mark", "tolerance_deg": "0.2", "found_deg": "120", "u_deg": "0.02", **PROCEDURE}
    assert set(marked.refused("record_heading_check", "12 09:00", by="vera", **ended)) == {"pair_ended"}
    early = "2025-01-20T09:00:00Z"
    assert set(marked.refused("record_heading_check", early, by="vera", **ended)) == {"overlaps_history"}


def test_a_survey_counts_from_when_to_when_it_is_in_force(marked: Stage):
    old = marked.ids["mark"]
    marked.mark("120.50", "10 09:00")
    told = {"pair": "p1", "tolerance_deg": "0.2", "found_deg": "120.5", "u_deg": "0.02", **PROCEDURE}
    assert set(marked.refused("record_heading_check", "11 09:00", by="vera", mark=old, **told)) == {"overlaps_history"}
    assert set(marked.refused("record_heading_check", "9 09:00", by="vera", mark="mark", **told)) == {
        "overlaps_history"
    }
    assert decided(marked.do("record_heading_check", "11 09:00", by="vera", mark="mark", **told))["verdict"] == "pass"


def test_the_one_who_did_it_does_not_review_it_and_the_database_says_so_too(marked: Stage):
    done = marked.verify("p1", review=False)
    told = {"verification": done.entry.id, "outcome": "agreed"}
    assert set(marked.refused("review_verification", "11 09:00", by="vera", **told)) == {"own_work"}
    marked.do("review_verification", "11 09:00", by="oda", **told)
    assert set(marked.refused("review_verification", "12 09:00", by="rosa", **told)) == {"already_so"}


def test_an_acceptance_needs_a_word_why(marked: Stage):
    done = marked.verify("p1", found_deg="120.17", rule="four-way", review=False)
    told = {"verification": done.entry.id, "outcome": "accepted"}
    assert set(marked.refused("review_verification", "11 09:00", by="oda", **told)) == {"needs_reason"}


# the log


def test_every_verdict_is_worked_out_again_by_a_strict_look_at_the_log(marked: Stage):
    marked.verify("p1", "1 09:00")
    marked.verify("p1", "2 09:00", "120.5")
    marked.do("record_ship_check", by="ida", u_deg="0.1", **SHIP, pair="p2")
    marked.do("record_static_test", by="vera", pair="p2", lat_deg="59.3", files=[REST_GIVEN], **PROCEDURE)
    assert [fault for fault in verify(marked.db, KEY.verifier(), strict=True).faults if fault.where != "the log"] == []


@pytest.mark.parametrize("act", ["record_heading_check", "record_ship_check", "record_static_test"])
def test_a_verdict_that_was_told_otherwise_is_found(lived_stage: Stage, act: str):
    from tests.acts.examples import EXAMPLES, example

    entry = lived_stage.send(example(lived_stage, act), EXAMPLES[act].by).entry
    again = ACTS[act].again(entry)
    assert {name: entry.decided[name] for name in again} == again
    assert {"verdict", "lines", "told", "method"} <= set(again)


def test_a_recording_that_says_nothing_is_refused_with_what_to_do(world: Stage):
    import io

    kept = world.files.keep(io.BytesIO(b"time_s,gyro_x_deg_h\n0,1\n"), "half.csv").file._asdict()
    with pytest.raises(Refused) as refused:
        world.do("record_static_test", by="vera", pair="p1", lat_deg="59.3", files=[kept], **PROCEDURE)
    (reason,) = refused.value.reasons
    assert (reason.code, reason.field) == ("cannot_compute", "files")
    assert reason.message.startswith("The recording lacks")
    assert reason.next.startswith("Add gyro_y_deg_h")


def _tripped(stage: Stage) -> None:
    """p1’s sensor half came in a carton whose shock indicator was tripped; it was inspected and accepted."""
    stage.do("record_delivery", "8 07:00", name="delivery", sender="Ardlune", reference="DN-3", site="shed", cartons=1)
    came = {"condition": "sound", "shock": "tripped", "tilt": "clear", "seal": "whole"}
    stage.do("record_carton", "8 07:10", name="carton", delivery="delivery", number=1, half="p1 s", **came)
    stage.sign("ida", "9 07:00")
    stage.do("open_carton", "9 08:00", carton="carton", station="bench")
    stage.do("open_bag", "9 08:10", carton="carton")
    stage.do("inspect_half", "9 08:20", carton="carton", label="p1 s", bag="closed", outcome="accept")
    stage.mark()


def test_a_tripped_indicator_asks_for_a_verification_before_the_pair_goes_in(stages: Stage):
    _tripped(stages)
    sent = stages.sent("install_pair", "10 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    assert stages.refusal(sent) == {"not_looked_at": "sensor"}
    passed = stages.verify("p1", "9 17:00", "120.02").entry
    row = stages.row("recheck")
    assert (row.answered_at, row.answer, row.closed_seq) == (
        passed.at,
        "heading check on a known mark: pass.",
        passed.seq,
    )
    stages.send(sent)
    assert stages.unlike() == []


@pytest.mark.parametrize(
    ("before", "found"), [((), "121.90"), (("119.90", "119.91", "119.90"), "120.05")], ids=["a fail", "a jump"]
)
def test_a_check_that_fails_or_never_looked_like_this_answers_nothing(before: tuple, found: str, stage: Stage):
    _tripped(stage)
    for day, earlier in enumerate(before, 1):
        stage.verify("p1", f"{day} 09:00", earlier)
    stage.verify("p1", "9 17:00", found)
    assert stage.row("recheck").answered_at is None
