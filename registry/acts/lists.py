"""Lists that are told anew as a whole: the lines in force end where the new ones begin."""

from typing import Any

import sqlalchemy as sa

from registry.acts.act import Case, Decision
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.domain.times import say
from registry.errors import Reason


def list_told_anew(case: Case, lines_in_force: sa.Select[Any], key: str) -> Decision:
    """Which lines of the thing `key` names end; refused before the list of today began."""
    rows = case.db.execute(lines_in_force, {key: case.ids[key]}).all()
    reasons = []
    if late := [row for row in rows if row.since_at >= case.at]:
        told = f"The list of today holds from {say(late[0].since_at)}; another cannot begin before."
        reasons.append(Reason("overlaps_history", told, "happened_at", "Look at the day and time."))
    touched = max((row.seq for row in rows), default=0)
    return Decision(reasons, {"ends": sorted(row.id for row in rows)}, touched)


def list_rows(entry: Entry, table: str, key: str) -> list[Effect]:
    """The old lines end, the new ones begin."""
    made: list[Effect] = [Close(table, id_, entry.moment("ended")) for id_ in entry.decided["ends"]]
    for number, line in enumerate(entry.body["lines"], 1):
        row = {"id": entry.derived(f"line:{number}"), f"{key}_id": entry.ids[key], "number": number, **line}
        made.append(Add(table, {**row, **entry.moment("since"), **no_moment("ended")}))
    return made
