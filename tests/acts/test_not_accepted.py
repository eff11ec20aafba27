"""What receiving has not let in is not quietly installed: sealed, not inspected or rejected; early, late and amended."""

import pytest

from tests.acts.stage import Stage
from tests.acts.test_unboxing import delivered, inspected, opened, ready, unwrapped

INSTALL = {"bay": "teasel A", "sensor": "p1 s", "electronics": "p1 e"}
DONE = {"already_done": True, "why_out_of_order": "the boat left at noon"}


def install(stage: Stage, when: str = "10 09:00", **told) -> dict:
    return stage.sent("install_pair", when, **INSTALL | told)


def test_each_step_of_unboxing_keeps_the_pair_out_until_both_halves_are_inspected(stages: Stage):
    delivered(stages, "p1 s", "p1 e")
    stages.sign("ida", "9 18:50")
    sent = install(stages)
    assert stages.refusal(sent) == {"not_accepted": "electronics"}  # one for either half; the last is kept by its code
    assert [r.field for r in stages.answer(sent).reasons] == ["sensor", "electronics"]
    for half, field in (("p1 s", "electronics"), ("p1 e", None)):
        opened(stages, half)
        assert "is open" in stages.answer(sent).reasons[0].message or half == "p1 e"
        unwrapped(stages, half)
        assert stages.refusal(sent)
        inspected(stages, half)
        if field:
            assert stages.refusal(sent) == {"not_accepted": field}
    stages.send(sent)
    assert stages.unlike() == []


def test_a_rejected_half_stays_out_when_its_hold_is_released_and_comes_in_again_by_a_new_carton(stages: Stage):
    ready(stages, "p1 s")
    done = inspected(stages, "p1 s", "reject", words="bent pins")
    assert stages.refusal(install(stages)) == {"on_hold": "sensor", "not_accepted": "sensor"}
    stages.do(
        "release_hold",
        "10 08:10",
        by="rosa",
        hold=done.entry.derived("hold:0"),
        evidence="looked at",
        reason="goes back",
    )
    assert stages.refusal(install(stages)) == {"not_accepted": "sensor"}
    told = {"sender": "Ardlune", "reference": "DN-2", "site": "shed", "cartons": 1}
    stages.do("record_delivery", "10 08:20", name="second", **told)
    seen = {"condition": "sound", "shock": "clear", "tilt": "clear", "seal": "whole"}
    stages.do("record_carton", "10 08:30", name="carton p1 s", delivery="second", number=1, half="p1 s", **seen)
    assert "stands sealed in carton 1 of DN-2" in stages.answer(install(stages)).reasons[0].message
    opened(stages, "p1 s", "10 08:40")
    stages.do("open_bag", "10 08:45", carton="carton p1 s", surface_c="18", air_c="20", humidity_pct="50")
    stages.do("inspect_half", "10 08:50", carton="carton p1 s", label="p1 s", bag="closed", outcome="accept")
    stages.send(install(stages))


def test_a_half_held_at_its_inspection_goes_in_once_the_hold_is_released(stage: Stage):
    ready(stage, "p1 s")
    done = inspected(stage, "p1 s", "hold", words="residue on the plate")
    assert stage.refusal(install(stage)) == {"on_hold": "sensor"}
    stage.do(
        "release_hold", "10 08:10", by="rosa", hold=done.entry.derived("hold:0"), evidence="cleaned", reason="clean"
    )
    stage.send(install(stage))


def test_what_happened_all_the_same_is_entered_and_the_pair_is_on_hold(stages: Stage):
    delivered(stages, "p1 s")
    done = stages.send(install(stages, **DONE))
    assert {reason["code"] for reason in done.entry.out_of_order()} == {"not_accepted"}
    hold = stages.row("hold", id=done.entry.derived("order-hold"))
    assert (hold.cause, hold.pairing_id) == ("out_of_order", stages.ids["p1"])
    assert stages.unlike() == []


def test_a_swap_asks_it_of_what_goes_in_and_not_of_what_comes_out(stage: Stage):
    stage.install("p2", when="9 08:30", **DONE)
    delivered(stage, "p1 e", "p2 s", when="9 09:00")
    halves = {"sensor_in": "p1 s", "electronics_in": "p1 e", "sensor_out": "p2 s", "electronics_out": "p2 e"}
    sent = stage.sent("swap_pairs", "10 09:00", bay="teasel A", **halves)
    assert stage.refusal(sent) == {"not_accepted": "electronics_in"}


@pytest.mark.parametrize(("when", "asked"), [("9 05:00", False), ("9 12:00", True), ("9 21:00", False)])
def test_a_late_entry_is_judged_by_how_the_carton_stood_then(when: str, asked: bool, stage: Stage):
    """Taken in at 06:00, inspected at 19:40: only a stay that began between the two began too early."""
    ready(stage, "p1 s")
    inspected(stage, "p1 s")
    stage.sign("ida", "9 04:00")
    answer = stage.answer(install(stage, when, removed_at="2026-05-09T23:00:00Z"))
    assert ("not_accepted" in {reason.code for reason in answer.reasons}) is asked


def test_a_stay_amended_to_before_the_inspection_is_marked_and_held(stages: Stage):
    ready(stages, "p1 s")
    inspected(stages, "p1 s")
    put = stages.install("p1", when="10 09:00", name="put")
    change = {"act": "put", "instant": "installed", "at": "2026-05-09T19:30:00Z"}
    done = stages.do("amend_times", "10 12:00", by="oda", changes=[change | {"act": put.entry.id}], why="read wrong")
    assert {reason["code"] for reason in done.entry.out_of_order()} == {"not_accepted"}
    assert [row.pairing_id for row in stages.rows("hold")] == [stages.ids["p1"]]
    assert stages.unlike() == []
