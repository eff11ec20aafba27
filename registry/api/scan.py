"""What labels are, and the verdict on a heap of them."""

from dataclasses import asdict
from typing import Any

from flask import Response, jsonify, request

from registry import access, photos
from registry.api.asking import body, bp
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.models.lookups import hosts
from registry.queries.scans import Scanned, scanned
from registry.queries.tray import tray


@bp.get("/resolve")
def resolved() -> Response:
    """What one scan or typed text is."""
    text = request.args.get("text", "")
    if not text.strip():
        raise Refused(
            Reason("missing_field", "Say what was scanned: ?text=…", "text", "Send the text as the scanner gave it.")
        )
    with access.instance().database.reading() as db:
        thing = scanned(db, text[:2000], hosts(db))
    return jsonify(_thing(thing))


@bp.post("/read")
def read() -> Response:
    """What every symbol in a picture is: the picture is the body, as JPEG, PNG or WebP."""
    if request.mimetype not in (*photos.MEDIA_TYPES, "application/octet-stream"):
        told = f"The body is {request.mimetype or 'of no stated type'}, not a picture."
        raise Refused(Reason("not_a_photo", told, "photo", f"Send it as one of {', '.join(photos.MEDIA_TYPES)}."))
    symbols = photos.read_photo(request.get_data())
    with access.instance().database.reading() as db:
        known = hosts(db)
        things = [scanned(db, symbol.text, known) for symbol in symbols]
    return jsonify(
        {
            "symbols": [
                {"symbology": symbol.symbology, "corners": symbol.corners, **_thing(thing)}
                for symbol, thing in zip(symbols, things, strict=True)
            ]
        }
    )


@bp.post("/match")
def matched() -> Response:
    """The verdict on any number of scans."""
    labels = body().get("labels")
    if (
        not isinstance(labels, list)
        or not labels
        or not all(isinstance(one, str) for one in labels)
        or len(labels) > 200
    ):
        raise Refused(
            Reason("wrong_form", "labels is a list of one to 200 texts.", "labels", 'Send {"labels": ["…", "…"]}.')
        )
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        lying = tray(db, [one[:2000] for one in labels], at)
    return jsonify(
        {
            "verdict": lying.verdict,
            "things": [_thing(thing) for thing in lying.things],
            "whole": [{"pair": m.pairing.name, "halves": [h.code for h in m.halves]} for m in lying.whole if m.pairing],
            "halves": [
                {
                    "code": h.half.code,
                    "kind": h.half.kind,
                    "pair": h.pairing.name if h.pairing else None,
                    "partner": h.partner.code if h.partner else None,
                    "partner_where": h.partner_where or None,
                    "on_hold": h.held,
                    "not_accepted": h.not_accepted,
                }
                for h in lying.halves
            ],
        }
    )


def _thing(thing: Scanned) -> dict[str, Any]:
    label = thing.label
    read = None
    if label is not None:
        identity = asdict(label.identity) if label.identity else None
        read = {
            "syntax": label.syntax,
            "format": label.format,
            "aim": label.symbology,
            "elements": [list(e) for e in label.elements],
            "identity": identity,
            "warnings": list(label.warnings),
            "candidates": [c._asdict() for c in label.candidates],
        }
    return {
        "text": thing.text,
        "kind": thing.kind,
        "id": thing.id or None,
        "code": thing.code or None,
        "name": thing.name or None,
        "copy": thing.copy,
        "message": thing.told or None,
        "next": thing.do or None,
        "near": [h.code for h in thing.near],
        "label": read,
    }
