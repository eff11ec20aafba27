"""Sightings: they move nothing; where they differ from the record both ends are told, and an authority settles each."""

import pytest

from tests.acts.stage import Stage


def sight(stage: Stage, when: str = "11 09:00", bay: str = "teasel A", by: str = "anselm", **found):
    return stage.do("record_sighting", when, by=by, bay=bay, **found)


SEEN = {
    "the pair as recorded": ({"sensor": "p1 s", "electronics": "p1 e"}, "as_recorded", 0),
    "one half of it alone": ({"sensor": "p1 s"}, "differs", 2),
    "another pair": ({"sensor": "p2 s", "electronics": "p2 e"}, "differs", 5),
    "halves of two pairs": ({"sensor": "p1 s", "electronics": "p2 e"}, "differs", 3),
    "nothing": ({"empty": True}, "differs", 3),
}


@pytest.mark.parametrize("name", SEEN)
def test_what_is_seen_is_kept_and_each_end_is_told(name: str, stages: Stage):
    found, outcome, ends = SEEN[name]
    stages.install("p1")
    done = sight(stages, **found)
    assert stages.row("sighting", id=done.entry.id).outcome == outcome
    told = [row for row in stages.rows("discrepancy") if row.seq == done.entry.seq]
    assert len(told) == len(done.remarks) == ends
    assert stages.unlike() == []


def test_an_empty_bay_seen_empty_is_as_recorded(stage: Stage):
    assert stage.row("sighting", id=sight(stage, empty=True).entry.id).outcome == "as_recorded"


def test_a_half_that_sits_elsewhere_is_told_at_that_bay_too(stage: Stage):
    stage.install("p1")
    stage.install("p2", "burdock A")
    done = sight(stage, sensor="p2 s", electronics="p1 e")
    ends = {(row.bay_id, row.half_id) for row in stage.rows("discrepancy") if row.seq == done.entry.seq}
    here, there = stage.ids["teasel A"], stage.ids["burdock A"]
    assert ends == {(here, None), (there, stage.ids["p2 s"]), (here, stage.ids["p1 s"])}


FORMS = {
    "nothing said": ({}, {"wrong_form": None}),
    "empty and yet a half": ({"empty": True, "sensor": "p1 s"}, {"wrong_form": None}),
    "an electronics half as the sensor half": ({"sensor": "p1 e"}, {"same_kind": "sensor"}),
    "each in the other's field": ({"sensor": "p1 e", "electronics": "p1 s"}, {"same_kind": "electronics"}),
}


@pytest.mark.parametrize("name", FORMS)
def test_a_sighting_is_refused_for_its_form_alone(name: str, stage: Stage):
    found, told = FORMS[name]
    assert stage.refusal(stage.sent("record_sighting", "11 09:00", bay="teasel A", **found), "anselm") == told


def test_a_sighting_of_the_past_is_held_against_the_past(stage: Stage):
    stage.install("p1", when="10 09:00")
    stage.remove("p1", when="10 15:00")
    assert sight(stage, "10 12:00", sensor="p1 s", electronics="p1 e").entry.decided["outcome"] == "as_recorded"
    assert sight(stage, "10 16:00", sensor="p1 s", electronics="p1 e").entry.decided["outcome"] == "differs"


def _discrepancy(stage: Stage) -> str:
    done = sight(stage, sensor="p1 s")
    return next(row.id for row in stage.rows("discrepancy") if row.seq == done.entry.seq)


def test_an_end_is_settled_once_after_it_was_noted(stages: Stage):
    end = _discrepancy(stages)
    assert stages.refusal(stages.sent("settle_discrepancy", "11 09:00", discrepancy=end, answer="x"), "piet") == {
        "overlaps_history": "happened_at"
    }
    done = stages.do("settle_discrepancy", "11 10:00", by="piet", discrepancy=end, answer="put back")
    row = stages.row("discrepancy", id=end)
    assert (row.settled_at, row.settled_by_id, row.answer, row.closed_seq) == (
        "2026-05-11T10:00:00.000000Z",
        stages.ids["piet"],
        "put back",
        done.entry.seq,
    )
    assert stages.refusal(stages.sent("settle_discrepancy", "11 11:00", discrepancy=end, answer="x"), "piet") == {
        "already_so": "discrepancy"
    }
    assert stages.unlike() == []
