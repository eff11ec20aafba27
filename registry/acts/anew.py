"""An act whose time is amended is judged anew: what was in order at the time first told may not be at the true one.

What no time can make lawful is refused; what is not in order then is marked and put on hold, as when it is entered so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import sqlalchemy as sa

from registry.acts import log, seats
from registry.acts.act import Case
from registry.acts.doers import who_did
from registry.acts.entry import Entry
from registry.acts.stays import reasons_in_order, seat_facts
from registry.domain.installs import reasons_not_to_seat
from registry.errors import Reason


def judged(
    case: Case,
    spans: Iterable[Mapping[str, Any]],
    changes: Iterable[Mapping[str, Any]],
    done_by: str | None = None,
) -> tuple[list[Reason], dict[str, Any]]:
    """What stands against these stays at their new instants: what refuses the amendment, and the marks it leaves.

    `done_by` is who really did it, where that is what is amended.
    """
    moved = {(change["amended_act_id"], change["instant"]) for change in changes}
    hard: list[Reason] = []
    marks: list[dict[str, Any]] = []
    on: list[tuple[str, str]] = []
    for span in spans:
        found = []
        if (span["opened_by"], "installed") in moved:
            found += _of_seating(case, span, done_by)
        if span["closed_by"] and (span["closed_by"], "removed") in moved:
            found += _of_lifting(case, span, done_by)
        hard += [reason for reason in found if not reason.overridable]
        soft = [reason for reason in found if reason.overridable]
        marks += [{"code": reason.code, "message": reason.message} for reason in soft]
        on += [("pairing_id", span["pairing_id"])] if soft else []
    return hard, {"out_of_order": marks, "hold_on": sorted(set(on))} if marks and not hard else {}


def _of_seating(case: Case, span: Mapping[str, Any], done_by: str | None) -> list[Reason]:
    entry = _entry(case.db, span["opened_by"])
    then = replace(case, at=span["installed_at"], done_by=done_by or who_did(case.db, entry)["done"])
    halves = (span["sensor_id"], span["electronics_id"])
    facts, _row = seat_facts(
        then, span["bay_id"], *halves, until=span["removed_at"], named=entry.ids.get("esd_signoff"), leaving=span["id"]
    )
    # The hold that this very act opened says nothing about its time.
    facts = replace(facts, holds=tuple(hold for hold in facts.holds if hold.seq != entry.seq))
    reasons = [r for r in reasons_not_to_seat(facts) if r.overridable or r.code == "retired"]
    return _new(reasons, entry)


def _of_lifting(case: Case, span: Mapping[str, Any], done_by: str | None) -> list[Reason]:
    entry = _entry(case.db, span["closed_by"])
    then = replace(case, at=span["removed_at"], done_by=done_by or who_did(case.db, entry)["lifted"])
    row = seats.bay_facts(case.db, span["bay_id"], then.at)
    retired = [
        Reason("retired", f"{words[0].upper()}{words[1:]}.", "changes", "Look at the time.")
        for words in seats.retired_words(
            case.db,
            then.at,
            seats.halves(case.db, [span["sensor_id"], span["electronics_id"]]),
            row.vehicle_id,
            row.vehicle,
        )
    ]
    return retired + _new(reasons_in_order(then, row.site_id, None), entry)


def _new(reasons: Iterable[Reason], entry: Entry) -> list[Reason]:
    """Those that the entry was not marked with when it was made, told as faults of the change."""
    had = {mark["code"] for mark in entry.out_of_order()}
    return [replace(reason, field="changes", offer=None) for reason in reasons if reason.code not in had]


def _entry(db: sa.Connection, act_id: str) -> Entry:
    entry = log.stored(db, act_id)
    assert entry is not None
    return entry
