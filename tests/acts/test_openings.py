"""Openings and closings, leak tests by the gas law, knocks and what each asks to be looked at again."""

import pytest

from tests.acts.stage import Stage

HOUSING = "teasel forward"
LEAK = {"start_mbar": "750", "start_c": "20.0", "end_mbar": "750.5", "end_c": "20.0", "hold_min": "30"}


def opened(stage: Stage, when: str = "10 09:00"):
    return stage.do("open_housing", when, housing=HOUSING, reason="look at the seal")


def shut(stage: Stage, when: str = "10 10:00"):
    return stage.do("close_housing", when, housing=HOUSING)


def test_a_housing_is_opened_once_and_closed_once(stages: Stage):
    opened(stages)
    assert stages.refusal(stages.sent("open_housing", "10 09:30", housing=HOUSING, reason="x")) == {
        "already_so": "housing"
    }
    shut(stages)
    assert stages.refusal(stages.sent("close_housing", "10 10:30", housing=HOUSING)) == {"not_open": "housing"}
    opened(stages, "10 11:00")
    assert stages.unlike() == []


def test_a_housing_nobody_opened_is_not_closed(stage: Stage):
    reasons = stage.check("close_housing", "10 09:00", housing=HOUSING).reasons
    assert [(reason.code, reason.message) for reason in reasons] == [("not_open", "Nobody has opened it on record.")]


def test_putting_in_and_taking_out_open_a_housing(stage: Stage):
    stage.install("p1", when="10 09:00")
    assert stage.refusal(stage.sent("open_housing", "10 09:30", housing=HOUSING, reason="x")) == {
        "already_so": "housing"
    }
    shut(stage)
    stage.remove("p1", when="10 12:00")
    assert stage.refusal(stage.sent("open_housing", "10 12:30", housing=HOUSING, reason="x")) == {
        "already_so": "housing"
    }


def test_a_housing_is_found_by_a_bay_in_it(stage: Stage):
    code = stage.row("bay", id="teasel B").code
    done = stage.send(stage.sent("open_housing", "10 09:00", reason="x") | {"housing": code})
    assert done.entry.ids["housing"] == stage.ids[HOUSING]


LEAKS = {
    "as it was": ({}, "holds", "0.50"),
    "warmer, as the gas law has it": ({"end_mbar": "752.7", "end_c": "21.0"}, "holds", "0.14"),
    "warmer, and no change at all": ({"end_mbar": "750", "end_c": "21.0"}, "does_not", "-2.56"),
    "at the limit": ({"end_mbar": "752.0"}, "holds", "2.00"),
    "beyond the limit": ({"end_mbar": "752.01"}, "does_not", "2.01"),
    "a gain of vacuum beyond the limit": ({"end_mbar": "747.9"}, "does_not", "-2.10"),
    "too warm to correct": ({"end_c": "22.1"}, "cannot_judge", None),
    "too short": ({"hold_min": "29"}, "cannot_judge", "0.50"),
    "another limit": ({"limit_mbar": "0.4"}, "does_not", "0.50"),
}


@pytest.mark.parametrize("name", LEAKS)
def test_a_leak_test_is_judged_on_the_change_corrected_for_temperature(name: str, stage: Stage):
    fields, verdict, change = LEAKS[name]
    done = stage.do("record_leak_test", "10 11:00", housing=HOUSING, **{**LEAK, **fields})
    row = stage.row("leak_test", id=done.entry.id)
    assert (row.verdict, row.change_mbar) == (verdict, change)
    assert len(stage.rows("hold", vehicle_id="teasel")) == (verdict == "does_not")


def test_a_failed_leak_test_holds_the_vehicle(stages: Stage):
    done = stages.do("record_leak_test", "10 11:00", housing=HOUSING, **{**LEAK, "end_mbar": "760"})
    hold = stages.row("hold", vehicle_id="teasel")
    assert (hold.cause, hold.seq) == ("failed_leak_test", done.entry.seq)
    assert "on_hold" in stages.refused("install_pair", "10 12:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    assert stages.unlike() == []


def test_an_open_housing_is_not_tested(stage: Stage):
    opened(stage)
    assert stage.refusal(stage.sent("record_leak_test", "10 09:30", housing=HOUSING, **LEAK)) == {"not_open": "housing"}


@pytest.mark.parametrize("method", ["oil_filled", "none"])
def test_a_housing_without_a_vacuum_is_not_tested(method: str, stage: Stage):
    stage.do("add_housing", "9 09:00", by="piet", name="aft", vehicle="teasel", housing="aft", closing_method=method)
    assert stage.refusal(stage.sent("record_leak_test", "10 09:30", housing="aft", **LEAK)) == {"wrong_form": "housing"}


def asked(stage: Stage, done) -> list[tuple[str, str]]:
    rows = [row for row in stage.rows("recheck") if row.knock_id == done.entry.id]
    return sorted((row.what, "pair" if row.pairing_id else "housing" if row.housing_id else "half") for row in rows)


KNOCKS = {
    "a vehicle with nothing in it": ({"vehicle": "teasel"}, [("leak_test", "housing")], 0),
    "a vehicle with a pair": ({"vehicle": "burdock"}, [("alignment", "pair"), ("axis_and_sign", "pair"), ("leak_test", "housing")], 0),
    "a vehicle with a pair, hard": ({"vehicle": "burdock", "hard": True}, [("alignment", "pair"), ("axis_and_sign", "pair"), ("leak_test", "housing"), ("verification", "pair")], 1),
    "a half in hand": ({"half": "p1 s"}, [("connectors", "half"), ("visual", "half")], 0),
    "a half in hand, hard": ({"half": "p1 s", "hard": True}, [("connectors", "half"), ("verification", "half"), ("visual", "half")], 1),
}  # fmt: skip


@pytest.mark.parametrize("name", KNOCKS)
def test_a_knock_lists_what_to_look_at_again(name: str, stages: Stage):
    fields, rechecks, holds = KNOCKS[name]
    stages.install("p2", "burdock A")
    done = stages.do("record_knock", "11 09:00", by="anselm", words="struck the quay", **fields)
    assert asked(stages, done) == rechecks
    assert [row.cause for row in stages.rows("hold")] == ["knocked"] * holds
    assert stages.unlike() == []


@pytest.mark.parametrize("things", [{}, {"vehicle": "teasel", "half": "p1 s"}])
def test_a_knock_is_of_one_thing(things: dict, stage: Stage):
    assert stage.refusal(stage.sent("record_knock", "11 09:00", words="x", **things)) == {"wrong_form": None}


def test_a_recheck_is_answered_once_and_after_it_was_asked(stages: Stage):
    done = stages.do("record_knock", "11 09:00", half="p1 s", words="slipped")
    recheck = done.entry.derived("recheck:0")
    assert stages.refusal(stages.sent("answer_recheck", "11 09:00", recheck=recheck, answer="x"), "vera") == {
        "overlaps_history": "happened_at"
    }
    answer = stages.do("answer_recheck", "11 10:00", by="vera", recheck=recheck, answer="nothing found")
    row = stages.row("recheck", id=recheck)
    assert (row.answered_by_id, row.answer, row.closed_seq) == (stages.ids["vera"], "nothing found", answer.entry.seq)
    assert stages.refusal(stages.sent("answer_recheck", "11 11:00", recheck=recheck, answer="x"), "vera") == {
        "already_so": "recheck"
    }
    assert stages.unlike() == []
