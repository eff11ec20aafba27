"""How a bay is mounted, and its lever arms: dated, asked about when they look like placeholders, refused as metres."""

import pytest

from registry.errors import Refused
from tests.acts.stage import Stage
from tests.lived import ARM, MOUNTED


def mounting(stage: Stage, when: str = "10 12:00", **but: str):
    return stage.sent("record_mounting", when, bay="teasel A", **(MOUNTED | but))


def test_a_mounting_holds_from_its_day_and_the_next_takes_its_place(stages: Stage):
    stages.do("record_mounting", "6 12:00", bay="teasel A", measured_by="vera", **MOUNTED)
    stages.do("record_mounting", "8 12:00", bay="teasel A", **(MOUNTED | {"yaw_deg": "0.36"}))
    assert {row.yaw_deg for row in stages.rows("bay_mounting")} == {"0.35", "0.36"}
    assert stages.row("bay_mounting", yaw_deg="0.35").measured_by_id == stages.ids["vera"]
    assert stages.unlike() == []


@pytest.mark.parametrize("metres", ["0.35 m", "350mm", "1.2 metres"])
def test_a_length_in_an_angle_field_is_named(metres: str, stage: Stage):
    with pytest.raises(Refused, match="is a length; this is an angle in degrees"):
        stage.send(mounting(stage, yaw_deg=metres))


def test_an_angle_that_repeats_a_length_of_the_bay_is_refused_until_it_is_told_apart(stage: Stage):
    stage.do("record_lever_arm", "9 12:00", bay="teasel A", **(ARM | {"forward_m": "0.35"}))
    assert stage.refusal(mounting(stage)) == {"wrong_form": "yaw_deg"}
    stage.send(mounting(stage, yaw_deg="0.350"))


@pytest.mark.parametrize(
    ("but", "field"),
    [
        ({"yaw_deg": "15.1"}, "yaw_deg"),
        ({"yaw_sigma_deg": "0"}, "yaw_sigma_deg"),
        ({"orientation": "forward aft down"}, "orientation"),
    ],
)
def test_what_no_plate_has_is_refused_at_its_field(but: dict, field: str, stage: Stage):
    assert stage.refusal(mounting(stage, **but)) == {"wrong_form": field}


def test_dowels_come_with_their_play_and_distance_or_not_at_all(stage: Stage):
    assert stage.refusal(mounting(stage, dowels="none")) == {"wrong_form": None}
    sent = mounting(stage)
    del sent["dowel_play_mm"]
    assert stage.refusal(sent) == {"wrong_form": None}


def test_what_was_measured_later_does_not_hold_before(stage: Stage):
    assert stage.refusal(mounting(stage, "3 12:00")) == {"in_the_future": "measured_on"}
    assert stage.refusal(stage.sent("record_lever_arm", "3 12:00", bay="teasel A", **ARM)) == {
        "in_the_future": "measured_on"
    }


def test_zeros_and_round_figures_are_asked_about_and_taken(stage: Stage):
    zeros = {f"{name}_deg": "0" for name in ("roll", "pitch", "yaw")}
    assert "zero" in stage.do("record_mounting", bay="teasel A", **(MOUNTED | zeros)).remarks[0]
    assert stage.do("record_mounting", bay="teasel B", **MOUNTED).remarks == []
    round_ = {"forward_m": "-0.5", "starboard_m": "0", "down_m": "1"}
    assert "round half metres" in stage.do("record_lever_arm", bay="teasel A", **(ARM | round_)).remarks[0]
