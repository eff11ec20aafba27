"""Where things are: the fleet, vehicles, bays, halves, pairs, holds."""

from flask import Response, jsonify, request

from registry import access
from registry.acts.references import resolve
from registry.api.asking import bp, found, moment, plain
from registry.errors import Reason, Refused
from registry.queries import bays, contracts, fleet, holds, pairings
from registry.queries.halves import halves_shown
from registry.queries.under_way import under_way


@bp.get("/where")
def where() -> Response:
    """Where a half or both halves of a pair are: `thing=`, at `at=`, as known on `known_on=`."""
    text = request.args.get("thing", "")
    if not text.strip():
        raise Refused(
            Reason("missing_field", "Say what to look for: ?thing=…", "thing", "A code, a label, a pair’s name.")
        )
    at, known = moment()
    with access.instance().database.reading() as db:
        half = resolve(db, "half", text, at, "thing")
        pair = resolve(db, "pairing", text, at, "thing") if isinstance(half, Reason) else half
        if isinstance(half, Reason) and isinstance(pair, Reason):
            raise Refused(half)
        wanted = pairings.pair_halves(db, pair) if isinstance(half, Reason) else (half,)
        shown = halves_shown(db, list(wanted), at, known)
    listed = [shown[id_] for id_ in wanted if id_ in shown]
    return jsonify(
        {
            "at": at,
            "halves": [{"code": h.code, "kind": h.kind, "where": h.where.say(), **plain(h.where)} for h in listed],
        }
    )


@bp.get("/fleet")
def every() -> Response:
    """Every vehicle with its bays and findings, worst first."""
    at, known = moment()
    with access.instance().database.reading() as db:
        vehicles, out = fleet.vehicles_at(db, at, known), under_way(db, at, known)
    return jsonify({"at": at, "vehicles": [{**plain(one), "out_on": plain(out.get(one.id))} for one in vehicles]})


@bp.get("/vehicles/<ref>")
def vehicle(ref: str) -> Response:
    """One vehicle with its bays, findings and contracts."""
    at, known = moment()
    with access.instance().database.reading() as db:
        id_ = found(db, "vehicle", ref, at)
        states, terms = fleet.vehicles_at(db, at, known, [id_]), contracts.terms_of(db, id_, at, known)
        out = under_way(db, at, known).get(id_)
    if not states:
        raise Refused(Reason("not_found", "That vehicle was not known then.", "ref", "Ask for a later instant."))
    return jsonify({"at": at, **plain(states[0]), "out_on": plain(out), "contracts": plain(terms)})


@bp.get("/bays/<ref>")
def bay(ref: str) -> Response:
    """One bay: what it holds, accepts, waits for, and its history."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = bays.bay_page(db, found(db, "bay", ref, at), at, known)
    if page is None:
        raise Refused(Reason("not_found", "That bay was not known then.", "ref", "Ask for a later instant."))
    return jsonify(
        {
            "at": at,
            "vehicle": page.vehicle.name,
            **plain(page.bay),
            "findings": plain(page.findings),
            "history": plain(page.events),
            "files": plain(page.files),
        }
    )


@bp.get("/holds")
def open_holds() -> Response:
    """Every open hold, oldest first."""
    at, known = moment()
    with access.instance().database.reading() as db:
        listed = holds.holds_open(db, at, known)
    return jsonify(
        {
            "at": at,
            "holds": [
                {
                    "id": h.row["id"],
                    "on": h.on,
                    "cause": h.row["cause"],
                    "reason": h.row["reason"],
                    "placed_at": h.row["placed_at"],
                    "placed_by": h.row["placed_by"],
                }
                for h in listed
            ],
        }
    )
