"""A refusal as JSON: application/problem+json (RFC 9457), one shape everywhere."""

from flask import Response, jsonify

from registry.errors import Refused


def problem(refused: Refused) -> Response:
    """The problem document: the gravest reason's code on top, every reason with its field below."""
    first = next((r for r in refused.reasons if r.status == refused.status), refused.reasons[0])
    told = {
        "type": "about:blank",
        "title": "Refused. Nothing was written.",
        "status": refused.status,
        "code": first.code,
        "detail": first.message,
        "reasons": [reason.as_json() for reason in refused.reasons],
    }
    response = jsonify(told)
    response.status_code = refused.status
    response.content_type = "application/problem+json"
    return response
