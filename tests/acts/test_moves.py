"""Moves: what lies loose goes to another site; what sits in a bay goes with its vehicle."""

import pytest

from registry.models.whereabouts import whereabouts
from tests.acts.stage import Stage


def where(stage: Stage, half: str, when: str = "2026-05-20T12:00:00.000000Z", **known: int) -> str:
    return whereabouts(stage.db, [stage.ids[half]], when, **known)[stage.ids[half]].say()


def test_halves_that_lie_loose_are_moved(stages: Stage):
    done = stages.do(
        "move_halves", "11 09:00", by="piet", halves=["p1 s", "p1 e", "p1 s"], site="vessel", spot="rack 4"
    )
    rows = [
        row
        for half in ("p1 s", "p1 e")
        for row in stages.rows("half_place", half_id=half)
        if row.by_act == done.entry.id
    ]
    assert [(row.site_id, row.spot) for row in rows] == [(stages.ids["vessel"], "rack 4")] * 2
    assert where(stages, "p1 s") == "at Halcyon Tern, rack 4"
    assert stages.unlike() == []


def test_what_sits_in_a_bay_is_not_moved_by_itself(stage: Stage):
    stage.install("p1")
    assert stage.refusal(stage.sent("move_halves", "11 09:00", halves=["p2 s", "p1 s"], site="vessel"), "piet") == {
        "pair_installed": "halves"
    }
    stage.do("move_halves", "9 09:00", by="piet", halves=["p1 s"], site="vessel")  # It lay loose on the day before.


@pytest.mark.parametrize("halves", [[], ["p1 s"] * 201])
def test_a_move_is_of_one_half_to_two_hundred(halves: list[str], stage: Stage):
    assert stage.refusal(stage.sent("move_halves", halves=halves, site="vessel"), "piet") == {"wrong_form": "halves"}


def test_a_vehicle_moves_with_everything_in_its_bays(stages: Stage):
    stages.install("p1")
    stages.do("move_vehicle", "11 09:00", by="piet", vehicle="teasel", site="vessel")
    assert where(stages, "p1 s") == "in Teasel, bay A, since 10 May 2026"
    stages.sign("ida", "12 08:00", station="kit")
    stages.remove("p1", when="12 09:00")
    assert where(stages, "p1 s") == "at Halcyon Tern"


def test_a_vehicle_that_is_there_already_is_not_moved(stage: Stage):
    assert stage.refusal(stage.sent("move_vehicle", "11 09:00", vehicle="teasel", site="shed"), "piet") == {
        "already_so": "site"
    }


def test_a_late_move_is_judged_by_where_the_vehicle_was_then(stage: Stage):
    stage.do("move_vehicle", "12 09:00", by="piet", vehicle="teasel", site="vessel")
    stage.do("move_vehicle", "14 09:00", by="piet", vehicle="teasel", site="shed")
    assert stage.refusal(stage.sent("move_vehicle", "13 09:00", vehicle="teasel", site="vessel"), "piet") == {
        "already_so": "site"
    }
    stage.do("move_vehicle", "11 09:00", by="piet", vehicle="teasel", site="vessel")


def test_where_a_half_was_and_what_was_known_of_it_are_two_questions(stages: Stage):
    before = stages.size()
    stages.install("p1", when="10 09:00")
    installed = stages.size()
    stages.remove("p1", when="10 15:00")
    noon, evening = "2026-05-10T12:00:00.000000Z", "2026-05-10T18:00:00.000000Z"
    shelf, bay = "at North shed, shelf 2", "in Teasel, bay A, since 10 May 2026"
    assert [where(stages, "p1 s", when) for when in (noon, evening)] == [bay, "at North shed"]
    assert [where(stages, "p1 s", when, known=installed) for when in (noon, evening)] == [bay, bay]
    assert [where(stages, "p1 s", when, known=before) for when in (noon, evening)] == [shelf, shelf]


def test_nowhere_is_said_in_words(stage: Stage):
    assert where(stage, "p1 s", "2024-01-01T00:00:00.000000Z") == "place not recorded"
    assert whereabouts(stage.db, [], "2024-01-01T00:00:00.000000Z") == {}


def test_a_half_whose_stay_ended_unplaced_is_not_said_to_lie_where_it_lay_before(stages: Stage):
    """What came out of Teasel A was p2, so nobody knows where p1 is."""
    stages.install("p1")
    stages.do(
        "remove_pair", "10 12:00", bay="teasel A", sensor_out="p2 s", electronics_out="p2 e", reason="planned",
        already_done=True, why_out_of_order="found so",
    )  # fmt: skip
    half = stages.ids["p1 s"]
    assert whereabouts(stages.db, [half], "2026-05-20T12:00:00.000000Z")[half].say() == "place not recorded"
