"""The blueprint of /api/v1, and what its routes share: how a request asks, how an answer is shaped."""

from collections.abc import Mapping
from dataclasses import is_dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from flask import Blueprint, request

from registry import access
from registry.acts.door import Signer
from registry.acts.references import resolve
from registry.domain.times import read_day, read_instant, stamp
from registry.errors import Reason, Refused
from registry.models.seeks import EVER
from registry.queries import log

bp = Blueprint("api", __name__, url_prefix="/api/v1")
VIA = "json"


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


def signer() -> Signer:
    return Signer(access.person().id, VIA)


def body() -> dict[str, Any]:
    try:
        body = request.get_json(silent=True)
    except RecursionError:  # brackets within brackets without end
        body = None
    if not isinstance(body, dict):
        raise Refused(
            Reason("not_json", "The body is not a JSON object.", next="Send application/json with an object in it.")
        )
    return body


def number(name: str, default: int) -> int:
    text = request.args.get(name, str(default))
    if not text.isascii() or not text.isdigit() or len(text) > 18:
        raise Refused(Reason("wrong_form", f"{name} is a whole number.", name, "Send digits."))
    return int(text)


def found(db: sa.Connection, kind: str, ref: str, at: str) -> str:
    found = resolve(db, kind, ref, at, "ref")
    if isinstance(found, Reason):
        raise Refused(Reason("not_found", found.message, "ref", found.next))
    return found


def plain(value: Any) -> Any:
    """Dataclasses and rows as plain JSON values."""
    if is_dataclass(value) and not isinstance(value, type):
        return {name: plain(inner) for name, inner in ((f, getattr(value, f)) for f in value.__dataclass_fields__)}
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: plain(one) for key, one in value.items()}
    return value
