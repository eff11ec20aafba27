"""The routes of /api/v1."""

import base64
from dataclasses import asdict, is_dataclass
from typing import Any

import sqlalchemy as sa
from flask import Blueprint, Response, jsonify, request

from registry import access, entering
from registry.acts import log as acts_log
from registry.acts import tree
from registry.acts.checkpoints import Checkpoint
from registry.acts.door import Signer
from registry.acts.entry import Entry
from registry.acts.references import resolve
from registry.api.openapi import document
from registry.domain.times import read_day, read_instant, stamp
from registry.errors import Reason, Refused
from registry.models.lookups import halves as halves_by_id
from registry.models.lookups import hosts
from registry.models.seeks import EVER
from registry.models.whereabouts import whereabouts
from registry.queries import bays, fleet, holds, log, units
from registry.queries.tray import Scanned, scanned, tray

bp = Blueprint("api", __name__, url_prefix="/api/v1")
VIA = "json"


@bp.get("/openapi.json")
def openapi() -> Response:
    """This interface, as OpenAPI 3.1."""
    return jsonify(document())


@bp.post("/acts")
def act() -> Response:
    """Enter an act. 201 with its entry; the same act again gives 200 with the same entry."""
    done = entering.enter(access.instance(), _body(), _signer(), now=access.now(), dice=access.dice())
    response = jsonify({"entry": shown(done.entry), "again": done.again, "remarks": done.remarks})
    response.status_code = 200 if done.again else 201
    response.headers["Location"] = f"/api/v1/log/{done.entry.seq}"
    return response


@bp.post("/acts/check")
def check() -> Response:
    """The go / no-go of an act. Nothing is stored."""
    answer = entering.check(access.instance(), _body(), _signer(), now=access.now(), dice=access.dice())
    return jsonify({"go": not answer.reasons, "reasons": [r.as_json() for r in answer.reasons], "remarks": answer.remarks, "decided": answer.decided})


@bp.get("/resolve")
def resolved() -> Response:
    """What one scan or typed text is."""
    text = request.args.get("text", "")
    if not text.strip():
        raise Refused(Reason("missing_field", "Say what was scanned: ?text=…", "text", "Send the text as the scanner gave it."))
    with access.instance().database.reading() as db:
        thing = scanned(db, text[:2000], hosts(db))
    return jsonify(_thing(thing))


@bp.post("/match")
def matched() -> Response:
    """The verdict on any number of scans."""
    labels = _body().get("labels")
    if not isinstance(labels, list) or not labels or not all(isinstance(one, str) for one in labels) or len(labels) > 200:
        raise Refused(Reason("wrong_form", "labels is a list of one to 200 texts.", "labels", 'Send {"labels": ["…", "…"]}.'))
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        lying = tray(db, [one[:2000] for one in labels], at)
    pairs = [lying.match] if lying.match and lying.match.verdict == "whole" else list(lying.heap.whole) if lying.heap else []
    return jsonify(
        {
            "verdict": lying.verdict,
            "things": [_thing(thing) for thing in lying.things],
            "whole": [{"pair": m.pairing.name, "halves": [h.code for h in m.halves]} for m in pairs if m.pairing],
            "halves": [
                {"code": h.half.code, "kind": h.half.kind, "pair": h.pairing.name if h.pairing else None, "partner": h.partner.code if h.partner else None, "partner_where": h.partner_where or None, "on_hold": h.held}
                for h in lying.halves
            ],
        }
    )


@bp.get("/where")
def where() -> Response:
    """Where a half, a pair or a vehicle's bays are: `thing=`, at `at=`, as known on `known_on=`."""
    text = request.args.get("thing", "")
    at, known = moment()
    with access.instance().database.reading() as db:
        found = resolve(db, "half", text, at, "thing") if text else Reason("missing_field", "Say what to look for: ?thing=…", "thing", "A code, a serial, a pair’s name.")
        if isinstance(found, Reason) and text:
            pair = resolve(db, "pairing", text, at, "thing")
            if not isinstance(pair, Reason):
                page = units.pair_page(db, pair, at, known)
                both = [page.sensor, page.electronics] if page else []
                return jsonify({"at": at, "pair": page.name if page else None, "halves": [_placed(h.code, h.kind, h.where) for h in both]})
        if isinstance(found, Reason):
            raise Refused(found)
        half, place = halves_by_id(db, [found])[found], whereabouts(db, [found], at, known)[found]
    return jsonify({"at": at, "halves": [_placed(half.code, half.kind, place)]})


@bp.get("/fleet")
def every() -> Response:
    """Every vehicle with its bays and findings, worst first."""
    at, known = moment()
    with access.instance().database.reading() as db:
        vehicles = fleet.vehicles_at(db, at, known)
    return jsonify({"at": at, "vehicles": [plain(one) for one in vehicles]})


@bp.get("/vehicles/<ref>")
def vehicle(ref: str) -> Response:
    """One vehicle with its bays and findings."""
    at, known = moment()
    with access.instance().database.reading() as db:
        states = fleet.vehicles_at(db, at, known, [_found(db, "vehicle", ref, at)])
    return jsonify({"at": at, **plain(states[0])})


@bp.get("/bays/<ref>")
def bay(ref: str) -> Response:
    """One bay: what it holds, accepts, waits for, and its history."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = bays.bay_page(db, _found(db, "bay", ref, at), at, known)
    return jsonify({"at": at, "vehicle": page.vehicle.name if page else None, **plain(page.bay if page else None), "findings": plain(page.findings if page else []), "history": plain(page.events if page else [])})


@bp.get("/pairs/<ref>")
def pair(ref: str) -> Response:
    """One pair with both halves, its stays and holds."""
    at, known = moment()
    page = _pair(ref, at, known)
    told = plain(page)
    told.pop("events")
    return jsonify({"at": at, "state": page.disc, **told})


@bp.get("/pairs/<ref>/history")
def pair_history(ref: str) -> Response:
    """What happened to a pair, newest first."""
    at, known = moment()
    page = _pair(ref, at, known)
    return jsonify({"at": at, "pair": page.name, "events": plain(page.events)})


@bp.get("/halves/<ref>")
def half(ref: str) -> Response:
    """One half with its labels, pairs, place and history."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = units.half_page(db, _found(db, "half", ref, at), at, known)
    if page is None:
        raise Refused(Reason("not_found", "That half was not known then.", next="Ask for a later instant."))
    return jsonify({"at": at, **plain(page.half), "labels": [dict(row._mapping) for row in page.labels], "pairs": plain(page.pairings), "history": plain(page.events)})


@bp.get("/holds")
def open_holds() -> Response:
    """Every open hold, oldest first."""
    at, known = moment()
    with access.instance().database.reading() as db:
        listed = holds.holds_open(db, at, known)
    return jsonify({"at": at, "holds": [{"id": h.row["id"], "on": h.on, "cause": h.row["cause"], "reason": h.row["reason"], "placed_at": h.row["placed_at"], "placed_by": h.row["placed_by"]} for h in listed]})


@bp.get("/log")
def entries() -> Response:
    """Entries after `after=`, oldest first, at most 500 at once."""
    after = _number("after", 0)
    with access.instance().database.reading() as db:
        size = log.size(db)
        told = [row.raw for row in acts_log.rows(db, after, min(after + 500, size))]
    # The bytes of each entry as they stand in the log, so that whoever fetches them can hash them.
    listed = b",".join(told).decode()
    response = Response(f'{{"size":{size},"entries":[{listed}]}}\n', content_type="application/json")
    return response


@bp.get("/log/<int:seq>")
def entry(seq: int) -> Response:
    """One entry, its bytes as they stand in the log."""
    with access.instance().database.reading() as db:
        found = log.entry(db, seq) if 0 < seq < 2**53 else None
    if found is None:
        raise Refused(Reason("not_found", f"The log has no entry {seq:,}.", next="Its size is in /api/v1/log/checkpoint."))
    return Response(found.raw, content_type="application/json")


@bp.get("/log/checkpoint")
def checkpoint() -> Response:
    """The signed checkpoint of the log as it stands, with the public key."""
    instance = access.instance()
    with instance.database.reading() as db:
        key, head = instance.log_key(db), acts_log.head(db)
        root = acts_log.root(db, head.size)
    told = Checkpoint(key.name, head.size, root)
    return jsonify({"origin": told.origin, "size": told.size, "root": base64.b64encode(told.root).decode(), "note": key.sign(head.size, root), "public_key": key.verifier().encoded()})


@bp.get("/log/proof")
def proof() -> Response:
    """Proof that entry `seq=` stands in the log of its size now (RFC 9162, inclusion)."""
    seq = _number("seq", 0)
    with access.instance().database.reading() as db:
        size = log.size(db)
        if not 0 < seq <= size:
            raise Refused(Reason("not_found", f"The log has {size:,} entries; there is no entry {seq:,}.", "seq", "Ask for one that is there."))
        node = acts_log.node_reader(db)
        steps, root, leaf = tree.inclusion_proof(seq - 1, size, node), tree.root(size, node), node(0, seq - 1)
    b64 = lambda raw: base64.b64encode(raw).decode()  # noqa: E731
    return jsonify({"seq": seq, "size": size, "root": b64(root), "leaf": b64(leaf), "proof": [b64(step) for step in steps]})


def moment() -> tuple[str, int]:
    """(`at`, `known`) as the request asks, else now and everything."""
    at, known = stamp(access.now()), EVER
    try:
        if asked := request.args.get("at"):
            at = stamp(read_instant(asked))
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), "at", "Send it like 2026-05-04T09:12:00Z.")) from None
    try:
        if day := request.args.get("known_on"):
            read_day(day)
            with access.instance().database.reading() as db:
                known = log.size_on(db, day)
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), "known_on", "Send it like 2026-05-04.")) from None
    return at, known


def _signer() -> Signer:
    return Signer(access.person().id, VIA)


def _body() -> dict[str, Any]:
    body = request.get_json(silent=True)
    if not isinstance(body, dict):
        raise Refused(Reason("not_json", "The body is not a JSON object.", next="Send application/json with an object in it."))
    return body


def _number(name: str, default: int) -> int:
    text = request.args.get(name, str(default))
    if not text.isascii() or not text.isdigit() or len(text) > 15:
        raise Refused(Reason("wrong_form", f"{name} is a whole number.", name, "Send digits."))
    return int(text)


def _found(db: sa.Connection, kind: str, ref: str, at: str) -> str:
    found = resolve(db, kind, ref, at, "ref")
    if isinstance(found, Reason):
        raise Refused(Reason("not_found", found.message, "ref", found.next))
    return found


def _pair(ref: str, at: str, known: int) -> units.PairPage:
    with access.instance().database.reading() as db:
        page = units.pair_page(db, _found(db, "pairing", ref, at), at, known)
    if page is None:
        raise Refused(Reason("not_found", "That pair was not known then.", next="Ask for a later instant."))
    return page


def _placed(code: str, kind: str, place: Any) -> dict[str, Any]:
    return {"code": code, "kind": kind, "where": place.say(), **plain(place)}


def _thing(thing: Scanned) -> dict[str, Any]:
    label = thing.label
    read = None
    if label is not None:
        identity = asdict(label.identity) if label.identity else None
        read = {"syntax": label.syntax, "format": label.format, "elements": [list(e) for e in label.elements], "identity": identity, "warnings": list(label.warnings), "candidates": [c._asdict() for c in label.candidates]}
    return {"text": thing.text, "kind": thing.kind, "id": thing.id or None, "code": thing.code or None, "name": thing.name or None, "copy": thing.copy, "message": thing.told or None, "next": thing.do or None, "near": [h.code for h in thing.near], "label": read}


def plain(value: Any) -> Any:
    """Dataclasses as plain JSON values."""
    if is_dataclass(value) and not isinstance(value, type):
        return {name: plain(inner) for name, inner in ((f, getattr(value, f)) for f in value.__dataclass_fields__)}
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    return value


def shown(entry: Entry) -> dict[str, Any]:
    return entry._asdict()
