"""The facts a verification is decided on, and the rows each of its kinds leaves."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Case
from registry.acts.attachments import file_rows
from registry.acts.calibrations import standard_rows
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.impact_rows import counted, impact_rows, vehicle_of_half
from registry.domain.times import say, say_day
from registry.domain.verifications import FOLLOWS, KINDS
from registry.errors import Reason
from registry.models.looking_back import stays_in_doubt
from registry.models.pairings import pairing
from registry.models.units import class_limit

_pair = select(
    pairing.c.name, pairing.c.sensor_id, pairing.c.unit_type_id, pairing.c.paired_at, pairing.c.ended_at
).where(pairing.c.id == bindparam("pair"))
_limits = (
    select(class_limit.c.quantity, class_limit.c.value, class_limit.c.statistic, class_limit.c.conditions)
    .where(class_limit.c.unit_type_id == bindparam("type"))
    .order_by(class_limit.c.quantity, class_limit.c.id)
)
_halves = select(pairing.c.sensor_id, pairing.c.electronics_id).where(pairing.c.id == bindparam("pair"))


def pair_row(case: Case) -> sa.Row:
    """The pair of the act, its type and its life."""
    return case.db.execute(_pair, {"pair": case.ids["pair"]}).one()


def limits_of(db: sa.Connection, unit_type_id: str) -> list[dict[str, str]]:
    """The class figures of a type, as the entry keeps them."""
    return [dict(row) for row in db.execute(_limits, {"type": unit_type_id}).mappings()]


def reasons_of_pair(pair: sa.Row, at: str) -> list[Reason]:
    """A verification is of a pair while it is one: neither half brings its results along to another statement."""
    if at < pair.paired_at:
        told = f"{pair.name} is a pair since {say(pair.paired_at)}; what was read before is not of this pair."
        return [Reason("overlaps_history", told, "happened_at", "Look at the day and time.")]
    if pair.ended_at and at >= pair.ended_at:
        told = f"{pair.name} was a pair until {say_day(pair.ended_at)}."
        return [Reason("pair_ended", told, "pair", "Verify the pair its halves stand in now.")]
    return []


def consequences(case: Case, pair: sa.Row, verdict: str) -> dict[str, Any]:
    """What a fail puts on hold, and the stays since the last good result that it puts in doubt."""
    if verdict != "fail":
        return {"holds": [], "affected": [], "since": None}
    there = vehicle_of_half(case, pair.sensor_id, case.ids["pair"])
    holds = [["pairing_id", case.ids["pair"]], *([["vehicle_id", there]] if there else [])]
    impact = counted(case, "pairing_id", case.ids["pair"])
    since = impact["window"]["since_on"]
    stays = stays_in_doubt(case.db, case.ids["pair"], since, case.at)
    return {"holds": holds, "since": since, "affected": stays, "impact": impact}


def answered_by(case: Case, decided: dict[str, Any]) -> list[str]:
    """The rechecks that a heading check answers: a pass that looks as the pair always did is what they asked for."""
    if decided["verdict"] != "pass" or decided["jumped"]:
        return []
    row = case.db.execute(_halves, {"pair": case.ids["pair"]}).one()
    named = {"half_id": {row.sensor_id: "", row.electronics_id: ""}, "pairing_id": {case.ids["pair"]: ""}}
    asked = seats.rechecks_asked(case.db, case.at, ("verification",), named)
    return [one.id for one in asked if one.asked_at < case.at]


def verification_rows(entry: Entry, kind: str) -> list[Effect]:
    """The rows of a verification, its lines, its standards, its files, and what follows from a fail."""
    body, decided = entry.body, entry.decided
    told = {name: body[name] for name in ("procedure", "issue", "rule", "hours_run")}
    told |= {name: decided[name] for name in ("verdict", "told", "method", "jumped")}
    row = {
        "id": entry.id, "pairing_id": entry.ids["pair"], "kind": kind, "bench_mark_id": entry.ids.get("mark"), "adjusted": body.get("left_deg") is not None,
        "conditions": body["conditions"] or "", "words": body["words"] or "", "entered_by_id": entry.by, "done_by_id": entry.done_by, **told,
    }  # fmt: skip
    made: list[Effect] = [Add("verification", {**row, **entry.moment("verified"), **no_moment("reviewed")})]
    for number, one in enumerate(decided["lines"], 1):
        figures = {name: figure(one[name]) for name in _FIGURES}
        named = {"id": entry.derived(f"line:{number}"), "verification_id": entry.id, "number": number}
        made.append(
            Add("verification_line", {**named, **{n: one[n] for n in ("quantity", "outcome", "told")}, **figures})
        )
    made += standard_rows(entry, "verification_id")
    made += file_rows(entry, "pairing_id", entry.ids["pair"], "verification")
    return [*made, *_what_follows(entry, kind)]


_FIGURES = ("measured", "expected", "as_found", "as_left", "u", "tolerance", "p_conform")


def figure(value: float | None) -> str | None:
    """A computed number as the text that tables keep: nine digits behind the point."""
    return None if value is None else f"{value:.9f}"


def _what_follows(entry: Entry, kind: str) -> list[Effect]:
    made: list[Effect] = []
    for number, (column, subject) in enumerate(entry.decided["holds"]):
        why = f"Failed: {KINDS[kind]}. {entry.decided['told']}"
        made.append(hold_row(entry, entry.derived(f"hold:{number}"), column, subject, "failed_verification", why))
    for number, one in enumerate(entry.decided["affected"], 1):
        row = {
            "id": entry.derived(f"affected:{number}"),
            "verification_id": entry.id,
            "number": number,
            "installation_id": one["installation"],
        }
        since = {"installed_at": one["installed_at"], "installed_offset_min": 0}
        until = {"removed_at": one["removed_at"], "removed_offset_min": 0 if one["removed_at"] else None}
        made.append(Add("affected_stay", {**row, **since, **until}))
    # Entries from before there were impacts keep the stays alone.
    if impact := entry.decided.get("impact"):
        told = {"reason": f"Failed: {KINDS[kind]}. {entry.decided['told']}", "heading_deg": _off_by(entry)}
        told |= {"shown_by_id": entry.id}
        waiting = [entry.derived("hold:0")]
        made += impact_rows(entry, entry.derived("impact"), impact, entry.ids["pair"], told, waiting)
    told = {"answered_by_id": entry.by, "answer": f"{KINDS[kind]}: pass."}
    return made + [
        Close("recheck", id_, {**entry.moment("answered"), **told}) for id_ in entry.decided.get("answers", ())
    ]


def _off_by(entry: Entry) -> str | None:
    """What the heading was found off by, if a heading was judged."""
    one = next((line for line in entry.decided["lines"] if line["quantity"] == "heading"), None)
    return figure(one["as_found"]) if one else None


def remarks_of(decided: dict[str, Any]) -> list[str]:
    """What the person is told at once: the verdict with its sentence, and what follows from it."""
    told = [decided["told"], FOLLOWS[decided["verdict"]]]
    if impact := decided.get("impact"):
        lines = len(impact["uses"])
        told.append(f"{impact['window']['told']} {lines} {'line waits' if lines == 1 else 'lines wait'} for an answer.")
    return told
