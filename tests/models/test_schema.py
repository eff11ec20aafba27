"""The fingerprint at start-up: a database that is not as this release left it is named part by part, and not written to."""

import pytest
import sqlalchemy as sa
from alembic.migration import MigrationContext
from alembic.operations import Operations

from registry.config import Settings
from registry.errors import Refused
from registry.instance import Instance
from registry.models.base import metadata
from registry.models.guards import create_guards, drop_guards
from registry.models.schema import differences, require_schema
from tests.models.attacks import BOTH

NOTHING = "RETURN NEW; END"
TAMPERED = {
    "sqlite": {
        "a trigger dropped": (["DROP TRIGGER installation_by_act"], ["trigger installation_by_act is missing"]),
        "a trigger that lets everything by": (["DROP TRIGGER installation_by_act", "CREATE TRIGGER installation_by_act BEFORE INSERT ON installation WHEN 0 BEGIN SELECT RAISE(ABORT, 'guard:installation_by_act'); END"], ["trigger installation_by_act was changed"]),
        "a trigger too many": (["CREATE TRIGGER mine AFTER INSERT ON installation BEGIN DELETE FROM site; END"], ["trigger mine is not ours"]),
        "an index dropped": (["DROP INDEX one_live_bay_id"], ["index one_live_bay_id is missing"]),
        "an index that is no longer unique": (["DROP INDEX one_live_bay_id", "CREATE INDEX one_live_bay_id ON installation_span (bay_id) WHERE removed_at IS NULL AND voided_seq IS NULL"], ["index one_live_bay_id was changed"]),
        "a column added": (["ALTER TABLE site ADD COLUMN mine TEXT"], ["table site was changed"]),
        "a table dropped": (["DROP TABLE amendment"], ["table amendment is missing", "trigger amendment_by_act is missing", "index ix_amendment_amended_act_id is missing"]),
        "a table too many": (["CREATE TABLE mine (id INTEGER)"], ["table mine is not ours"]),
        "a view": (["CREATE VIEW mine AS SELECT * FROM site"], ["view mine is not ours"]),
        "a trigger by a name like SQLite's own": (["CREATE TRIGGER sqlite9 AFTER INSERT ON installation BEGIN DELETE FROM site; END"], ["trigger sqlite9 is not ours"]),
        "a trigger by the name of a table that is left out": (["CREATE TRIGGER alembic_version AFTER INSERT ON installation BEGIN DELETE FROM site; END"], ["trigger alembic_version is not ours"]),
    },
    "postgresql": {
        "a trigger dropped": (["DROP TRIGGER installation_by_act ON installation"], ["trigger installation.installation_by_act is missing"]),
        "a trigger disabled": (["ALTER TABLE installation DISABLE TRIGGER installation_by_act"], ["trigger installation.installation_by_act was changed"]),
        "a trigger that a replica does not fire": (["ALTER TABLE installation ENABLE TRIGGER installation_by_act"], ["trigger installation.installation_by_act was changed"]),
        "a trigger's function replaced": ([f"CREATE OR REPLACE FUNCTION installation_by_act() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$ BEGIN {NOTHING} $$"], ["function installation_by_act was changed"]),
        "a trigger's function that looks elsewhere": (["ALTER FUNCTION installation_by_act() SET search_path = pg_temp"], ["function installation_by_act was changed"]),
        "a trigger too many": ([f"CREATE FUNCTION mine() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {NOTHING} $$", "CREATE TRIGGER mine AFTER INSERT ON installation FOR EACH ROW EXECUTE FUNCTION mine()"], ["trigger installation.mine is not ours", "function mine is not ours"]),
        "an exclusion dropped": (["ALTER TABLE installation_span DROP CONSTRAINT installation_span_excluded_by_bay_id"], ["constraint installation_span.installation_span_excluded_by_bay_id is missing"]),
        "a reference dropped": (["ALTER TABLE installation DROP CONSTRAINT installation_of_both_halves_of_a_pairing"], ["constraint installation.installation_of_both_halves_of_a_pairing is missing"]),
        "a reference that nobody checked": (["ALTER TABLE installation DROP CONSTRAINT installation_of_both_halves_of_a_pairing", "ALTER TABLE installation ADD CONSTRAINT installation_of_both_halves_of_a_pairing FOREIGN KEY (pairing_id, sensor_id, electronics_id) REFERENCES pairing (id, sensor_id, electronics_id) NOT VALID"], ["constraint installation.installation_of_both_halves_of_a_pairing was changed"]),
        "a check dropped": (["ALTER TABLE hold DROP CONSTRAINT hold_on_one_thing"], ["constraint hold.hold_on_one_thing is missing"]),
        "a column that may be empty": (["ALTER TABLE installation ALTER COLUMN bay_id DROP NOT NULL"], ["column installation.bay_id was changed"]),
        "a column added": (["ALTER TABLE site ADD COLUMN mine text"], ["column site.mine is not ours"]),
        "an index dropped": (["DROP INDEX one_live_bay_id"], ["index one_live_bay_id is missing"]),
        "a rule that swallows what is written": (["CREATE RULE mine AS ON INSERT TO log_node DO INSTEAD NOTHING"], ["rule log_node.mine is not ours"]),
        "rows hidden by a policy": (["ALTER TABLE installation_span ENABLE ROW LEVEL SECURITY", "CREATE POLICY mine ON installation_span USING (false)"], ["policy installation_span.mine is not ours", "row security installation_span is not ours"]),
        "a table too many": (["CREATE TABLE mine (id integer)"], ["column mine.id is not ours"]),
    },
}  # fmt: skip
TABLE = [
    pytest.param(engine, name, id=f"{name} [{engine}]", marks=[pytest.mark.postgres] * (engine == "postgresql"))
    for engine in BOTH
    for name in TAMPERED[engine]
]


@pytest.fixture
def owned(besieged, owner_of):
    with owner_of(besieged).connect() as db, db.begin() as whole:
        yield db
        whole.rollback()


@pytest.mark.parametrize(("engine", "name"), TABLE)
def test_what_was_tampered_with_is_named_and_nothing_is_written(engine: str, name: str, owned: sa.Connection):
    statements, named = TAMPERED[engine][name]
    assert differences(owned) == []
    for statement in statements:
        owned.exec_driver_sql(statement)
    assert set(named) <= set(differences(owned))
    with pytest.raises(Refused) as caught:
        require_schema(owned)
    assert caught.value.reasons[0].code == "schema_changed"
    assert any(sentence in str(caught.value) for sentence in named)


@pytest.mark.parametrize("engine", ["sqlite"])
def test_a_table_that_a_batch_built_anew_has_lost_its_guards(engine: str, owned: sa.Connection):
    """Alembic's batch mode copies a SQLite table, and its triggers are gone without a word."""
    operations = Operations(MigrationContext.configure(owned))
    with operations.batch_alter_table("amendment", recreate="always"):
        pass
    lost = differences(owned)
    assert {
        "trigger amendment_by_act is missing",
        "trigger amendment_stays is missing",
        "trigger amendment_fixed is missing",
    } <= set(lost)


@pytest.mark.parametrize("engine", ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def test_guards_dropped_and_made_again_are_the_same(engine: str, owned: sa.Connection):
    drop_guards(owned)
    assert len(differences(owned)) > len(metadata.tables)
    create_guards(owned)
    assert differences(owned) == []


def test_an_instance_whose_schema_was_changed_does_not_open(tmp_path):
    settings = Settings.read({"PAIRBOOK_HOME": str(tmp_path)})
    made = Instance(settings)
    made.prepare()
    made.database.dispose()
    with sa.create_engine(settings.database_url).begin() as db:
        db.exec_driver_sql("DROP TRIGGER installation_by_act")
    with pytest.raises(Refused) as caught:
        Instance(settings).database  # noqa: B018  opening it is the act
    assert "trigger installation_by_act is missing" in str(caught.value)
