"""Column types: one Python value on every engine, the engine's own best storage beneath it."""

import uuid
from collections.abc import Callable
from datetime import UTC
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql


def _spell(raw: bytes) -> str:
    # Three times as fast as str(UUID(bytes=raw)), and ids are read more often than anything else.
    h = raw.hex()
    return f"{h[:8]}-{h[8:12]}-{h[12:16]}-{h[16:20]}-{h[20:]}"


class Id(sa.types.TypeDecorator[str]):
    """A UUID as text in Python; 16 bytes on SQLite, the native type on PostgreSQL."""

    impl = sa.LargeBinary
    cache_ok = True

    def load_dialect_impl(self, dialect: sa.Dialect) -> Any:
        native = postgresql.UUID(as_uuid=False) if dialect.name == "postgresql" else sa.LargeBinary(16)
        return dialect.type_descriptor(native)

    def process_bind_param(self, value: str | None, dialect: sa.Dialect) -> Any:
        if value is None or dialect.name == "postgresql":
            return value
        return uuid.UUID(value).bytes

    def process_result_value(self, value: Any, dialect: sa.Dialect) -> str | None:
        if value is None or dialect.name == "postgresql":
            return value
        return _spell(value)


class Stamp(sa.types.TypeDecorator[str]):
    """An instant as fixed-width UTC text in Python and on SQLite; timestamptz on PostgreSQL."""

    impl = sa.Text
    cache_ok = True

    def load_dialect_impl(self, dialect: sa.Dialect) -> Any:
        native = sa.TIMESTAMP(timezone=True) if dialect.name == "postgresql" else sa.Text()
        return dialect.type_descriptor(native)

    def process_bind_param(self, value: str | None, dialect: sa.Dialect) -> Any:
        return value

    def process_result_value(self, value: Any, dialect: sa.Dialect) -> str | None:
        if value is None or dialect.name != "postgresql":
            return value
        # Connections run in UTC (database.py), but a session may have been told another zone and gone back to the pool.
        return value.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


class Day(sa.types.TypeDecorator[str]):
    """A calendar day as `2026-05-04` in Python and on SQLite; date on PostgreSQL."""

    impl = sa.Text
    cache_ok = True

    def load_dialect_impl(self, dialect: sa.Dialect) -> Any:
        return dialect.type_descriptor(sa.Date() if dialect.name == "postgresql" else sa.Text())

    def bind_processor(self, dialect: sa.Dialect) -> Callable[[Any], Any] | None:
        return None

    def process_result_value(self, value: Any, dialect: sa.Dialect) -> str | None:
        return value.isoformat() if value is not None and dialect.name == "postgresql" else value


class Figure(sa.types.TypeDecorator[str]):
    """A decimal number as the text that was entered; numeric on PostgreSQL, which keeps its digits."""

    impl = sa.Text
    cache_ok = True

    def load_dialect_impl(self, dialect: sa.Dialect) -> Any:
        return dialect.type_descriptor(sa.Numeric() if dialect.name == "postgresql" else sa.Text())

    def bind_processor(self, dialect: sa.Dialect) -> Callable[[Any], Any] | None:
        return None

    def process_result_value(self, value: Any, dialect: sa.Dialect) -> str | None:
        return format(value, "f") if value is not None and dialect.name == "postgresql" else value


class Flag(sa.types.TypeDecorator[bool]):
    """Yes or no; an integer on SQLite, whose strict tables know no boolean."""

    impl = sa.Integer
    cache_ok = True

    def load_dialect_impl(self, dialect: sa.Dialect) -> Any:
        return dialect.type_descriptor(sa.Boolean() if dialect.name == "postgresql" else sa.Integer())

    def process_bind_param(self, value: bool | None, dialect: sa.Dialect) -> Any:
        return value if value is None or dialect.name == "postgresql" else int(value)

    def process_result_value(self, value: Any, dialect: sa.Dialect) -> bool | None:
        return None if value is None else bool(value)
