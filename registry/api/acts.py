"""Entering acts, and asking their go / no-go."""

from typing import Any

from flask import Response, g, jsonify

from registry import access, entering
from registry.api.asking import body, bp, signer
from registry.api.openapi import document
from registry.entering import Unfinished
from registry.errors import Reason, Refused


@bp.get("/openapi.json")
def openapi() -> Response:
    """This interface, as OpenAPI 3.1."""
    return jsonify(document())


@bp.post("/acts")
def act() -> Response:
    """Enter an act. 201 with its entry; the same act again gives 200 with the same entry.

    202 while its long work runs: then nothing is entered yet, `working` says how far it is, and the same act is sent again.

    Only by token: a signed-in page signs with a PIN, on a page.
    """
    if not g.by_token:
        raise Refused(
            Reason(
                "not_signed_in",
                "Over JSON an act is signed by a token, not by the session of a page.",
                next="Send Authorization: Bearer with a token made on your own page.",
            )
        )
    try:
        done = entering.enter(access.instance(), body(), signer(), **_how())
    except Unfinished as unfinished:
        return _still_working(unfinished)
    response = jsonify({"entry": done.entry._asdict(), "again": done.again, "remarks": done.remarks})
    response.status_code = 200 if done.again else 201
    response.headers["Location"] = f"/api/v1/log/{done.entry.seq}"
    return response


@bp.post("/acts/check")
def check() -> Response:
    """The go / no-go of an act. Nothing is stored. 202 while its long work runs: ask again."""
    try:
        answer = entering.check(access.instance(), body(), signer(), **_how())
    except Unfinished as unfinished:
        return _still_working(unfinished)
    return jsonify(
        {
            "go": not answer.reasons,
            "reasons": [r.as_json() for r in answer.reasons],
            "remarks": answer.remarks,
            "decided": answer.decided,
        }
    )


def _how() -> dict[str, Any]:
    return {"now": access.now(), "dice": access.dice(), "within_s": entering.PATIENCE_S}


def _still_working(unfinished: Unfinished) -> Response:
    """How far it is, and that the same is to be sent again."""
    response = jsonify({"working": unfinished.as_json(), "next": "Send the same again; nothing is entered twice."})
    response.status_code = 202
    response.headers["Retry-After"] = "2"
    return response
