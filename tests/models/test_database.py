"""Connections: how they are set up, what reading sees, that writing is all or nothing, and that writers take turns."""

import threading

import pytest
import sqlalchemy as sa

from registry.acts import log
from registry.acts.entry import read
from registry.acts.fold import compare, fold
from registry.errors import Refused
from registry.models import database as module
from registry.models.base import metadata
from registry.models.database import Database, Turns, owner_engine
from tests.models.hand import Hand

SITES = "SELECT count(*) FROM site"
SET_UP = {
    "journal_mode": "wal",
    "synchronous": 2,  # FULL: NORMAL loses acknowledged acts when the power goes
    "foreign_keys": 1,
    "recursive_triggers": 1,
    "trusted_schema": 0,
    "wal_autocheckpoint": 10000,
    "busy_timeout": 10000,
}


@pytest.mark.parametrize("name", SET_UP)
def test_a_sqlite_connection_is_set_up(name: str, lived_sqlite, owner_of):
    with owner_of(lived_sqlite).connect() as db:
        assert db.exec_driver_sql(f"PRAGMA {name}").scalar() == SET_UP[name]


def test_an_application_connection_is_set_up_like_the_owners(lived_sqlite):
    """Its authorizer forbids asking, so it is lifted for the question."""
    with lived_sqlite.database.writing() as db:
        raw = db.connection.driver_connection
        raw.set_authorizer(None)
        assert {name: raw.execute(f"PRAGMA {name}").fetchone()[0] for name in SET_UP} == SET_UP


def test_reading_sees_one_moment(lived):
    with lived.database.reading() as db:
        before = db.exec_driver_sql(SITES).scalar()
        lived.do("add_site", "17 09:00", by="maren", site="Late quay", kind="shore")
        assert db.exec_driver_sql(SITES).scalar() == before
    with lived.database.reading() as db:
        assert db.exec_driver_sql(SITES).scalar() == before + 1


def test_writing_is_all_or_nothing(lived):
    with lived.database.reading() as db:
        before = db.execute(sa.select(metadata.tables["log_head"])).one()
    with pytest.raises(ZeroDivisionError), lived.database.writing() as db:
        db.exec_driver_sql("UPDATE log_head SET size = size + 1, writing = 1")
        raise ZeroDivisionError
    with lived.database.reading() as db:
        assert db.execute(sa.select(metadata.tables["log_head"])).one() == before


def test_a_refused_writer_gives_its_turn_back(lived):
    """Were it kept, the next writer would wait for ever."""
    assert "bay_taken" in lived.refused("install_pair", "18 09:00", bay="teasel A", sensor="p3 s", electronics="p3 e")
    lived.do("note_fault", "18 09:00", half="p1 s", words="none")


def test_an_instant_comes_back_as_it_went_in(lived):
    stamp = "2026-05-12T09:30:15.123456Z"
    lived.do("place_hold", stamp.replace("Z", "+00:00"), vehicle="teasel", reason="to look at the microseconds")
    with lived.database.reading() as db:
        hold = metadata.tables["hold"]
        assert db.execute(sa.select(hold.c.placed_at).where(hold.c.vehicle_id == lived.ids["teasel"])).scalar() == stamp


def test_turns_are_handed_on_in_order_of_arrival():
    turns, served = Turns(), []

    def wait(number: int) -> None:
        with turns():
            served.append(number)

    threads = [threading.Thread(target=wait, args=(number,)) for number in range(8)]
    with turns():
        for number, thread in enumerate(threads):
            thread.start()
            while len(turns._waiting) <= number:
                thread.join(0.001)
    for thread in threads:
        thread.join()
    assert served == list(range(8))


def test_who_waits_too_long_is_told_that_others_are_writing(monkeypatch):
    monkeypatch.setattr(module, "PATIENCE_S", 0.01)
    turns = Turns()
    with turns(), pytest.raises(Refused) as caught, turns():
        raise AssertionError("two turns at once")
    assert caught.value.reasons[0].code == "busy"
    with turns():
        """The turn was given back, and nobody who gave up is still in the queue."""


def test_another_kind_of_database_is_refused():
    with pytest.raises(ValueError, match="neither"):
        Database("mysql://nowhere/none")


def test_an_owner_may_change_the_schema_and_an_application_may_not(lived, owner_of):
    with owner_of(lived).connect() as db, db.begin() as whole:
        db.exec_driver_sql("CREATE TABLE mine (id integer)")
        whole.rollback()
    with pytest.raises(sa.exc.DBAPIError), lived.database.writing() as db:
        db.exec_driver_sql("CREATE TABLE mine (id integer)")
    assert owner_engine(lived.database.url).dialect.name == lived.database.engine_name


@pytest.mark.parametrize("left", ["without an entry", "open"])
def test_a_head_is_not_committed_while_it_is_open(left: str, lived):
    """Were it, rows could go in under the newest entry, or no act be entered ever again."""
    with pytest.raises(Refused), lived.database.writing() as db:
        hand = Hand(db, lived)
        if left == "open":
            hand.open()
        else:
            hand.sql("UPDATE log_head SET size = size + 1, writing = 1")
    lived.do("note_fault", "18 09:00", half="p1 s", words="none")


@pytest.mark.postgres
def test_a_session_that_changed_its_zone_reads_the_same_instants(lived_postgres):
    """A connection goes back to the pool with what it was told."""
    with lived_postgres.database.writing() as db:
        db.exec_driver_sql("SET timezone = 'Asia/Tokyo'")
    with lived_postgres.database.reading() as db:
        assert db.exec_driver_sql("SHOW timezone").scalar() == "Asia/Tokyo"
        assert list(compare(db, fold(read(stored.raw) for stored in log.rows(db)))) == []
