"""After a swap: carried over on dowels until a residual confirms or withdraws it; ended by every removal."""

import math

import pytest

from registry.acts.catalogue import ACTS
from registry.models.standings import standings
from tests.acts.stage import Stage
from tests.lived import MOUNTED, SHEET

EVER = 2**53 - 1
NOW = "2026-05-20T12:00:00.000000Z"
CARRY = {"faces_clean": True, "in_unit_yaw_deg": "0.40"}


def swapped(stage: Stage, into: str = "p2", aligned: bool = True, **mounted: str) -> None:
    """p1 was aligned in Teasel A; `into` sits there since 11:00."""
    stage.do("record_mounting", "9 07:00", bay="teasel A", **(MOUNTED | mounted))
    stage.install("p1", "teasel A", "10 09:00")
    if aligned:
        stage.do("record_alignment", "10 10:00", name="old", bay="teasel A", **SHEET)
    if into == "p1":
        stage.remove("p1", "teasel A", "10 10:30")
        stage.install("p1", "teasel A", "10 11:00")
    else:
        stage.swap("p1", into, "teasel A", "10 11:00")


def carried(stage: Stage, when: str = "10 12:00", **but):
    return stage.do("carry_alignment", when, bay="teasel A", **(CARRY | but))


def carrying(stage: Stage, **but) -> dict:
    return stage.sent("carry_alignment", "10 12:00", bay="teasel A", **(CARRY | but))


def state(stage: Stage, at: str = NOW) -> str | None:
    live = [row for row in stage.rows("installation_span") if row.removed_at is None and row.voided_seq is None]
    one = standings(stage.db, [live[0].installation_id], at)[live[0].installation_id].alignment
    return one.state if one else None


@pytest.mark.parametrize("into", ["p2", "p1"])
def test_a_removal_ends_it_also_when_the_same_pair_goes_back(into: str, stage: Stage):
    swapped(stage, into)
    assert state(stage) is None


def test_carried_over_it_is_worth_both_units_the_pins_and_the_old_figure(stages: Stage):
    swapped(stages)
    carried(stages)
    old, new = stages.row("alignment", found_by="certificate"), stages.row("alignment", found_by="carried")
    pins = math.degrees(math.atan2(0.05, 120))
    assert float(new.yaw_sigma_deg) == pytest.approx(math.hypot(float(old.yaw_sigma_deg), 0.05, 0.05, pins), abs=1e-4)
    assert (new.yaw_deg, new.before_id) == (old.yaw_deg, old.id)
    assert stages.row("alignment_part", alignment_id=new.id, part="unit_plate").found_by == "carried"
    assert state(stages) == "carried"
    assert stages.unlike() == []


@pytest.mark.parametrize("into", ["p2", "p1"])
def test_what_was_carried_is_worked_out_again_from_the_entry(into: str, stage: Stage):
    swapped(stage, into)
    entry = carried(stage).entry
    again = ACTS["carry_alignment"].again(entry)
    assert again == {name: entry.decided[name] for name in again}


def test_a_residual_within_the_tolerance_confirms_it(stages: Stage):
    swapped(stages)
    carried(stages)
    stages.do("confirm_alignment", "10 18:00", by="vera", bay="teasel A", residual_deg="0.1", sigma_deg="0.05")
    assert (state(stages, "2026-05-10T17:00:00.000000Z"), state(stages)) == ("carried", "confirmed")
    assert stages.unlike() == []


@pytest.mark.parametrize(("residual", "sigma"), [("0.5", "0.02"), ("0.25", "0.05")])
def test_a_residual_that_is_not_confirms_nothing(residual: str, sigma: str, stage: Stage):
    swapped(stage)
    carried(stage)
    sent = stage.sent("confirm_alignment", "10 18:00", bay="teasel A", residual_deg=residual, sigma_deg=sigma)
    assert stage.refusal(sent) == {"outside_tolerance": "residual_deg"}
    assert stage.answer(sent).reasons[0].offer.act == "withdraw_alignment"


def test_withdrawn_it_counts_for_nothing_and_is_not_answered_again(stages: Stage):
    swapped(stages)
    carried(stages)
    stages.do(
        "withdraw_alignment",
        "10 18:00",
        bay="teasel A",
        residual_deg="0.5",
        sigma_deg="0.05",
        words="drifted off the line",
    )
    assert state(stages) == "withdrawn"
    for act, told in (
        ("confirm_alignment", {"residual_deg": "0", "sigma_deg": "0.01"}),
        ("withdraw_alignment", {"words": "again"}),
    ):
        assert stages.refusal(stages.sent(act, "10 19:00", bay="teasel A", **told)) == {"already_so": "bay"}
    stages.do("record_alignment", "10 20:00", bay="teasel A", **SHEET)
    assert state(stages) == "within"
    assert stages.unlike() == []


def test_nothing_is_answered_where_nothing_was_measured(stage: Stage):
    swapped(stage)
    for act, told in (
        ("confirm_alignment", {"residual_deg": "0", "sigma_deg": "0.01"}),
        ("withdraw_alignment", {"words": "why"}),
    ):
        assert stage.refusal(stage.sent(act, "10 18:00", bay="teasel A", **told)) == {"not_measured": "bay"}


def test_without_dowels_it_is_to_be_measured(stage: Stage):
    bare = {key: value for key, value in MOUNTED.items() if not key.startswith("dowel_")} | {"dowels": "none"}
    stage.do("record_mounting", "9 07:00", bay="teasel A", **bare)
    stage.install("p1", "teasel A", "10 09:00")
    stage.do("record_alignment", "10 10:00", bay="teasel A", **SHEET)
    stage.swap("p1", "p2", "teasel A", "10 11:00")
    assert stage.refusal(carrying(stage)) == {"cannot_carry": "bay"}


def test_faces_nobody_saw_clean_carry_nothing(stage: Stage):
    swapped(stage)
    assert stage.refusal(carrying(stage, faces_clean=False)) == {"cannot_carry": "faces_clean"}


def test_another_type_on_the_same_dowels_is_to_be_measured(stage: Stage):
    stage.do("accept_type", "9 06:00", by="oda", bay="teasel A", unit_type="sedge")
    swapped(stage, "p4")
    assert stage.refusal(carrying(stage)) == {"cannot_carry": "bay"}


def test_a_stay_without_an_alignment_and_one_whose_alignment_was_withdrawn_give_nothing(stage: Stage):
    swapped(stage, aligned=False)
    assert "had no alignment here" in stage.answer(carrying(stage)).reasons[0].message
    stage.swap("p2", "p3", "teasel A", "10 14:00")
    stage.do("record_alignment", "10 13:00", bay="teasel A", **SHEET)
    stage.do("withdraw_alignment", "10 13:30", bay="teasel A", words="the bracket was bent")
    sent = stage.sent("carry_alignment", "10 15:00", bay="teasel A", **CARRY)
    assert "was withdrawn" in stage.answer(sent).reasons[0].message


def test_a_bay_mounted_anew_gives_nothing(stage: Stage):
    swapped(stage)
    stage.do("record_mounting", "10 11:30", bay="teasel A", **(MOUNTED | {"yaw_deg": "0.36"}))
    assert "entered anew" in stage.answer(carrying(stage)).reasons[0].message


def test_what_was_measured_is_not_blurred_by_carrying_the_last_one_over(stage: Stage):
    swapped(stage)
    stage.do("record_alignment", "10 11:30", bay="teasel A", **SHEET)
    assert "has an alignment already" in stage.answer(carrying(stage)).reasons[0].message


def test_a_heading_alone_does_not_confirm_a_multibeam(stage: Stage):
    stage.do("set_bay_use", "9 06:30", by="piet", bay="teasel A", use="multibeam")
    swapped(stage)
    carried(stage)
    heading = {"residual_deg": "0.01", "sigma_deg": "0.01"}
    sent = stage.sent("confirm_alignment", "10 18:00", bay="teasel A", **heading)
    assert stage.refusal(sent) == {"outside_tolerance": "roll_residual_deg"}
    stage.do(
        "confirm_alignment", "10 18:00", bay="teasel A", roll_residual_deg="0.01", roll_sigma_deg="0.01", **heading
    )
    assert state(stage) == "confirmed"
    assert "Residual of the roll" in stage.row("alignment_answer").told


def test_a_mounting_entered_anew_puts_the_alignment_of_the_stay_out_of_date(stage: Stage):
    stage.do("record_mounting", "9 07:00", bay="teasel A", **MOUNTED)
    stage.install("p1", "teasel A", "10 09:00")
    stage.do("record_alignment", "10 10:00", bay="teasel A", **SHEET)
    installation = stage.row("installation").id

    def outdated() -> str:
        return standings(stage.db, [installation], NOW)[installation].alignment.outdated

    assert outdated() == ""
    stage.do("record_mounting", "11 09:00", bay="teasel A", **(MOUNTED | {"yaw_deg": "0.36"}))
    assert outdated() == "The mounting of the bay was entered anew for 11 May 2026, 09:00 UTC."
    stage.do("record_alignment", "11 10:00", bay="teasel A", **SHEET)
    assert outdated() == ""
