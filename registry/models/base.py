"""How tables are declared: what may change in them, and what the database itself refuses.

A *folded* table holds nothing but what the log's entries say. Its rows are added once and then

- stay as they are (`changes="nothing"`),
- may be voided once by an amendment (`changes="voids"`), or
- may also be closed once (`changes="closes"`): the columns marked `closing()` and `closed_seq` are filled in.

Everything else (deleting, reopening, re-labelling, writing without an entry) is refused by generated guards.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any, Literal, NamedTuple

import sqlalchemy as sa

from registry.models.columns import Day, Flag, Id, Stamp

metadata = sa.MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "%(table_name)s_%(constraint_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    }
)

Changes = Literal["nothing", "voids", "closes"]


class Stay(NamedTuple):
    """Columns between which a row holds, and the keys (each one or more columns, joined by a blank) for which two
    live rows may not overlap."""

    since: str
    until: str
    apart: tuple[str, ...] = ()


class Guard(NamedTuple):
    """A rule the database holds by trigger. `when` is SQL on OLD and NEW that is true for what is refused.

    `{same:a:b}` in `when` stands for "a and b are the same, both NULL included".
    """

    name: str
    table: str
    on: Literal["INSERT", "UPDATE", "DELETE"]
    when: str
    says: str
    code: str = "guard"


#: Guards declared by the feature modules, beside those generated for every table.
guards: list[Guard] = []


def guard(name: str, table: str, on: str, when: str, says: str, code: str = "guard") -> None:
    guards.append(Guard(name, table, on, when, says, code))  # type: ignore[arg-type]


def folded(name: str, *parts: Any, changes: Changes = "nothing", stay: Stay | None = None) -> sa.Table:
    """A table that the log's entries alone fill."""
    extra = [column("seq", sa.Integer, sa.ForeignKey("log_entry.seq"))]
    if changes == "closes":
        extra.append(maybe("closed_seq", sa.Integer, sa.ForeignKey("log_entry.seq", name=f"fk_{name}_closed_seq")))
        extra.append(
            says(f"{name}_closed_by_a_later_entry", "closed_seq >= seq", "A row cannot be closed before it is written.")
        )
    if changes in ("closes", "voids"):
        extra.append(maybe("voided_seq", sa.Integer, sa.ForeignKey("log_entry.seq", name=f"fk_{name}_voided_seq")))
    if stay:
        extra += _stay_rules(name, stay, parts)
    # Columns before indexes: an index may name `seq`, which is added here.
    parts = tuple(
        sorted([column("id", Id, primary_key=True), *parts, *extra], key=lambda part: not isinstance(part, sa.Column))
    )
    table = sa.Table(
        name, metadata, *parts,
        info={"folded": changes, "stay": stay},
        sqlite_strict=True,
        # Without a rowid nothing can be re-labelled behind a trigger that watches `id`.
        sqlite_with_rowid=False,
    )  # fmt: skip
    _text_forms(table)
    return table


def plain(name: str, *parts: Any, rights: str) -> sa.Table:
    """A table outside the fold. `rights` says what an application connection may do besides reading: any of
    `insert`, `update`, `delete`."""
    table = sa.Table(name, metadata, *parts, info={"rights": rights.split()}, sqlite_strict=True)
    _text_forms(table)
    return table


def _stay_rules(name: str, stay: Stay, parts: tuple[Any, ...]) -> list[Any]:
    """A row ends after it begins, and closing fills in every closing column at once, by an entry."""
    until, since = stay.until, stay.since
    filled = [part.name for part in parts if isinstance(part, sa.Column) and part.info.get("closing")]
    whole = " AND ".join(f"({column} IS NULL) = (closed_seq IS NULL)" for column in filled)
    return [
        says(
            f"{name}_ends_after_it_begins", f"{until} > {since}", "It cannot end before it begins.", "overlaps_history"
        ),
        says(f"{name}_closed_as_a_whole", whole, "An end says all of it: when, by whom and why, in one entry."),
    ]


def column(name: str, type_: Any, *args: Any, **kwargs: Any) -> sa.Column[Any]:
    """A column that is always filled: a NULL in any part of a key would let a row slip past its check."""
    return sa.Column(name, type_, *args, nullable=False, **kwargs)


def maybe(name: str, type_: Any, *args: Any, **kwargs: Any) -> sa.Column[Any]:
    """A column that may be empty."""
    return sa.Column(name, type_, *args, nullable=True, **kwargs)


def to(target: str, name: str | None = None, *, nullable: bool = False, **kwargs: Any) -> sa.Column[Any]:
    """A reference to the row of another table: `to("bay")` is the column `bay_id`."""
    return sa.Column(name or f"{target}_id", Id, sa.ForeignKey(f"{target}.id"), nullable=nullable, **kwargs)


def instant(name: str, *, nullable: bool = False, closing: bool = False) -> tuple[sa.Column[Any], sa.Column[Any]]:
    """`<name>_at` in UTC and `<name>_offset_min`, the offset as the person entered it."""
    info = {"closing": True} if closing else {}
    return (
        sa.Column(f"{name}_at", Stamp, nullable=nullable, info=info),
        sa.Column(f"{name}_offset_min", sa.Integer, nullable=nullable, info=info),
    )


def closing(col: sa.Column[Any]) -> sa.Column[Any]:
    """Mark a column as one that closing a row fills in."""
    col.info["closing"] = True
    return col


def says(name: str, sql: str, sentence: str, code: str = "guard") -> sa.CheckConstraint:
    """A named CHECK with the sentence a person reads when the database refuses."""
    return sa.CheckConstraint(sql, name=sa.schema.conv(name), info={"says": sentence, "code": code})


def one_of(name: str, *values: str) -> sa.CheckConstraint:
    """A CHECK that the column `name` holds one of the words."""
    words = ", ".join(f"'{value}'" for value in values)
    return sa.CheckConstraint(
        f"{name} IN ({words})",
        name=f"{name}_known",
        info={"says": f"That is not a {name.replace('_', ' ')} the registry knows."},
    )


def once(name: str, *columns: str, sentence: str, code: str = "already_known", **kwargs: Any) -> sa.UniqueConstraint:
    """A named UNIQUE with its sentence."""
    return sa.UniqueConstraint(*columns, name=name, info={"says": sentence, "code": code}, **kwargs)


def key(name: str, *columns: str) -> sa.UniqueConstraint:
    """A wider key that composite references point at. No person can break it: `id` alone is already unique."""
    return sa.UniqueConstraint(*columns, name=name)


def refers(name: str, columns: list[str], target: str, targets: list[str]) -> sa.ForeignKeyConstraint:
    """A composite reference to `target`."""
    return sa.ForeignKeyConstraint(columns, [f"{target}.{column}" for column in targets], name=name)


_DIGIT = "[0-9]"
STAMP_FORM = f"{_DIGIT * 4}-[01]{_DIGIT}-[0-3]{_DIGIT}T[0-2]{_DIGIT}:[0-5]{_DIGIT}:[0-5]{_DIGIT}.{_DIGIT * 6}Z"
DAY_FORM = f"{_DIGIT * 4}-[01]{_DIGIT}-[0-3]{_DIGIT}"


def form_rules(name: str, type_: Any) -> dict[str, str]:
    """Engine -> what a column of instants, days or flags must look like there.

    SQLite keeps instants and days as text: another spelling would sort wrongly and slip past the overlap guards, and
    a day that does not exist could not be read back (it is another day when none is added to it). PostgreSQL knows instants no calendar shows.
    """
    real_day = f"date(substr({name}, 1, 10), '+0 days') IS substr({name}, 1, 10)"
    if isinstance(type_, Stamp):
        bytes_ = f"length(CAST({name} AS BLOB)) = 27 AND substr({name}, 12, 2) < '24'"
        until = f"{name} >= '1900-01-01 00:00:00+00' AND {name} < '10000-01-01 00:00:00+00'"
        return {"sqlite": f"{name} GLOB '{STAMP_FORM}' AND {bytes_} AND {real_day}", "postgresql": until}
    if isinstance(type_, Day):
        bytes_ = f"length(CAST({name} AS BLOB)) = 10"
        until = f"{name} >= '1900-01-01' AND {name} < '10000-01-01'"
        return {"sqlite": f"{name} GLOB '{DAY_FORM}' AND {bytes_} AND {real_day}", "postgresql": until}
    return {"sqlite": f"{name} IN (0, 1)"} if isinstance(type_, Flag) else {}


def _text_forms(table: sa.Table) -> None:
    for col in list(table.c):
        for engine, rule in form_rules(col.name, col.type).items():
            name = f"{col.name}_in_its_form"
            # An empty value passes: IS and GLOB of NULL are not false but unknown, but for the day.
            rule = f"{col.name} IS NULL OR ({rule})" if col.nullable else rule
            check = sa.CheckConstraint(rule, name=name, info={"says": "That is not a value this column can hold."})
            check.ddl_if(dialect=engine)
            table.append_constraint(check)


def folded_tables() -> Iterator[sa.Table]:
    """Every folded table, referred-to tables first."""
    return (table for table in _in_order(len(metadata.tables)) if "folded" in table.info)


@cache
def _in_order(_declared: int) -> tuple[sa.Table, ...]:
    """Sorting them takes milliseconds; it is done again only when more tables have been declared."""
    return tuple(metadata.sorted_tables)


def closing_columns(table: sa.Table) -> list[str]:
    """The columns that closing a row of this table fills in."""
    return [col.name for col in table.c if col.info.get("closing")]
