"""What the kinds of columns are on each engine, for revisions from 0001 on.

Imports nothing from the package, as revisions do not. Never edited once a revision that uses it is released: another
form gets a file of its own, with the next number.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

DIGIT = "[0-9]"
FORMS = {
    "instants": f"{DIGIT * 4}-[01]{DIGIT}-[0-3]{DIGIT}T[0-2]{DIGIT}:[0-5]{DIGIT}:[0-5]{DIGIT}.{DIGIT * 6}Z",
    "days": f"{DIGIT * 4}-[01]{DIGIT}-[0-3]{DIGIT}",
}


def ident() -> Any:
    return sa.LargeBinary(16).with_variant(postgresql.UUID(as_uuid=False), "postgresql")


def instant() -> Any:
    return sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")


def day() -> Any:
    return sa.Text().with_variant(sa.Date(), "postgresql")


def figure() -> Any:
    return sa.Text().with_variant(sa.Numeric(), "postgresql")


def flag() -> Any:
    return sa.Integer().with_variant(sa.Boolean(), "postgresql")


def rule(kind: str, name: str) -> str | None:
    """What a column of this kind must look like on this engine."""
    if op.get_bind().dialect.name == "postgresql":
        bounds = {
            "instants": f"{name} >= '1900-01-01 00:00:00+00' AND {name} < '10000-01-01 00:00:00+00'",
            "days": f"{name} >= '1900-01-01' AND {name} < '10000-01-01'",
        }
        return bounds.get(kind)
    if kind == "flags":
        return f"{name} IN (0, 1)"
    real_day = f"date(substr({name}, 1, 10), '+0 days') IS substr({name}, 1, 10)"
    size = f"length(CAST({name} AS BLOB)) = {27 if kind == 'instants' else 10}"
    hour = f" AND substr({name}, 12, 2) < '24'" if kind == "instants" else ""
    return f"{name} GLOB '{FORMS[kind]}' AND {size}{hour} AND {real_day}"


def forms(table: str, **kinds: list[str]) -> list[sa.CheckConstraint]:
    """Instants, days and flags in the forms each engine keeps them in; `name?` may be empty."""
    checks = []
    for kind, names in kinds.items():
        for told in names:
            name = told.removesuffix("?")
            sql = rule(kind, name)
            if sql:
                sql = f"{name} IS NULL OR ({sql})" if told.endswith("?") else sql
                checks.append(sa.CheckConstraint(sql, name=op.f(f"{table}_{name}_in_its_form")))
    return checks
