"""An attacker's hand on one connection: SQL with the names of things in it, and the head of the log forced open."""

import string
import uuid
from typing import Any

import sqlalchemy as sa

from registry.acts import log
from registry.acts.entry import Entry, write
from registry.models.base import metadata
from tests.cast import World

ENTRY = "2026-05-20T12:00:00.000000Z"


class Hand:
    """Runs SQL in which `{p1_s}` is the id of `p1 s`, `{head}` the newest entry, `{new_1}` an id nothing bears."""

    def __init__(self, db: sa.Connection, world: World):
        self.db, self.engine = db, db.dialect.name
        self._ids = {name.replace(" ", "_"): id_ for name, id_ in world.ids.items()}
        self.seq = db.exec_driver_sql("SELECT size FROM log_head").scalar_one()

    @property
    def raw(self) -> Any:
        """The driver's own connection, without SQLAlchemy in between."""
        return self.db.connection.driver_connection

    def sql(self, text: str) -> Any:
        return self.db.exec_driver_sql(self.spelt(text))

    def spelt(self, text: str) -> str:
        """The statement with ids and numbers filled in, as this engine spells them."""
        names = {name for _text, name, _spec, _conversion in string.Formatter().parse(text) if name}
        return text.format_map({name: self._value(name) for name in names})

    def _value(self, name: str) -> str:
        numbers = {"head": self.seq, "ahead": self.seq + 1, "former": self.seq - 1}
        if name in numbers:
            return str(numbers[name])
        return self.literal(new_id(name) if name.startswith("new_") else self._ids[name])

    def literal(self, id_: str) -> str:
        return f"X'{uuid.UUID(id_).hex}'" if self.engine == "sqlite" else f"'{id_}'"

    def open(self) -> None:
        """What a patient attacker would do first: move the head on and write an entry that looks like any other.

        From here on no row is refused for want of an entry; whatever is refused, is refused for what it says.
        """
        ida = self._ids["ida"]
        entry = Entry(
            seq=self.seq + 1, id=new_id(f"entry {self.seq + 1}"), act="rename_person", version=1, by=ida, done_by=ida, second=None,
            via="forged", happened_at=ENTRY, recorded_at=ENTRY, origin="K", origin_seq=self.seq + 1, sent_sha="00" * 32,
            body={"person": ida}, ids={"person": ida}, decided={},
        )  # fmt: skip
        log.append(self.db, entry, write(entry), log.node_reader(self.db))
        self.seq += 1


def new_id(name: str) -> str:
    return str(uuid.uuid5(uuid.NAMESPACE_OID, name))


def record(db: sa.Connection) -> list[Any]:
    """Every row of every table, as the driver gives it: to see whether anything was changed."""
    return [sorted(map(repr, db.exec_driver_sql(f"SELECT * FROM {name}").all())) for name in metadata.tables]


def told(problem: BaseException) -> str:
    """What the database itself said, beneath the sentence made of it."""
    cause = problem.__cause__ or problem
    return f"{cause}"
