"""No attack by SQL over an application connection gets through, and the record is afterwards what the log says."""

import re
import sqlite3

import psycopg
import pytest
import sqlalchemy as sa

from registry.acts import log
from registry.acts.entry import read
from registry.acts.fold import compare, fold
from registry.errors import Refused
from tests.models import attacks, attacks_log, attacks_postgres, attacks_sqlite
from tests.models.attacks import BOTH, Attack
from tests.models.hand import Hand, record, told

ATTACKS = [
    *attacks.MIXING, *attacks.RELABELLING, *attacks.HALF_CLOSED, *attacks.HISTORY, *attacks_log.WITHOUT_AN_ENTRY, *attacks_log.LOG,
    *attacks_sqlite.CONFLICTS, *attacks_sqlite.SWITCHES, *attacks_postgres.WRITING, *attacks_postgres.SWITCHES,
]  # fmt: skip
TABLE = [
    pytest.param(
        attack, engine, id=f"{attack.name} [{engine}]", marks=[pytest.mark.postgres] * (engine == "postgresql")
    )
    for engine in BOTH
    for attack in ATTACKS
    if engine in attack.engines
]


class GotThrough(AssertionError):
    """Raised inside the transaction, so that what an attack wrote is rolled back and the next finds the same record."""


#: Statements on the driver's own connection fail with its own errors.
REFUSALS = (Refused, sa.exc.DBAPIError, sqlite3.Error, psycopg.Error, GotThrough)


@pytest.fixture(scope="module")
def untouched() -> dict[str, list]:
    """Engine -> the whole record before the first attack, which was then the fold of its log."""
    return {}


def _as_the_log_tells_it(db: sa.Connection) -> list:
    entries = [read(stored.raw) for stored in log.rows(db)]
    assert len(entries) == log.head(db).size
    assert [unlike.say() for unlike in compare(db, fold(entries))] == []
    return record(db)


@pytest.mark.parametrize(("attack", "engine"), TABLE)
def test_an_attack_is_refused_and_leaves_the_record_as_the_log_tells_it(
    attack: Attack, engine: str, besieged, untouched
):
    database = besieged.database
    if engine not in untouched:
        with database.reading() as db:
            untouched[engine] = _as_the_log_tells_it(db)
    with pytest.raises(REFUSALS) as caught, database.writing() as db:
        hand = Hand(db, besieged)
        if attack.open:
            hand.open()
        for step in attack.steps:
            step(hand) if callable(step) else hand.sql(step)
        raise GotThrough(attack.name)
    assert not isinstance(caught.value, GotThrough), f"{attack.name}: nothing stood in its way"
    assert re.search(attack.refused, told(caught.value)), f"refused, but by something else: {told(caught.value)}"
    with database.reading() as db:
        assert record(db) == untouched[engine]


def test_at_least_the_attacks_that_the_design_counted_are_tried():
    for engine in BOTH:
        names = [attack.name for attack in ATTACKS if engine in attack.engines]
        assert len(set(names)) == len(names) >= 32
