"""Looks at pairs that were seated, by another person or again by who seated them; and how stays stand by them.

A look hangs on the installation, so that a removal ends it. A second person who signed at the seating needs no row: their
entry says so.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.domain.carrying import VIA
from registry.domain.people import Trained
from registry.domain.second_checks import ALL, HOW, SeatCheck, SeatChecked, Seated, how_checked, untrained
from registry.models.amendments import amended_person, doer
from registry.models.base import column, folded, instant, one_of, says, to
from registry.models.columns import Figure
from registry.models.installs import installation
from registry.models.installs import installation_span as span
from registry.models.log import log_entry
from registry.models.people import person_private, training
from registry.models.seeks import AT, EVER, KNOWN, known

#: `pairing_id` is what was looked at, for its history; `rest_min` the figure of the plan of that day.
second_check = folded(
    "second_check",
    to("installation"),
    to("pairing"),
    to("person", "done_by_id"),
    column("how", sa.Text),
    column("looked_at", sa.Text),
    column("told", sa.Text),
    column("photos", sa.Integer),
    column("rest_min", Figure),
    *instant("checked"),
    one_of("how", *HOW),
    says(
        "second_check_shown_by_photos",
        "photos >= 0 AND (how = 'present' OR told <> '' OR photos > 0)",
        "A look from ashore, or again by who seated it, is shown by photos.",
    ),
    says("second_check_looked_or_told", "looked_at <> '' OR told <> ''", "A look says what was looked at, or what is wrong."),
    sa.Index("ix_second_check_installation_id", "installation_id", "checked_at", "seq"),
    changes="voids",
)  # fmt: skip
_opened, _signed = log_entry.alias("opened"), log_entry.alias("signed")
#: Stays that the same seating was said to be. Where its bay was amended, a look at the bay it was said to be in answers
#: nothing; that something was wrong with the pair there goes along.
_told = span.alias("told")
_same_seating = select(_told.c.installation_id).where(_told.c.opened_by == span.c.opened_by).correlate(span)
_who, _second = person_private.alias("who"), person_private.alias("second")
_checker = doer(second_check.c.id, second_check.c.done_by_id)
_looks = (
    select(
        span.c.installation_id, span.c.installed_at, _opened.c.act_id, _opened.c.seq, _opened.c.via, _opened.c.by_id.label("seat_signed_by"), _opened.c.done_by_id.label("entered_by"),
        doer(_opened.c.act_id, _opened.c.done_by_id).label("seated_by"), _opened.c.second_id, _second.c.name.label("second"),
        *(second_check.c[name].label(f"check_{name}") for name in ("id", "how", "looked_at", "told", "photos", "rest_min", "checked_at", "seq")),
        _checker.label("person"), _who.c.name.label("who"), _signed.c.by_id.label("signed_by"),
    )
    .select_from(installation)
    # The pair’s stays are sought by an index; of one installation there is none.
    .join(span, sa.and_(span.c.pairing_id == installation.c.pairing_id, span.c.installation_id == installation.c.id))
    .join(_opened, _opened.c.act_id == span.c.opened_by)
    .outerjoin(_second, _second.c.person_id == _opened.c.second_id)
    .outerjoin(second_check, sa.and_(second_check.c.installation_id.in_(_same_seating), sa.or_(second_check.c.installation_id == span.c.installation_id, second_check.c.told != ""), known(second_check), second_check.c.checked_at <= AT))
    .outerjoin(_signed, _signed.c.act_id == second_check.c.id)
    .outerjoin(_who, _who.c.person_id == _checker)
    .where(known(span), installation.c.id.in_(bindparam("installations", expanding=True)))
    .order_by(span.c.installation_id, second_check.c.checked_at, second_check.c.seq)
)  # fmt: skip
_amended = (
    select(amended_person.c.amended_act_id, amended_person.c.was_person_id, amended_person.c.now_person_id, log_entry.c.by_id)
    .join(log_entry, log_entry.c.seq == amended_person.c.seq)
    .where(amended_person.c.amended_act_id.in_(bindparam("acts", expanding=True)), amended_person.c.seq <= KNOWN)
)  # fmt: skip
_trainings = select(training.c.person_id, training.c.subject, training.c.trained_on, training.c.good_to_on).where(
    training.c.person_id.in_(bindparam("people", expanding=True)), known(training)
)


def looks_at(
    db: sa.Connection, installations: Iterable[str], at: str, known_size: int = EVER
) -> dict[str, tuple[Seated, list[SeatCheck]]]:
    """Installation id -> who seated it, and every look at it by the instant. Two statements for any number of stays, and
    one more where it was amended who seated one."""
    keys = {"installations": sorted(set(installations)), "at": at, "known": known_size}
    rows = db.execute(_looks, keys).mappings().all()
    people = sorted({person for row in rows for person in (row["person"], row["second_id"]) if person})
    trained: dict[str, list[Trained]] = defaultdict(list)
    for row in db.execute(_trainings, {"people": people, "known": known_size}):
        trained[row.person_id].append(Trained(*row[1:]))
    named = _named_since(db, rows, keys)
    found: dict[str, tuple[Seated, list[SeatCheck]]] = {}
    for row in rows:
        if row["installation_id"] not in found:
            found[row["installation_id"]] = (_seated(row, named[row["act_id"]]), _at_the_seating(row, trained))
        if row["check_id"]:
            found[row["installation_id"]][1].append(_look(row, trained))
    return found


def seats_checked(
    db: sa.Connection, installations: Iterable[str], at: str, known_size: int = EVER
) -> dict[str, SeatChecked]:
    """Installation id -> how its check stood at the instant."""
    looks = looks_at(db, installations, at, known_size)
    return {id_: how_checked(seated, checks) for id_, (seated, checks) in looks.items()}


def _named_since(db: sa.Connection, rows: Iterable[Mapping[str, Any]], keys: dict[str, Any]) -> dict[str, set[str]]:
    """Act id -> whom amendments named as who did it, and who entered those amendments."""
    named: dict[str, set[str]] = defaultdict(set)
    acts = sorted({row["act_id"] for row in rows if row["seated_by"] != row["entered_by"]})
    for act_id, *people in db.execute(_amended, {"acts": acts, "known": keys["known"]}) if acts else ():
        named[act_id].update(people)
    return named


def _seated(row: Mapping[str, Any], named: set[str]) -> Seated:
    """Of what was carried over it is on record where its row named another than who carried it over."""
    hands = frozenset({row["seated_by"], row["entered_by"], row["seat_signed_by"], *named})
    carried = row["via"] == VIA and row["seated_by"] == row["seat_signed_by"]
    return Seated(None if carried else row["seated_by"], hands, row["installed_at"])


def _at_the_seating(row: Mapping[str, Any], trained: Mapping[str, list[Trained]]) -> list[SeatCheck]:
    """The look of the second person who signed when it was seated."""
    person, at = row["second_id"], row["installed_at"]
    if person is None:
        return []
    who = row["second"] or "somebody who has left"
    lacks = untrained(who, trained[person], at)
    return [SeatCheck(row["act_id"], "present", person, who, person, at, row["seq"], ALL, untrained=lacks)]


def _look(row: Mapping[str, Any], trained: Mapping[str, list[Trained]]) -> SeatCheck:
    who, at = row["who"] or "somebody who has left", row["check_checked_at"]
    return SeatCheck(
        row["check_id"], row["check_how"], row["person"], who, row["signed_by"], at, row["check_seq"],
        tuple(row["check_looked_at"].split()), row["check_told"], row["check_photos"], row["check_rest_min"], untrained(who, trained[row["person"]], at),
    )  # fmt: skip
