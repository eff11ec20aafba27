"""The one door: shape before rules, a replay before both, clocks, older versions, and what is entered out of order."""

import uuid
from datetime import timedelta

import pytest

from registry.acts import door, ids
from registry.acts.act import ACTS, LIFT, Deed
from registry.acts.catalogue import ACTS as CATALOGUE
from registry.acts.effects import effects_of
from registry.domain.times import UTC, stamp
from registry.errors import CODES, Refused
from tests.acts.examples import EXAMPLES, example
from tests.acts.stage import Stage
from tests.cast import NOW, ROLES

FAULT = {"half": "p1 s", "words": "a scratch"}


def fault(stage: Stage, when: str = "10 09:00", **more) -> dict:
    return stage.sent("note_fault", when, **{**FAULT, **more})


# shape

SHAPES = {
    "a list": ([], {"wrong_form": None}),
    "text": ("install_pair", {"wrong_form": None}),
    "nothing": (None, {"wrong_form": None}),
    "no act": ({}, {"unknown_act": "act"}),
    "an act nobody knows": ({"act": "launch"}, {"unknown_act": "act"}),
    "an act that is a number": ({"act": 7}, {"unknown_act": "act"}),
    "a version to come": ({"act": "note_fault", "version": 9}, {"unknown_version": "version"}),
    "a version that is text": ({"act": "note_fault", "version": "1"}, {"unknown_version": "version"}),
    "a version that is yes": ({"act": "note_fault", "version": True}, {"unknown_version": "version"}),
    "a number too large to keep": ({"act": "note_fault", "version": 2**53 + 1}, {"wrong_form": None}),
    "half a character": ({"act": "note_fault", "words": "\ud800"}, {"wrong_form": None}),
    "a private part that the act has not": (
        {"act": "note_fault", "private": {"name": "x"}},
        {"unknown_field": "private"},
    ),
}


@pytest.mark.parametrize("name", SHAPES)
def test_what_is_no_act_is_refused_by_its_shape(name: str):
    sent, told = SHAPES[name]
    with pytest.raises(Refused) as caught:
        door.read_act(sent, now=NOW)
    assert told.items() <= {reason.code: reason.field for reason in caught.value.reasons}.items()
    assert caught.value.status == 422


FIELDS = {
    "id": [
        "not an id",
        "0190f5d2-0000-4000-8000-000000000000",
        "0190F5D2-0000-7000-8000-000000000000",
        "0190f5d2-0000-7000-c000-000000000000",
        7,
    ],
    "happened_at": [
        "yesterday",
        "2026-05-10",
        "2026-05-10T09:00:00",
        "2026-05-10T09:00:00-00:00",
        "2026-02-30T09:00:00Z",
        "2026-05-10T09:00:60Z",
        "1999-12-31T23:59:59Z",
        1778576400,
    ],
    "seen": [-1, "5", 1.5, True],
    "words": ["", "   ", "x" * 4001, "a\x00b", "a\u202eb", 7, None],
    "half": ["", " ", "x" * 1001, 7],
}


@pytest.mark.parametrize(("field", "value"), [(field, value) for field, values in FIELDS.items() for value in values])
def test_a_field_of_another_form_is_refused_at_its_place(field: str, value: object, stage: Stage):
    told = stage.refusal(fault(stage) | {field: value})
    assert set(told) == {"wrong_form"}
    assert told["wrong_form"] == field


def test_every_fault_of_form_is_told_at_once(stage: Stage):
    with pytest.raises(Refused) as caught:
        stage.send({"act": "note_fault", "id": "x", "happened_at": "x", "colour": "red"})
    assert {(reason.code, reason.field) for reason in caught.value.reasons} == {
        ("wrong_form", "id"),
        ("wrong_form", "happened_at"),
        ("unknown_field", "colour"),
        ("missing_field", "half"),
        ("missing_field", "words"),
    }


# replays


def test_the_same_act_from_another_person_is_the_same_entry(stage: Stage):
    sent = fault(stage)
    first, second = stage.send(sent, "ida"), stage.send(sent, "yusuf")
    assert (second.again, second.entry) == (True, first.entry)


def test_a_replay_is_answered_though_the_world_has_moved_on(stage: Stage):
    """The phone that sends an install again after the removal hears that it is in the log, not that the bay is empty."""
    sent = stage.sent("install_pair", "10 09:00", bay="teasel A", sensor="p1 s", electronics="p1 e")
    first = stage.send(sent)
    stage.remove("p1")
    assert stage.send(sent).entry == first.entry
    assert stage.answer(sent).reasons == []


def test_the_order_and_the_blanks_of_the_fields_do_not_matter(stage: Stage):
    sent = fault(stage)
    first = stage.send(sent)
    assert stage.send(dict(reversed(list(sent.items())))).entry == first.entry


def test_a_refused_act_may_be_sent_again_and_is_then_taken(stage: Stage):
    stage.install("p1")
    sent = stage.sent("install_pair", "10 11:00", bay="teasel A", sensor="p2 s", electronics="p2 e")
    assert stage.refusal(sent) == {"bay_taken": "bay"}
    stage.remove("p1", when="10 10:00")
    assert not stage.send(sent).again


# clocks


@pytest.mark.parametrize(
    ("ahead_s", "taken"), [(-1, True), (0, True), (299, True), (300, True), (301, False), (7200, False)]
)
def test_a_device_clock_may_run_five_minutes_ahead(ahead_s: int, taken: bool, stage: Stage):
    when = (stage.now + timedelta(seconds=ahead_s)).strftime("%Y-%m-%dT%H:%M:%SZ")
    if taken:
        stage.send(fault(stage, when))
    else:
        assert stage.refusal(fault(stage, when)) == {"in_the_future": "happened_at"}


def test_a_clock_ahead_is_told_by_how_much(stage: Stage):
    told = stage.refused("note_fault", "2026-05-20T15:30:00+02:00", **FAULT)
    assert "90 minutes ahead" in told["in_the_future"]
    assert "days ahead" in stage.refused("note_fault", "2027-05-20T15:30:00Z", **FAULT)["in_the_future"]


def test_recorded_at_never_steps_back(stage: Stage):
    first = stage.send(fault(stage))
    stage.later(hours=-3)
    second = stage.send(fault(stage))
    assert first.entry.recorded_at == second.entry.recorded_at == stamp(NOW)
    stage.later(hours=4)
    assert stage.send(fault(stage)).entry.recorded_at == stamp(NOW + timedelta(hours=1))


def test_the_time_in_an_act_id_is_never_read(stage: Stage):
    """Slips with ids are printed months before."""
    old, ahead = (ids.new_id(NOW + timedelta(days=days), lambda bits: 1) for days in (-400, 400))
    for id_ in (old, ahead):
        done = stage.send(fault(stage) | {"id": id_})
        assert (done.entry.at, done.entry.recorded_at) == ("2026-05-10T09:00:00.000000Z", stamp(NOW))


def test_a_new_id_is_a_uuid_of_version_7_of_its_time():
    made = uuid.UUID(ids.new_id(NOW, lambda bits: (1 << bits) - 1))
    assert (made.version, made.variant) == (7, uuid.RFC_4122)
    assert made.int >> 80 == int(NOW.timestamp() * 1000)
    assert NOW.tzinfo is UTC


# older versions


@pytest.fixture
def older_fault():
    """As if `note_fault` had called its words `text` once, and been called `report_fault` before that."""

    def renamed(told):
        told["words"] = told.pop("text")
        return told | {"act": "note_fault", "version": 1}

    def called_otherwise(told):
        return told | {"act": "note_fault", "version": 0}

    LIFT["note_fault", 0], LIFT["report_fault", 1] = renamed, called_otherwise
    yield
    del LIFT["note_fault", 0], LIFT["report_fault", 1]


@pytest.mark.parametrize("named", [{"act": "note_fault", "version": 0}, {"act": "report_fault", "version": 1}])
def test_an_act_of_an_older_version_is_lifted_at_the_door(named: dict, stage: Stage, older_fault):
    sent = {name: value for name, value in fault(stage).items() if name != "words"} | {"text": "as it was"} | named
    done = stage.send(sent)
    assert (done.entry.act, done.entry.version, done.entry.body["words"]) == ("note_fault", 1, "as it was")
    assert stage.send(sent).again


def test_an_entry_of_an_older_version_is_lifted_in_the_fold(stage: Stage, older_fault):
    entry = stage.send(fault(stage)).entry
    body = {name: value for name, value in entry.body.items() if name != "words"} | {"text": entry.body["words"]}
    old = entry._replace(act="report_fault", body=body)
    assert effects_of(old) == effects_of(entry)


def test_the_lifts_of_these_tests_are_cleaned_up():
    assert LIFT == {}
    assert CATALOGUE is ACTS


# out of order

DEEDS = [name for name in EXAMPLES if issubclass(ACTS[name], Deed)]


def without_role(act: str) -> str:
    """Somebody whose roles do not let them do it."""
    return next(who for who in ("vera", "piet") if not ACTS[act].may & set(ROLES[who]))


@pytest.mark.parametrize("act", DEEDS)
def test_a_deed_without_the_role_is_taken_as_already_done_with_a_reason(act: str, lived_stage: Stage):
    sent, who = example(lived_stage, act, already_done=True), without_role(act)
    assert lived_stage.refusal(sent, who).keys() >= {"needs_reason"}
    done = lived_stage.send(sent | {"why_out_of_order": "nobody else was aboard"}, who)
    assert "not_allowed" in {reason["code"] for reason in done.entry.out_of_order()}
    assert lived_stage.unlike() == []


@pytest.mark.parametrize("act", DEEDS)
def test_what_was_done_out_of_order_opens_a_hold_that_says_why(act: str, lived_stage: Stage):
    sent = example(lived_stage, act, already_done=True, why_out_of_order="nobody else was aboard")
    done = lived_stage.send(sent, without_role(act))
    hold = lived_stage.row("hold", id=done.entry.derived("order-hold"))
    assert (hold.cause, hold.placed_by_id, hold.seq) == (
        "out_of_order",
        lived_stage.ids[without_role(act)],
        done.entry.seq,
    )
    assert "nobody else was aboard" in hold.reason
    assert all(reason["message"] in hold.reason for reason in done.entry.out_of_order())


@pytest.mark.parametrize("act", DEEDS)
def test_a_deed_in_order_is_not_marked_though_it_says_already_done(act: str, lived_stage: Stage):
    done = lived_stage.send(example(lived_stage, act, already_done=True), EXAMPLES[act].by)
    assert done.entry.out_of_order() == []
    assert lived_stage.rows("hold", id=done.entry.derived("order-hold")) == []


def _seat(stage: Stage, *halves: str, when: str = "10 09:00", **more) -> dict:
    sensor, electronics = halves or ("p1 s", "p1 e")
    return stage.sent(
        "install_pair",
        when,
        bay="teasel A",
        sensor=sensor,
        electronics=electronics,
        already_done=True,
        why_out_of_order="the tide",
        **more,
    )


def _on_hold(stage: Stage) -> dict:
    stage.do("place_hold", "9 09:00", half="p1 s", reason="wet")
    return _seat(stage)


def _failed(stage: Stage) -> dict:
    stage.sign("ida", "10 08:30", strap_mohm="40")
    return _seat(stage)


def _found_other(stage: Stage) -> dict:
    stage.install("p1")
    return stage.sent(
        "remove_pair",
        "10 12:00",
        bay="teasel A",
        sensor_out="p2 s",
        electronics_out="p2 e",
        reason="planned",
        already_done=True,
        why_out_of_order="the tide",
    )


def _sealed(stage: Stage) -> dict:
    stage.do("record_delivery", "9 07:00", name="delivery", sender="Ardlune", reference="DN-3", site="shed", cartons=1)
    came = {"condition": "sound", "shock": "clear", "tilt": "clear", "seal": "whole"}
    stage.do("record_carton", "9 07:10", delivery="delivery", number=1, half="p1 s", **came)
    return _seat(stage)


def _struck(stage: Stage) -> dict:
    stage.do("record_knock", "9 09:00", half="p1 s", words="slipped on the bench")
    return _seat(stage)


def _untrained(stage: Stage) -> dict:
    stage.do("add_person", "9 09:00", by="maren", name="nils", role="technician", private={"name": "Nils"})
    return _seat(stage, done_by="nils")


GIVES_WAY = {
    "no_esd_signoff": lambda stage: _seat(stage, when="11 09:00"),
    "esd_failed": _failed,
    "on_hold": _on_hold,
    "not_accepted": _sealed,
    "not_looked_at": _struck,
    "type_not_accepted": lambda stage: _seat(stage, "p4 s", "p4 e"),
    "found_other": _found_other,
    "not_allowed": lambda stage: _seat(stage, done_by="vera"),
    "not_trained": _untrained,
}


@pytest.mark.parametrize("code", GIVES_WAY)
def test_a_reason_that_gives_way_is_kept_and_the_pair_is_on_hold(code: str, stages: Stage):
    sent = GIVES_WAY[code](stages)
    done = stages.send(sent, "oda" if sent.get("done_by") else "ida")
    assert code in {reason["code"] for reason in done.entry.out_of_order()}
    hold = stages.row("hold", id=done.entry.derived("order-hold"))
    assert hold.cause == "out_of_order"
    assert hold.pairing_id is not None
    assert stages.unlike() == []


def test_every_code_that_gives_way_is_shown_to():
    """What gives way at unboxing is shown in test_unboxing.py."""
    unboxing = {"too_cold", "not_matched", "mat_in_use"}
    assert set(GIVES_WAY) | unboxing == {code for code, kind in CODES.items() if kind.overridable}


NEVER_GIVES_WAY = {
    "mixed_pair": lambda stage: _seat(stage, "p1 s", "p2 e"),
    "same_kind": lambda stage: _seat(stage, "p1 s", "p2 s"),
    "bay_taken": lambda stage: (stage.install("p2"), _seat(stage, when="10 10:00"))[1],
    "pair_installed": lambda stage: (stage.install("p1", "teasel B"), _seat(stage, when="10 10:00"))[1],
    "overlaps_history": lambda stage: (stage.install("p2", when="10 10:00"), _seat(stage))[1],
    "pair_ended": lambda stage: (stage.do("end_pairing", "15 09:00", by="oda", pair="p1", why="lost"), _seat(stage))[1],
    "retired": lambda stage: (stage.do("retire_half", "9 09:00", by="piet", half="p1 s", why="worn"), _seat(stage))[1],
    "needs_second_person": lambda stage: _seat(stage, second="oda"),
}


@pytest.mark.parametrize("code", NEVER_GIVES_WAY)
def test_a_reason_that_never_gives_way_stands_whatever_anyone_says(code: str, stage: Stage):
    assert code in stage.refusal(NEVER_GIVES_WAY[code](stage))


# looking before


def test_an_act_names_what_it_draws_in_its_entry(stage: Stage):
    done = stage.do("add_site", "10 09:00", by="maren", site="South quay", kind="shore")
    assert done.entry.decided["code"] == stage.row("site", id=done.entry.id).code
    assert done.entry.decided["code"].startswith("K")


STALE = [
    "end_role", "give_role", "record_departure", "release_hold", "leave_station", "remove_pair", "swap_pairs", "end_pairing",
    "stop_accepting_type", "amend_times", "settle_discrepancy", "answer_recheck", "close_housing", "move_vehicle",
]  # fmt: skip


@pytest.mark.parametrize("act", STALE)
def test_an_act_on_a_page_older_than_what_it_touches_is_stale(act: str, lived_stage: Stage):
    by = EXAMPLES[act].by
    assert lived_stage.refusal(example(lived_stage, act, seen=1), by) == {"stale": None}
    assert lived_stage.send(example(lived_stage, act, seen=lived_stage.size()), by).entry.act == act


def test_an_install_on_a_page_older_than_the_bay_is_stale(stage: Stage):
    stage.install("p1")
    stage.remove("p1", when="10 10:00")
    sent = stage.sent(
        "install_pair", "10 11:00", bay="teasel A", sensor="p2 s", electronics="p2 e", seen=stage.size() - 1
    )
    assert stage.refusal(sent) == {"stale": None}


def test_a_page_as_old_as_the_log_is_not_stale_for_what_happened_elsewhere(stage: Stage):
    seen = stage.size()
    stage.install("p1")
    stage.send(stage.sent("install_pair", "10 11:00", bay="burdock A", sensor="p2 s", electronics="p2 e", seen=seen))
