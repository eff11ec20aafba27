"""What PostgreSQL holds besides triggers on rows: exclusion constraints, and triggers on TRUNCATE."""

import pytest
import sqlalchemy as sa

from registry.models.base import folded_tables, metadata
from tests.bounds import some
from tests.models.hand import Hand, told
from tests.models.probes import HISTORY

pytestmark = pytest.mark.postgres
KEYS = [
    f"{table.name}_excluded_by_{keys.replace(' ', '_')}"
    for table in folded_tables()
    if table.info["stay"]
    for keys in table.info["stay"].apart
]
TRUNCATED = sorted(metadata.tables)


@pytest.fixture
def hand(besieged_postgresql, owner_of):
    with owner_of(besieged_postgresql).connect() as db, db.begin() as whole:
        yield Hand(db, besieged_postgresql)
        whole.rollback()


@pytest.mark.parametrize("name", KEYS)
def test_an_exclusion_refuses_where_the_trigger_is_gone(name: str, hand: Hand):
    """Two transactions that do not see each other pass the triggers; the exclusion sees both."""
    trigger = name.replace("_excluded_by_", "_apart_by_")
    probe = next(probe for probe in HISTORY if trigger in probe.guards)
    table = name.split("_excluded_by_")[0]
    hand.open()
    for guard in probe.guards:
        hand.sql(f"DROP TRIGGER {guard} ON {table}")
    for other in KEYS:
        if other != name and other.startswith(f"{table}_excluded_by_"):
            hand.sql(f"ALTER TABLE {table} DROP CONSTRAINT {other}")
    with pytest.raises(sa.exc.DBAPIError) as caught, hand.db.begin_nested():
        for step in probe.steps:
            hand.sql(step)
    assert f'"{name}"' in told(caught.value)
    hand.sql(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
    for step in probe.steps:
        hand.sql(step)


@pytest.mark.parametrize(
    "name", [TRUNCATED[0], *(pytest.param(name, marks=pytest.mark.long) for name in some(TRUNCATED[1:]))]
)
def test_a_table_is_never_emptied_even_by_its_owner(name: str, hand: Hand):
    for other in TRUNCATED:
        if other != name:
            hand.sql(f"DROP TRIGGER {other}_not_truncated ON {other}")
    with pytest.raises(sa.exc.DBAPIError, match="guard:nothing_is_truncated"), hand.db.begin_nested():
        hand.sql(f"TRUNCATE {name} CASCADE")
    hand.sql(f"DROP TRIGGER {name}_not_truncated ON {name}")
    hand.sql(f"TRUNCATE {name} CASCADE")


def test_triggers_fire_on_a_replica_as_well(hand: Hand):
    rows = hand.sql(
        "SELECT count(*) FILTER (WHERE tgenabled <> 'A'), count(*) FROM pg_trigger WHERE NOT tgisinternal"
    ).one()
    assert rows[0] == 0
    assert rows[1] > len(metadata.tables)
