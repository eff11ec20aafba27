"""Holds: anybody places one on one thing, an authority who had no part in it releases it."""

import pytest

from tests.acts.stage import Stage

THINGS = {
    "half": ("p1 s", "half_id"),
    "pair": ("p1", "pairing_id"),
    "vehicle": ("teasel", "vehicle_id"),
    "bay": ("teasel A", "bay_id"),
}
EVIDENCE = {"reason": "looked it over", "evidence": "photo 12"}


@pytest.mark.parametrize("thing", THINGS)
def test_a_hold_lies_on_one_thing(thing: str, stages: Stage):
    name, column = THINGS[thing]
    done = stages.do("place_hold", "9 09:00", by="anselm", cause="dropped", reason="from the bench", **{thing: name})
    row = stages.row("hold", id=done.entry.id)
    assert [getattr(row, other) for _name, other in THINGS.values()].count(None) == 3
    assert (getattr(row, column), row.cause, row.placed_by_id) == (stages.ids[name], "dropped", stages.ids["anselm"])
    assert stages.unlike() == []


@pytest.mark.parametrize("things", [[], ["half", "bay"], list(THINGS)])
def test_a_hold_on_none_or_on_several_is_refused(things: list[str], stage: Stage):
    sent = stage.sent("place_hold", "9 09:00", reason="x", **{thing: THINGS[thing][0] for thing in things})
    assert stage.refusal(sent) == {"wrong_form": None}


@pytest.mark.parametrize("cause", ["out_of_order", "failed_leak_test", "failed_signoff"])
def test_causes_that_only_acts_give_are_not_given_by_hand(cause: str, stage: Stage):
    assert stage.refusal(stage.sent("place_hold", "9 09:00", half="p1 s", reason="x", cause=cause)) == {
        "wrong_form": "cause"
    }


def _placed(stage: Stage, by: str = "ida") -> str:
    return stage.do("place_hold", "9 09:00", by=by, half="p1 s", reason="wet").entry.id


def test_an_authority_releases_it_with_evidence(stages: Stage):
    hold = _placed(stages)
    done = stages.do("release_hold", "9 12:00", by="rosa", hold=hold, **EVIDENCE)
    row = stages.row("hold", id=hold)
    assert (row.released_at, row.released_by_id, row.evidence, row.closed_seq) == (
        "2026-05-09T12:00:00.000000Z",
        stages.ids["rosa"],
        "photo 12",
        done.entry.seq,
    )
    stages.install("p1")
    assert stages.unlike() == []


def test_who_placed_it_does_not_release_it(stage: Stage):
    sent = stage.sent("release_hold", "9 12:00", hold=_placed(stage, "rosa"), **EVIDENCE)
    assert stage.refusal(sent, "rosa") == {"own_work": "hold"}


def test_who_did_the_work_does_not_release_it(stage: Stage):
    stage.do("give_role", "9 09:00", by="maren", person="ida", role="release_authority")
    done = stage.install("p1", by="oda", done_by="ida", when="11 09:00", already_done=True, why_out_of_order="the tide")
    sent = stage.sent("release_hold", "11 12:00", hold=done.entry.derived("order-hold"), **EVIDENCE)
    assert stage.refusal(sent, "ida") == {"own_work": "hold"}
    stage.send(sent, "rosa")


def test_a_hold_is_not_released_before_it_was_placed_and_once_only(stage: Stage):
    hold = _placed(stage)
    assert stage.refusal(stage.sent("release_hold", "9 09:00", hold=hold, **EVIDENCE), "rosa") == {
        "overlaps_history": "happened_at"
    }
    stage.do("release_hold", "9 10:00", by="rosa", hold=hold, **EVIDENCE)
    assert stage.refusal(stage.sent("release_hold", "9 11:00", hold=hold, **EVIDENCE), "rosa") == {"already_so": "hold"}


def test_a_hold_stands_against_the_time_it_was_open_and_no_other(stage: Stage):
    hold = stage.do("place_hold", "10 10:00", half="p1 s", reason="wet").entry.id
    stage.do("release_hold", "10 12:00", by="rosa", hold=hold, **EVIDENCE)
    for when, refused in (("10 09:59", False), ("10 10:00", True), ("10 11:59", True), ("10 12:00", False)):
        reasons = stage.check("install_pair", when, bay="teasel A", sensor="p1 s", electronics="p1 e").reasons
        assert ("on_hold" in {reason.code for reason in reasons}) == refused, when


def test_a_hold_does_not_stand_against_taking_out(stage: Stage):
    stage.install("p1")
    stage.do("place_hold", "10 10:00", vehicle="teasel", reason="took water")
    stage.remove("p1", when="10 12:00")
