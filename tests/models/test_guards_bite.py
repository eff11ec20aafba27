"""Each guard is the thing that refuses: with it an attack fails, and without it the same attack goes through.

Run as the owner of the tables, whom neither an authorizer nor a role holds back.
"""

import pytest
import sqlalchemy as sa

from registry.models.guards import all_guards
from tests.bounds import some
from tests.models.attacks import BOTH
from tests.models.hand import Hand, told
from tests.models.probes import Probe, probes

PROBES = list(probes())
#: On PostgreSQL it takes many times as long, so it is one of the long runs; attacks on guards that stand are tried there
#: every day (test_attacks.py).
MARKS = {"sqlite": (), "postgresql": (pytest.mark.postgres, pytest.mark.long)}
TABLE = [
    pytest.param(probe, engine, id=f"{probe.name} [{engine}]", marks=MARKS[engine])
    for engine in BOTH
    for probe in (PROBES if engine == "sqlite" else some(PROBES))
]


def _tried(db: sa.Connection, world, probe: Probe) -> None:
    hand = Hand(db, world)
    if probe.open:
        hand.open()
    for step in probe.steps:
        step(hand, world.ids) if callable(step) else hand.sql(step)


def _without(db: sa.Connection, names: tuple[str, ...]) -> None:
    """Drop the guards, and on PostgreSQL the exclusion constraint that holds the same."""
    tables = {guard.name: guard.table for guard in all_guards(db.dialect.name)}
    for name in names:
        table = tables[name]
        db.exec_driver_sql(f"DROP TRIGGER {name}" + (f" ON {table}" if db.dialect.name == "postgresql" else ""))
        if "_apart_by_" in name and db.dialect.name == "postgresql":
            db.exec_driver_sql(f"ALTER TABLE {table} DROP CONSTRAINT {name.replace('_apart_by_', '_excluded_by_')}")


@pytest.mark.parametrize(("probe", "engine"), TABLE)
def test_what_a_guard_refuses_goes_through_without_it(probe: Probe, engine: str, besieged, owner_of):
    with owner_of(besieged).connect() as db, db.begin() as whole:
        with pytest.raises(sa.exc.DBAPIError) as caught, db.begin_nested():
            _tried(db, besieged, probe)
        assert any(f"guard:{name}" in told(caught.value) for name in probe.guards), (
            f"refused by something else: {told(caught.value)}"
        )
        _without(db, probe.guards)
        _tried(db, besieged, probe)
        whole.rollback()


@pytest.mark.parametrize("engine", BOTH)
def test_every_guard_has_a_probe(engine: str):
    held = {name for probe in PROBES for name in probe.guards}
    assert held == {guard.name for guard in all_guards(engine)}
