"""A database that refuses says so in a sentence: every constraint and every guard has one, and the reason code with it."""

import pytest
import sqlalchemy as sa

from registry.errors import CODES, Refused
from registry.models.base import metadata
from registry.models.guards import all_guards
from registry.models.refusals import ABSENT, EMPTY, sentences, translated
from tests.models.attacks import BOTH, IN_MAY, pairing, seat, whole_stay
from tests.models.hand import Hand
from tests.models.spoilt import checks, on_engine, uniques


def test_every_constraint_and_guard_has_a_sentence():
    said = sentences()
    named = {f"guard:{guard.name}" for engine in BOTH for guard in all_guards(engine)}
    named |= {spoilt.constraint for engine in BOTH for spoilt in checks(engine)} | {
        name for name, _table, _columns in uniques()
    }
    named |= {str(index.name) for table in metadata.sorted_tables for index in table.indexes if index.unique}
    assert named <= said.keys()


def test_every_sentence_is_one_and_every_code_is_known():
    for name, (code, sentence) in sentences().items():
        assert code in CODES, name
        assert sentence[0].isupper() and sentence.endswith("."), name


@pytest.mark.parametrize("engine", BOTH)
def test_no_two_constraints_share_a_name(engine: str):
    names = [
        str(c.name) for table in metadata.sorted_tables for c in table.constraints if c.name and on_engine(c, engine)
    ]
    names += [str(index.name) for table in metadata.sorted_tables for index in table.indexes]
    assert len(names) == len(set(names))


TOLD = {
    "a guard": (seat("{burdock_A}", "{p3}", "{p3_s}", "{p3_e}"), False, "guard", "The record is written only by an act."),
    "a guard with its own code": (whole_stay("{burdock_A}", "gone", "2026-05-18T00:00:00.000000Z"), True, "pair_ended", "The pairing did not hold for all of that time."),
    "an overlap": (whole_stay("{teasel_A}", "p3", IN_MAY), True, "overlaps_history", "Two stays in the record would overlap (bay_id)."),
    "a check": (pairing("{lone_s}", "{lone2_s}", kinds=("sensor", "sensor")), True, "same_kind", "A pair is one sensor half and one electronics half."),
    "a unique": ("INSERT INTO site (id, code, name, kind, offset_min, seq) SELECT {new_1}, 'x', name, kind, 0, {head} FROM site WHERE id = {shed}", True, "already_known", "Another site has that name."),
    "a reference": (seat("{burdock_A}", "{p3}", "{p3_s}", "{p4_e}"), True, *ABSENT),
    "something left out": (seat("{burdock_A}", "{p3}", "{p3_s}", "NULL"), True, *EMPTY),
}  # fmt: skip


@pytest.mark.parametrize("name", TOLD)
@pytest.mark.parametrize("engine", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_what_the_database_refuses_becomes_a_reason(engine: str, name: str, besieged):
    statements, opened, code, sentence = TOLD[name]
    with pytest.raises(Refused) as caught, besieged.database.writing() as db:
        hand = Hand(db, besieged)
        if opened:
            hand.open()
        for statement in [statements] if isinstance(statements, str) else statements:
            hand.sql(statement)
    assert [(reason.code, reason.message) for reason in caught.value.reasons] == [(code, sentence)]


@pytest.mark.parametrize("engine", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_what_is_no_refusal_goes_on_as_it_is(engine: str, besieged):
    with pytest.raises(sa.exc.DBAPIError, match="nowhere"), besieged.database.writing() as db:
        db.exec_driver_sql("SELECT * FROM nowhere")


def test_a_database_that_others_hold_is_busy():
    locked = sa.exc.OperationalError("BEGIN IMMEDIATE", {}, Exception("database is locked"))
    with pytest.raises(Refused) as caught, translated():
        raise locked
    assert (caught.value.status, caught.value.reasons[0].code) == (503, "busy")
