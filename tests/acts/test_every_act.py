"""What holds for every act there is: it can be done, it is the same when sent twice, and strangers are refused.

A new act fails here until examples.py shows it once.
"""

import pytest

from registry.acts.act import ACTS, LIFT, Deed
from tests.acts.examples import EXAMPLES, FIRST, example
from tests.acts.stage import Stage
from tests.bounds import some

RESTRICTED = [name for name, told in EXAMPLES.items() if told.stranger]
REFERRING = [(name, field) for name in EXAMPLES for field in ACTS[name].references]
#: Acts about one thing -> the fields of which one says which.
ABOUT_ONE = {
    **{act: set(ACTS[act].references) for act in ("attach_file", "place_hold", "record_knock", "plan_crossing")},
    "open_impact": set(ACTS["open_impact"].references) - {"hold"},
    **{act: {"hold", "impact"} for act in ("hold_same_batch", "pass_same_batch")},
}
OF_THE_OFFICE = [name for name in EXAMPLES if not issubclass(ACTS[name], Deed)]


def test_every_act_has_an_example():
    assert set(EXAMPLES) == set(ACTS) - {FIRST}
    assert not LIFT, "a lift of an older version wants its own test"


#: Every act on SQLite each day, on PostgreSQL in the long runs.
ON_AN_ENGINE = [(act, "sqlite") for act in EXAMPLES] + [
    pytest.param(act, "postgresql", marks=[pytest.mark.postgres, pytest.mark.long]) for act in some(list(EXAMPLES))
]


@pytest.mark.parametrize(("act", "engine"), ON_AN_ENGINE)
def test_an_act_becomes_one_entry_and_the_tables_are_still_the_fold_of_the_log(act: str, engine: str, lived_on: Stage):
    sent, before = example(lived_on, act), lived_on.size()
    done = lived_on.send(sent, EXAMPLES[act].by)
    assert (done.entry.act, done.entry.seq, done.again) == (act, before + 1, False)
    assert done.entry.by == done.entry.done_by == lived_on.ids[EXAMPLES[act].by]
    assert done.entry.out_of_order() == []
    assert lived_on.size() == before + 1
    assert lived_on.entries()[-1] == done.entry
    assert lived_on.unlike() == []


@pytest.mark.parametrize("act", EXAMPLES)
def test_an_act_sent_twice_is_one_entry_and_with_other_fields_it_is_refused(act: str, lived_stage: Stage):
    sent, by = example(lived_stage, act), EXAMPLES[act].by
    first, second = lived_stage.send(sent, by), lived_stage.send(sent, by)
    assert (second.again, second.entry) == (True, first.entry)
    assert lived_stage.size() == first.entry.seq
    told = {name: lived_stage._known(value) for name, value in EXAMPLES[act].otherwise.items()}
    assert lived_stage.refusal(sent | told, by) == {"conflicting_replay": "id"}
    assert [reason.code for reason in lived_stage.answer(sent | told, by).reasons] == ["conflicting_replay"]
    assert lived_stage.answer(sent, by).reasons == []


@pytest.mark.parametrize("act", RESTRICTED)
def test_somebody_without_the_role_is_refused_and_nothing_is_stored(act: str, lived_stage: Stage):
    before = lived_stage.record()
    assert "not_allowed" in lived_stage.refusal(example(lived_stage, act), EXAMPLES[act].stranger)
    assert lived_stage.record() == before


def test_only_acts_that_anyone_may_do_have_no_stranger():
    assert {name for name, told in EXAMPLES.items() if not told.stranger} == {
        "attach_file",
        "note_fault",
        "place_hold",
        "record_knock",
    }


@pytest.mark.parametrize("act", EXAMPLES)
def test_somebody_who_has_left_signs_nothing(act: str, lived_stage: Stage):
    assert "not_signed_in" in lived_stage.refusal(example(lived_stage, act), "jon")


@pytest.mark.parametrize("act", EXAMPLES)
def test_the_go_no_go_answers_without_writing(act: str, lived_stage: Stage):
    before = lived_stage.record()
    assert lived_stage.answer(example(lived_stage, act), EXAMPLES[act].by).reasons == []
    assert lived_stage.record() == before


@pytest.mark.parametrize("act", EXAMPLES)
def test_the_instant_is_kept_with_the_offset_as_entered(act: str, lived_stage: Stage):
    done = lived_stage.send(example(lived_stage, act, happened_at="2026-05-18T10:30:00+01:30"), EXAMPLES[act].by)
    assert (done.entry.happened_at, done.entry.at) == (
        "2026-05-18T10:30:00.000000+01:30",
        "2026-05-18T09:00:00.000000Z",
    )
    kept = lived_stage.row("log_entry", seq=done.entry.seq)
    assert (kept.happened_at, kept.happened_offset_min) == ("2026-05-18T09:00:00.000000Z", 90)
    assert lived_stage.unlike() == []


@pytest.mark.parametrize("act", EXAMPLES)
def test_an_act_that_lies_ahead_is_refused(act: str, lived_stage: Stage):
    sent = example(lived_stage, act, happened_at="2026-05-20T12:05:01Z")
    assert lived_stage.refusal(sent, EXAMPLES[act].by) == {"in_the_future": "happened_at"}


@pytest.mark.parametrize(("act", "field"), REFERRING)
def test_a_reference_to_nothing_is_refused_at_its_field(act: str, field: str, lived_stage: Stage):
    listed = isinstance(EXAMPLES[act].fields.get(field), list)
    sent = example(lived_stage, act, **{field: ["no such thing"] if listed else "no such thing"})
    apart = ABOUT_ONE.get(act, set())
    if field in apart:
        for other in apart - {field}:
            sent.pop(other, None)
    if (act, field) == ("enter_loan", "vehicle"):  # Of a vehicle or of a pair.
        sent.pop("pair")
    assert lived_stage.refusal(sent, EXAMPLES[act].by) == {"unknown_label": field}


@pytest.mark.parametrize("act", EXAMPLES)
def test_a_field_left_out_is_named(act: str, lived_stage: Stage):
    for field, info in ACTS[act].model_fields.items():
        if info.is_required():
            sent = example(lived_stage, act)
            del sent[field]
            assert lived_stage.refusal(sent, EXAMPLES[act].by) == {"missing_field": field}


@pytest.mark.parametrize("act", EXAMPLES)
def test_a_field_that_does_not_exist_is_named(act: str, lived_stage: Stage):
    assert lived_stage.refusal(example(lived_stage, act) | {"colour": "red"}, EXAMPLES[act].by) == {
        "unknown_field": "colour"
    }


@pytest.mark.parametrize("act", OF_THE_OFFICE)
def test_an_act_of_the_office_knows_no_already_done(act: str, lived_stage: Stage):
    assert lived_stage.refusal(example(lived_stage, act) | {"already_done": True}, EXAMPLES[act].by) == {
        "unknown_field": "already_done"
    }
