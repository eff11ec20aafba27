"""Faults are done to the record that has been lived in, as its owner, inside a transaction that is rolled back."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import sqlalchemy as sa
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from registry.acts import log
from registry.acts.checkpoints import LogKey, read_checkpoint
from registry.acts.verify import Report, verify
from registry.models.guards import create_guards, drop_guards
from tests.cast import World
from tests.models.conftest import (  # noqa: F401
    besieged,
    besieged_postgresql,
    besieged_sqlite,
    lived,
    lived_file,
    lived_postgres,
    lived_sqlite,
    lived_template,
    owner_of,
)
from tests.models.hand import Hand

KEY = LogKey("pairbook.example/K", Ed25519PrivateKey.from_private_bytes(bytes(range(32))))


class Break(Hand):
    """An owner's hand that works behind the program's back, and the program's own look at the result."""

    def __init__(self, db: sa.Connection, world: World):
        super().__init__(db, world)
        self.ids = world.ids

    @contextmanager
    def behind_its_back(self) -> Iterator[None]:
        """No guard stands, and all of them stand again afterwards."""
        drop_guards(self.db)
        yield
        create_guards(self.db)

    def sign(self, size: int | None = None, key: LogKey = KEY) -> str:
        """A checkpoint of the log, kept in it; its note."""
        size = size or self.seq
        note = key.sign(size, log.root(self.db, size))
        log.keep_checkpoint(self.db, size, note)
        return note

    def verify(self, against: str | None = None, strict: bool = False) -> Report:
        point = read_checkpoint(KEY.verifier().open(against)) if against else None
        return verify(self.db, KEY.verifier(), against=point, strict=strict)

    def faults(self, **more) -> list[str]:
        return [fault.told for fault in self.verify(**more).faults]


ENGINES = ["sqlite", pytest.param("postgresql", marks=[pytest.mark.postgres, pytest.mark.long])]


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=[pytest.mark.postgres, pytest.mark.long])])
def either(request: pytest.FixtureRequest) -> World:
    """A furnished registry on each engine in turn, on PostgreSQL in the long runs."""
    return request.getfixturevalue("world" if request.param == "sqlite" else "postgres_world")


@pytest.fixture
def engine() -> str:
    """SQLite, unless a test asks for both: the look at the log is the same, and PostgreSQL's guards take their time."""
    return "sqlite"


@pytest.fixture
def hand(besieged, owner_of) -> Iterator[Break]:  # noqa: F811
    with owner_of(besieged).connect() as db, db.begin() as whole:
        yield Break(db, besieged)
        whole.rollback()
