"""What decides a stay, and the rows it leaves: shared by install, remove and swap."""

from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import bindparam, select

from registry.acts import seats
from registry.acts.act import Case, Decision
from registry.acts.authority import trainings_of
from registry.acts.effects import hold_row
from registry.acts.entry import Add, Close, Effect, Entry, no_moment
from registry.acts.sightings import differing, sighted
from registry.domain.deliveries import reasons_not_accepted
from registry.domain.installs import SeatFacts, Stay, reasons_not_to_lift, reasons_not_to_seat, reasons_of_other
from registry.domain.loans import reasons_away
from registry.domain.matches import Half, match
from registry.domain.openings import BEFORE_INSTALL
from registry.domain.people import reasons_not_trained
from registry.domain.signoffs import Signoff, reasons_without_signoff
from registry.domain.times import say
from registry.errors import Offer, Reason
from registry.models.away import away
from registry.models.cartons import newest_cartons
from registry.models.seeks import AT
from registry.models.sightings import sighting
from registry.models.whereabouts import whereabouts

_seen = (
    select(sighting.c.sighted_at, sighting.c.seq)
    .where(
        sighting.c.bay_id == bindparam("bay"), sighting.c.outcome == "as_recorded", sighting.c.voided_seq.is_(None), sighting.c.sighted_at > AT,
        sa.or_(sighting.c.sensor_id == bindparam("sensor"), sighting.c.electronics_id == bindparam("electronics")),
    )
    .order_by(sighting.c.sighted_at, sighting.c.seq)
    .limit(1)
)  # fmt: skip
_KEY = {"sensor": "sensor_id", "electronics": "electronics_id"}


def seat_facts(
    case: Case,
    bay_id: str,
    sensor: str,
    electronics: str,
    *,
    until: str | None = None,
    named: str | None = None,
    leaving: str | None = None,
    fields: tuple[str, str] = ("sensor", "electronics"),
) -> tuple[SeatFacts, sa.Row]:
    """Everything that decides whether these halves may go into this bay at the case's instant, and the bay's row."""  # fmt: skip
    db, at = case.db, case.at
    row = seats.bay_facts(db, bay_id, at)
    pairings = seats.pairings(db, [sensor, electronics])
    partners = [p.partner(h) for p in pairings for h in (sensor, electronics) if h in p.halves()]
    known = seats.halves(db, [sensor, electronics, *partners])
    found = match(known[sensor], known[electronics], pairings, at)
    places = {} if found.verdict == "whole" else whereabouts(db, filter(None, found.partners), at)
    own = {id_: known[id_] for id_ in (sensor, electronics)}
    bay = f"{row.vehicle}, bay {row.letter}"
    names = {
        "half_id": {id_: one.say() for id_, one in own.items()},
        "bay_id": {bay_id: bay},
        "vehicle_id": {row.vehicle_id: row.vehicle},
    }
    # A hold follows the halves: what came out wet is not dry because it got another statement.
    names["pairing_id"] = {p.id: f"pair {p.name}" for p in pairings}
    near = [seats.neighbours(db, _KEY[known[id_].kind], id_, at) for id_ in (sensor, electronics)]
    facts = SeatFacts(
        at=at, until=until, bay=bay, bay_id=bay_id, match=found, pairings=pairings, known=known,
        where={id_: place.say() for id_, place in places.items()},
        moves=seats.moves_within(db, own, at, until),
        of_bay=seats.neighbours(db, "bay_id", bay_id, at), of_sensor=near[0], of_electronics=near[1],
        accepted_types=seats.accepted_types(db, bay_id, at), holds=seats.open_holds(db, at, names),
        retired=seats.retired_words(db, until, own, row.vehicle_id, row.vehicle),
        not_accepted=_not_accepted(case, own, fields) + _away(case, own, fields), asked=seats.rechecks_asked(db, at, BEFORE_INSTALL, names),
        signoff_reasons=tuple(reasons_in_order(case, row.site_id, named)), leaving=leaving, fields=fields,
    )  # fmt: skip
    return facts, row


def _not_accepted(case: Case, own: Mapping[str, Half], fields: tuple[str, str]) -> tuple[Reason, ...]:
    """What receiving says against either half at the instant: not inspected yet, or rejected."""
    came = newest_cartons(case.db, own, case.at)
    told = [reasons_not_accepted(came.get(id_), str(own[id_]), name) for id_, name in zip(own, fields, strict=False)]
    return tuple(reason for reasons in told for reason in reasons)


def _away(case: Case, own: Mapping[str, Half], fields: tuple[str, str]) -> tuple[Reason, ...]:
    """Whether either half is at repair or on loan at the instant."""
    gone = away(case.db, own, case.at)
    told = [reasons_away(gone.get(id_), str(own[id_]), name) for id_, name in zip(own, fields, strict=False)]
    return tuple(reason for reasons in told for reason in reasons)


def signoff_in_order(case: Case, site_id: str | None, named: str | None) -> tuple[list[Reason], Signoff | None]:
    """What is missing of sign-off and training of who did it, at the instant it was done; and the sign-off that held."""
    own, one = seats.signoffs_of(case, named)
    missing, signoff = reasons_without_signoff(case.done_by, own, case.at, named=one, site_id=site_id)
    who = "you" if case.done_by == case.by else "who did it"
    return missing + reasons_not_trained(who, "esd", trainings_of(case, case.done_by), case.at), signoff


def reasons_in_order(case: Case, site_id: str | None, named: str | None) -> list[Reason]:
    """What is missing of sign-off and training, where nothing else is asked."""
    return signoff_in_order(case, site_id, named)[0]


def seated(case: Case, facts: SeatFacts, row: sa.Row, decided: dict[str, Any]) -> Decision:
    """The decision to seat, with every reason against it and what it rests on."""
    pairing = facts.match.pairing if facts.match.verdict == "whole" else None
    remarks = _moves_not_logged(case, facts, row)
    # The halves say themselves which is which, whichever field each was scanned into.
    seat = [half.id for half in facts.match.halves]
    told = {
        **decided,
        "pairing": pairing.id if pairing else None,
        "seat": seat,
        "remarks": remarks,
    }
    nears = (facts.of_bay, facts.of_sensor, facts.of_electronics)
    touched = max((stay.seq for near in nears for stay in (near.before, near.after) if stay), default=0)
    return Decision(reasons_not_to_seat(facts), told, touched, remarks, [("pairing_id", pairing.id)] if pairing else [])


def _moves_not_logged(case: Case, facts: SeatFacts, row: sa.Row) -> list[str]:
    """A label scanned at the bay is evidence of place: a move that was never logged is noted, not refused."""
    if facts.match.verdict != "whole" or not row.site_id:
        return []
    places = whereabouts(case.db, [half.id for half in facts.match.halves], case.at)
    return [
        f"{half} was recorded {places[half.id].say()}; its move to {row.site} was not logged."
        for half in facts.match.halves
        if places[half.id].site_id not in (None, row.site_id)
    ]


def lift(
    case: Case, bay_id: str, sensor: str, electronics: str, at: str
) -> tuple[Stay | None, list[Reason], dict[str, Any], sa.Row]:
    """The stay that ends when these halves come out of this bay at `at`, why it cannot, what is decided, the bay."""
    near = seats.neighbours(case.db, "bay_id", bay_id, at)
    row = seats.bay_facts(case.db, bay_id, at)
    stay = near.before
    known = seats.halves(case.db, [sensor, electronics])
    places = whereabouts(case.db, known, at)
    elsewhere = {id_: place.say() for id_, place in places.items() if place.bay_id != bay_id}
    reasons = reasons_not_to_lift(
        stay, f"{row.vehicle}, bay {row.letter}", at, near.after, list(known.values()), elsewhere
    )
    decided: dict[str, Any] = {}
    if stay is None or reasons:
        return stay, reasons, decided, row
    other = reasons_of_other(stay, known[sensor], known[electronics], elsewhere)
    decided |= {
        "span": stay.id,
        "installation": seats.installation_of(case.db, stay.id),
        "pairing_out": stay.pairing_id,
    }
    decided["out"] = [stay.sensor_id, stay.electronics_id]
    if other:
        by_kind = {half.kind: half.id for half in known.values()}
        found = {"sensor": by_kind.get("sensor"), "electronics": by_kind.get("electronics")}
        decided["found"] = {"halves": found, "ends": differing(case, bay_id, decided["out"], list(known), at)}
    return stay, other, decided, row


def seen_after(case: Case, stay: Stay, at: str) -> list[str]:
    """A remark when this pair was scanned in this bay after it is said to have come out."""
    keys = {"bay": stay.bay_id, "sensor": stay.sensor_id, "electronics": stay.electronics_id, "at": at}
    seen = case.db.execute(_seen, keys).first()
    return (
        [f"{stay.pair} was sighted there at {say(seen.sighted_at)} (entry {seen.seq:,}), after that."] if seen else []
    )


def put_in(entry: Entry, until: str | None = None) -> list[Effect]:
    """The installation and its span; with `until`, a stay that is over."""
    bay, (sensor, electronics) = entry.ids["bay"], entry.decided["seat"]
    keys = {"bay_id": bay, "pairing_id": entry.decided["pairing"], "sensor_id": sensor, "electronics_id": electronics}
    installation = entry.derived("installation")
    end = (
        {**entry.moment("removed", until), "closed_by": entry.id}
        if until
        else {**no_moment("removed"), "closed_by": None}
    )
    span = {
        "id": entry.derived("span"),
        "installation_id": installation,
        **keys,
        **entry.moment("installed"),
        **end,
        "opened_by": entry.id,
    }
    return [Add("installation", {"id": installation, **keys}), Add("installation_span", span)]


def lifted(entry: Entry, at: str, *, follows: bool = False) -> list[Effect]:
    """The end of a stay. Where its halves lie from then on is where the vehicle was; what else was found there is told."""
    decided, body = entry.decided, entry.body
    made: list[Effect] = [
        Close("installation_span", decided["span"], {**entry.moment("removed", at), "closed_by": entry.id}),
        removal(
            entry, decided["installation"], body["reason"], body["condition"], follows=follows, found="found" in decided
        ),
    ]
    if body["condition"] != "sound":
        reason = f"Came out {body['condition']}. {body.get('words') or ''}".strip()
        made.append(
            hold_row(
                entry, entry.derived("condition-hold"), "pairing_id", decided["pairing_out"], body["condition"], reason
            )
        )
    if found := decided.get("found"):
        made += sighted(entry, entry.derived("sighting"), entry.ids["bay"], found["halves"], found["ends"], at)
    return made


def removal(
    entry: Entry, installation: str, reason: str, condition: str, *, follows: bool = False, found: bool = False
) -> Add:
    words = entry.body.get("words") or ""
    told = {"reason": reason, "condition": condition, "seat_follows": follows, "as_recorded": not found, "words": words}
    by = entry.ids.get("removed_by") or entry.done_by
    return Add(
        "removal",
        {"id": entry.derived("removal"), "installation_id": installation, "act_id": entry.id, "done_by_id": by, **told},
    )


def sitting(case: Case, bay_id: str) -> tuple[Stay | None, str | None, list[Reason]]:
    """The stay that a bay held at the case's instant, its installation, and why there is none."""
    stay = seats.neighbours(case.db, "bay_id", bay_id, case.at).before
    if stay and (stay.removed_at is None or stay.removed_at > case.at):
        return stay, seats.installation_of(case.db, stay.id), []
    told = f"That bay was empty at {say(case.at)}."
    if stay:
        told += f" {stay.pair} was taken out at {say(stay.removed_at or '')} (entry {stay.seq:,})."
    offer = Offer("install_pair", "Install a pair", {"bay": bay_id})
    return None, None, [Reason("not_installed", told, "bay", "Look at the bay, or at the day and time.", offer)]
