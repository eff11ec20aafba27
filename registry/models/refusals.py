"""A database that refuses, in sentences: every constraint and guard has its own, by name where the engine gives one."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

import sqlalchemy as sa

from registry.errors import Reason, Refused
from registry.models.base import folded_tables, metadata
from registry.models.guards import all_guards

ABSENT = ("guard", "Something this act names is not in the registry.")
EMPTY = ("guard", "Something this act must say is missing.")
_LOCKED = {"55P03", "40001", "40P01"}


@cache
def sentences() -> dict[str, tuple[str, str]]:
    """Constraint or guard name, or `table.column, table.column` for SQLite's uniques -> (code, sentence)."""
    found: dict[str, tuple[str, str]] = {}
    for table in metadata.sorted_tables:
        for constraint in table.constraints:
            if "says" in constraint.info:
                said = (constraint.info.get("code", "guard"), constraint.info["says"])
                found[str(constraint.name)] = said
                if isinstance(constraint, sa.UniqueConstraint):
                    found[", ".join(f"{table.name}.{c.name}" for c in constraint.columns)] = said
        for index in table.indexes:
            if index.unique:
                said = ("overlaps_history", "That bay or that half is already taken.")
                found[str(index.name)] = said
                found[", ".join(f"{table.name}.{c.name}" for c in index.columns)] = said
    for engine in ("sqlite", "postgresql"):
        found.update({f"guard:{g.name}": (g.code, g.says) for g in all_guards(engine)})
    found["guard:nothing_is_truncated"] = ("guard", "The record is never deleted.")
    for table in folded_tables():
        stay = table.info["stay"]
        for keys in stay.apart if stay else ():
            name = f"{table.name}_excluded_by_{keys.replace(' ', '_')}"
            found[name] = ("overlaps_history", f"Two stays in the record would overlap ({keys}).")
    return found


@contextmanager
def translated() -> Iterator[None]:
    """Turn a refusal by the database into `Refused`; anything that is no refusal goes on as it is."""
    try:
        yield
    except sa.exc.DBAPIError as problem:
        reason = reason_of(problem)
        if reason is None:
            raise
        raise Refused(reason) from problem


def reason_of(problem: sa.exc.DBAPIError) -> Reason | None:
    text = str(problem.orig)
    state = getattr(problem.orig, "sqlstate", None)
    if "database is locked" in text or state in _LOCKED:
        return Reason("busy", "Others are writing and did not finish in time.", next="Send it again.")
    known = sentences()
    diag = getattr(problem.orig, "diag", None)
    name = diag.constraint_name if diag is not None else None
    for candidate in (name, *re.findall(r"guard:\w+", text), *re.findall(r"constraint failed: (.+)$", text)):
        if candidate in known:
            code, sentence = known[candidate]
            return Reason(code, sentence, next="Look again: the record may have changed since the page was shown.")
    if "FOREIGN KEY" in text or state == "23503":
        return Reason(*ABSENT)
    if "NOT NULL" in text or state == "23502":
        return Reason(*EMPTY)
    return None
