"""Each constraint by itself, with every trigger gone: it refuses one spoilt row, and without it that row goes in."""

import pytest
import sqlalchemy as sa

from registry.models.base import metadata
from registry.models.guards import drop_guards
from tests.models.attacks import BOTH, span, whole_stay
from tests.models.conftest import copied
from tests.models.fresh import fresh
from tests.models.hand import Hand, new_id, told
from tests.models.spoilt import Spoilt, checks, on_engine, references, uniques


def _both(cases_of, name):
    return [
        pytest.param(
            case, engine, id=f"{name(case)} [{engine}]", marks=[pytest.mark.postgres] * (engine == "postgresql")
        )
        for engine in BOTH
        for case in cases_of(engine)
    ]


CHECKS = _both(checks, lambda spoilt: spoilt.constraint)
REFERENCES = _both(lambda _engine: references(), lambda spoilt: spoilt.constraint)
UNIQUES = _both(lambda _engine: uniques(), lambda case: case[0])
FILLED = _both(lambda _engine: [t.name for t in metadata.sorted_tables if t.name not in ("log_head", "log_rest")], str)


@pytest.fixture
def bare(request, engine, owner_of):
    """An owner's connection to a record without triggers, inside a transaction that is rolled back."""
    world = request.getfixturevalue(f"unguarded_{engine}")
    with owner_of(world).connect() as db, db.begin() as whole:
        hand = Hand(db, world)
        hand.open()
        yield hand, world.ids
        whole.rollback()


def _unguarded(request, owner_of, engine):
    world = copied(request, engine)
    with owner_of(world).begin() as db:
        drop_guards(db)
    return world


@pytest.fixture(scope="module")
def unguarded_sqlite(request, owner_of):
    return _unguarded(request, owner_of, "sqlite")


@pytest.fixture(scope="module")
def unguarded_postgresql(request, owner_of):
    return _unguarded(request, owner_of, "postgresql")


def _refusal(hand: Hand, table: str, row: dict) -> str:
    with pytest.raises(sa.exc.DBAPIError) as caught, hand.db.begin_nested():
        _write(hand, table, row)
    return told(caught.value)


def _write(hand: Hand, table: str, row: dict) -> None:
    if table == "log_head" and row["one"] == 1:
        hand.db.execute(metadata.tables[table].update().values(**row))
    else:
        hand.db.execute(metadata.tables[table].insert(), row)


@pytest.mark.parametrize(("spoilt", "engine"), CHECKS)
def test_a_check_refuses_what_goes_in_without_it(spoilt: Spoilt, engine: str, bare):
    hand, ids = bare
    if spoilt.table == "log_head":  # A head that is open would wait for the end of the transaction.
        hand.sql("UPDATE log_head SET writing = 0")
    row = spoilt.row(hand, ids)
    assert spoilt.constraint in _refusal(hand, spoilt.table, row)
    if engine == "sqlite":
        hand.sql("PRAGMA ignore_check_constraints = ON")
    else:
        hand.sql("SET CONSTRAINTS ALL IMMEDIATE" if spoilt.table == "log_head" else "SELECT 1")
        hand.sql(f"ALTER TABLE {spoilt.table} DROP CONSTRAINT {spoilt.constraint}")
        hand.sql("SET CONSTRAINTS ALL DEFERRED")
    try:
        _write(hand, spoilt.table, row)
    finally:
        if engine == "sqlite":
            hand.sql("PRAGMA ignore_check_constraints = OFF")


@pytest.mark.parametrize(("spoilt", "engine"), REFERENCES)
def test_a_reference_refuses_what_goes_in_without_it(spoilt: Spoilt, engine: str, bare):
    hand, ids = bare
    row = spoilt.row(hand, ids)
    said = _refusal(hand, spoilt.table, row)
    if engine == "postgresql":
        assert any(f'"{name}"' in said for name in (spoilt.constraint, *spoilt.also))
        for name in (spoilt.constraint, *spoilt.also):
            hand.sql(f"ALTER TABLE {spoilt.table} DROP CONSTRAINT {name}")
        _write(hand, spoilt.table, row)
        return
    assert "FOREIGN KEY constraint failed" in said
    _anew(hand, "PRAGMA foreign_keys = OFF")
    _write(hand, spoilt.table, spoilt.row(hand, ids))
    _anew(hand, "PRAGMA foreign_keys = ON")


def _anew(hand: Hand, pragma: str) -> None:
    """SQLite switches its keys between transactions only."""
    for statement in ("ROLLBACK", pragma, "BEGIN IMMEDIATE"):
        hand.raw.execute(statement)
    hand.seq -= 1
    hand.open()


#: What a row must be about for a UNIQUE that only some rows meet.
_TO_BE_ONCE = {
    "retirement_of_a_vehicle_once": {"vehicle_id": "teasel", "half_id": None},
    "audit_line_bay_once": {"bay_id": "teasel A", "label": None},
    "audit_line_half_once": {"half_id": "p1 s", "label": None},
}


@pytest.mark.parametrize(("case", "engine"), UNIQUES)
def test_a_unique_refuses_what_goes_in_without_it(case, engine: str, bare):
    """SQLite cannot drop a UNIQUE without building the table anew: there the refusal is shown, and what it names."""
    name, table, columns = case
    hand, ids = bare
    spoilt = _TO_BE_ONCE.get(name, {})
    first = fresh(hand, table, ids, **spoilt)
    _write(hand, table, first)
    second = _beside(hand, table, first, ids) | {column: first[column] for column in columns}
    said = _refusal(hand, table, second)
    if engine == "sqlite":
        assert f"UNIQUE constraint failed: {', '.join(f'{table}.{column}' for column in columns)}" in said
        return
    assert f'"{name}"' in said
    hand.sql(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
    _write(hand, table, second)


def _beside(hand: Hand, table: str, first: dict, ids: dict[str, str]) -> dict:
    """Another lawful row: what must differ between two rows of this table differs."""
    words = ("badge", "code", "letter", "name", "serial")
    second = first | {name: f"{first[name]} other" for name in words if name in first}
    if table == "log_entry":
        return second | {"seq": first["seq"] + 1}
    if table == "audit_line":
        return second | {"id": new_id("second"), "number": first["number"] + 1}
    if table == "token":
        return second | {"id": new_id("second")}
    if table == "calendar_key":
        return second | {"person_id": ids["maren"]}
    if table == "person_private":
        person = fresh(hand, "person", ids) | {"id": new_id("second"), "code": "second"}
        _write(hand, "person", person)
        return second | {"person_id": person["id"]}
    return second | {"id": new_id("second")}


@pytest.mark.parametrize(("table", "engine"), FILLED)
def test_no_column_that_must_be_filled_takes_nothing(table: str, engine: str, bare):
    hand, ids = bare
    row = fresh(hand, table, ids)
    counted = [metadata.tables[table].c[name] for name in _COUNTED.get(table, ()) if engine == "sqlite"]
    for column in metadata.tables[table].c:
        if not column.nullable and column not in counted:
            said = _refusal(hand, table, row | {column.name: None})
            assert f"{table}.{column.name}" in said or f'"{column.name}"' in said
    _write(hand, table, row)


#: SQLite itself fills in an integer key that is left empty; the guards of these tables then refuse the row.
_COUNTED = {"log_entry": ("seq",), "log_checkpoint": ("size",)}
LIVE = {"bay_id": whole_stay("{teasel_A}", "p3", "2026-05-19T09:00:00.000000Z")}
LIVE |= dict.fromkeys(
    ("pairing_id", "sensor_id", "electronics_id"),
    (span("{teasel_A}", "{p1}", "{p1_s}", "{p1_e}", "2026-05-19T09:00:00.000000Z", installation="{inst_1}"),),
)


@pytest.mark.parametrize(("key", "engine"), _both(lambda _engine: LIVE, str))
def test_one_live_span_is_all_that_an_index_lets_in(key: str, engine: str, bare):
    hand, _ids = bare
    others = [name for name in LIVE if name != key]
    for name in others:
        hand.sql(f"DROP INDEX one_live_{name}")
    with pytest.raises(sa.exc.DBAPIError, match=f"installation_span.{key}|one_live_{key}"), hand.db.begin_nested():
        for statement in LIVE[key]:
            hand.sql(statement)
    hand.sql(f"DROP INDEX one_live_{key}")
    for statement in LIVE[key]:
        hand.sql(statement)


EXPLAINED = {
    "half_by_kind_and_type": "a wider key for references; `id` alone is unique",
    "housing_by_vehicle": "a wider key for references; `id` alone is unique",
    "installation_by_all_it_names": "a wider key for references; `id` alone is unique",
    "pairing_by_its_halves": "a wider key for references; `id` alone is unique",
}


@pytest.mark.parametrize("engine", BOTH)
def test_every_named_constraint_is_shown_to_refuse_or_explained(engine: str):
    shown = (
        {spoilt.constraint for spoilt in (*checks(engine), *references())}
        | {name for name, _table, _columns in uniques()}
        | EXPLAINED.keys()
    )
    shown |= {
        str(key.name) for table in metadata.sorted_tables for key in table.foreign_key_constraints if key.deferrable
    }
    kinds = (sa.CheckConstraint, sa.UniqueConstraint, sa.ForeignKeyConstraint)
    named = {
        str(c.name)
        for table in metadata.sorted_tables
        for c in table.constraints
        if isinstance(c, kinds) and on_engine(c, engine)
    }
    assert shown == named
