"""The one door: every act of page, JSON, command line, import and demo passes here, in this order.

read_act -> (prepare) -> perform: lock, seen before, resolve, decide, refuse, entry, append, effects. `check` stops
before anything is written: the go / no-go.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, NamedTuple

import sqlalchemy as sa

from registry.acts import log, names, references
from registry.acts.act import Act, Case, Decision, Deed, Signer
from registry.acts.authority import reasons_of_authority, reasons_of_carrying
from registry.acts.catalogue import ACTS, LIFT
from registry.acts.codes import drawn
from registry.acts.effects import apply, effects_of
from registry.acts.entry import Entry, write
from registry.acts.sentences import shape_reasons
from registry.acts.sitting import Sitting
from registry.domain.canonical import CannotWrite, canonical
from registry.domain.carrying import is_asked
from registry.domain.times import CLOCK_LEAD, say, stamp, write_rfc3339
from registry.errors import Reason, Refused, refuse_if

#: Fields that the entry keeps outside its body. So it does with every field that names a person: people are typed by
#: name, and no name goes into the log; `ids` holds who was meant.
_OUTSIDE_BODY = {"id", "happened_at", "seen", "done_by", "second"}


@dataclass(frozen=True, slots=True)
class Ready:
    """An act that has passed the slow things before the lock, and who signs it.

    `private` goes to tables outside the fold in the same transaction (names of people); `results` holds what was
    computed for the act beforehand. `carried` says which row of which file an act is carried over from.
    """

    act: Act
    sent_sha: bytes
    signer: Signer
    private: dict[str, Any] = field(default_factory=dict)
    results: dict[str, Any] = field(default_factory=dict)
    carried: dict[str, Any] | None = None


class Done(NamedTuple):
    """An entry in the log, and whether it was there already."""

    entry: Entry
    again: bool
    remarks: list[str]


class Answer(NamedTuple):
    """The go / no-go: every reason against the act (an empty list is a go), remarks, and what would be decided."""

    reasons: list[Reason]
    remarks: list[str]
    decided: dict[str, Any]


def read_act(sent: Any, *, now: datetime) -> tuple[Act, bytes, dict[str, Any]]:
    """The act that the fields as sent stand for, their hash, and the private part if the act has one.

    Raises `Refused` with every fault of form at once.
    """
    if not isinstance(sent, dict):
        raise Refused(Reason("wrong_form", "An act is an object with named fields.", next='Send {"act": …, …}.'))
    fields = dict(sent)
    private = fields.pop("private", None)
    try:
        sent_sha = hashlib.sha256(canonical(fields)).digest()
    except (CannotWrite, ValueError, RecursionError):
        raise Refused(
            Reason(
                "wrong_form",
                "A number is larger than can be kept exactly, or a text is broken.",
                next="Send large numbers as text.",
            )
        ) from None
    name, version = fields.pop("act", None), fields.pop("version", 1)
    while isinstance(name, str) and type(version) is int and (name, version) in LIFT:
        lifted = LIFT[name, version]({"act": name, "version": version, **fields})
        name, version = lifted.pop("act"), lifted.pop("version")
        fields = lifted
    cls = _act_class(name, version)
    reasons, act = shape_reasons(cls, fields)
    kept, more = _private(cls, private)
    refuse_if(reasons + more + ([] if act is None else _time_reasons(act, now)))
    return act, sent_sha, kept


def _act_class(name: Any, version: Any) -> type[Act]:
    if not isinstance(name, str) or name not in ACTS:
        shown = f"“{name[:60]}”" if isinstance(name, str) else "That"
        raise Refused(
            Reason(
                "unknown_act",
                f"{shown} is not an act the registry knows.",
                "act",
                "Look the acts up in /api/v1/openapi.json.",
            )
        )
    cls = ACTS[name]
    if type(version) is not int or version != cls.version:
        raise Refused(
            Reason(
                "unknown_version",
                f"{name} is known up to version {cls.version}; what was sent names another.",
                "version",
                "Update this program or the sender.",
            )
        )
    return cls


def _private(cls: type[Act], sent: Any) -> tuple[dict[str, Any], list[Reason]]:
    if cls.private is None:
        if sent is None:
            return {}, []
        return {}, [Reason("unknown_field", f"{cls.name} has no private part.", "private")]
    reasons, kept = shape_reasons(cls.private, sent if isinstance(sent, dict) else {}, prefix="private.")
    return ({} if kept is None else kept.model_dump(exclude_unset=True)), reasons


def _time_reasons(act: Act, now: datetime) -> list[Reason]:
    """No instant of an act lies ahead, but for a plan, and for what a device clock may run ahead."""
    reasons = []
    for name, value in act:
        if isinstance(value, datetime) and name not in act.ahead and value > now + CLOCK_LEAD:
            ahead = value - now
            reasons.append(
                Reason(
                    "in_the_future",
                    f"{say(stamp(value))} is {_ahead(ahead)} ahead of this registry’s clock ({say(stamp(now))}).",
                    name,
                    "Look at the clock and the time zone of your device, or at the day you typed.",
                )
            )
    return reasons


def _ahead(delta: timedelta) -> str:
    minutes = int(delta.total_seconds() // 60)
    if minutes < 120:
        return f"{minutes} minutes"
    return f"{minutes // 60} hours" if minutes < 60 * 72 else f"{minutes // 1440:,} days"


def perform(db: sa.Connection, ready: Ready, *, now: datetime, randbelow: Callable[[int], int]) -> Done:
    """Enter one act inside an open writing transaction. Raises `Refused`; then nothing of it may be committed."""
    return perform_next(Sitting(db, randbelow), ready, now=now)


def perform_next(sitting: Sitting, ready: Ready, *, now: datetime) -> Done:
    """Enter the next act of a sitting. Raises `Refused`; then nothing of it may be committed."""
    db, act = sitting.db, ready.act
    if stored := sitting.stored(act.id):
        if not _same(db, ready, stored):
            raise Refused(_conflicting(act))
        return Done(stored, True, [])
    case, decision = _decide(db, ready, sitting.head, now, sitting.draw)
    reasons, marks = _weigh(ready, decision)
    refuse_if(reasons)
    entry = _entry(ready, case, {**decision.decided, **marks})
    sitting.append(entry, write(entry))
    apply(db, entry, effects_of(entry))
    _keep_private(db, ready, entry)
    sitting.close(entry)
    return Done(entry, False, decision.remarks)


def check(db: sa.Connection, ready: Ready, *, now: datetime, randbelow: Callable[[int], int]) -> Answer:
    """The go / no-go of an act: the same decision, nothing written."""
    if stored := log.stored(db, ready.act.id):
        same = _same(db, ready, stored)
        return Answer(
            [] if same else [_conflicting(ready.act)], ["This act is in the log already."] if same else [], {}
        )
    head = log.head(db)
    try:
        _case, decision = _decide(db, ready, head, now, drawn(db, head.origin, randbelow))
    except Refused as refused:
        return Answer(list(refused.reasons), [], {})
    reasons, marks = _weigh(ready, decision)
    return Answer(reasons, decision.remarks, {**decision.decided, **marks})


def _decide(
    db: sa.Connection, ready: Ready, head: log.Head, now: datetime, draw: Callable[..., str]
) -> tuple[Case, Decision]:
    act, signer = ready.act, ready.signer
    if head.size == 0 and act.name != "found_outfit":
        told = "This registry has not been founded: it has no outfit and no keeper yet."
        raise Refused(Reason("not_allowed", told, next="Found it with `pairbook init`."))
    at = stamp(act.happened_at)
    ids, unresolved = references.resolve_all(db, act, at)
    refuse_if(unresolved)
    done_by = ids.get("done_by") or signer.person
    # `recorded_at` never steps back, whatever this computer's clock does.
    recorded = max(stamp(now), head.recorded_at)
    case = Case(
        db,
        ids,
        at,
        recorded,
        signer.person,
        done_by,
        head.size,
        head.origin,
        draw,
        {"private": ready.private, **ready.results},
    )
    decision = act.decide(case)
    if ready.carried:
        # Before the keeper's own authority is looked at: that is always asked.
        unasked = sorted({reason.code for reason in decision.reasons if not is_asked(reason)})
        decision.decided["carried_over"] = {**ready.carried, "not_asked": unasked}
        decision.reasons[:] = [reason for reason in decision.reasons if is_asked(reason)]
    decision.reasons[:0] = (reasons_of_carrying if ready.carried else reasons_of_authority)(act, signer, case)
    if act.seen is not None and decision.touched > act.seen:
        decision.reasons.append(
            Reason(
                "stale",
                f"What this act touches was changed by entry {decision.touched:,} while your page showed the log at {act.seen:,}.",
                next="Look at the page again before you sign.",
            )
        )
    return case, decision


def _weigh(ready: Ready, decision: Decision) -> tuple[list[Reason], dict[str, Any]]:
    """What still stands against the act, and the marks of one accepted out of order. What is carried over was never
    seen to be done: it is in order or refused."""
    act = ready.act
    if not isinstance(act, Deed) or ready.carried:
        return decision.reasons, {}
    if not act.already_done:
        return decision.reasons, {}
    hard = [reason for reason in decision.reasons if not reason.overridable]
    soft = [reason for reason in decision.reasons if reason.overridable]
    if soft and not act.why_out_of_order:
        hard.append(
            Reason(
                "needs_reason",
                "What was done out of order needs a reason.",
                "why_out_of_order",
                "Say in your words why it was done so.",
            )
        )
    if hard or not soft:
        return hard, {}
    marks: dict[str, Any] = {"out_of_order": [{"code": r.code, "message": r.message} for r in soft]}
    if decision.hold_on:
        marks["hold_on"] = [list(one) for one in decision.hold_on]
    return [], marks


def _entry(ready: Ready, case: Case, decided: dict[str, Any]) -> Entry:
    act, signer = ready.act, ready.signer
    return Entry(
        seq=case.size + 1,
        id=act.id,
        act=act.name,
        version=act.version,
        by=signer.person,
        done_by=case.done_by,
        second=case.ids.get("second"),
        via=signer.via,
        happened_at=write_rfc3339(act.happened_at),
        recorded_at=case.now,
        origin=case.origin or decided.get("origin", ""),
        origin_seq=case.size + 1,
        sent_sha=ready.sent_sha.hex(),
        body=act.model_dump(mode="json", exclude=_OUTSIDE_BODY | act.people),
        ids={name: value for name, value in case.ids.items() if value and name not in ("done_by", "second")},
        decided=decided,
    )


def _keep_private(db: sa.Connection, ready: Ready, entry: Entry) -> None:
    if ready.act.private is not None:
        names.keep(db, ready.act.whose(entry), ready.private)


def _same(db: sa.Connection, ready: Ready, stored: Entry) -> bool:
    """Whether the act in the log is the one sent, what is kept outside the log included."""
    if stored.sent_sha != ready.sent_sha.hex():
        return False
    return ready.act.private is None or names.is_kept(db, ready.act.whose(stored), ready.private)


def _conflicting(act: Act) -> Reason:
    return Reason(
        "conflicting_replay",
        f"The id {act.id} already stands for another act, or for this one with other fields.",
        "id",
        "Look in the log whether it is there. If this is a new act, send it again with a new id (a page has given it one).",
    )
