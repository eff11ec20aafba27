"""Audits and their certificates."""

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found, number
from registry.domain.times import stamp
from registry.errors import Reason, Refused
from registry.output.audits import certificate
from registry.queries import audits
from registry.queries.second_checks import checks_in_audit


@bp.get("/audits")
def every_audit() -> Response:
    """Every audit, newest first, with how many of its lines are answered."""
    with access.instance().database.reading() as db:
        return jsonify(audits.audits_told(db))


@bp.get("/audits/<ref>")
def audit(ref: str) -> Response:
    """One audit: how far it is, fifty answered lines from `skip=` on, what differed, where to walk next.

    What is expected on a line that nobody has answered is not told. Of the seated pairs it has read it says how many were
    checked by a second person.
    """
    at, skip = stamp(access.now()), number("skip", 0)
    with access.instance().database.reading() as db:
        id_ = found(db, "audit", ref, at)
        page, checked = audits.audit_page(db, id_, at, access.person().id, skip=skip), checks_in_audit(db, id_, at)
    return jsonify(page.told() | {"seated_pairs_checked": checked})


@bp.get("/audits/<ref>/certificate")
def audit_certificate(ref: str) -> Response:
    """Everything the certificate of a closed audit says: every line, counts, discrepancies, size and root of the log."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        sheet = certificate(db, found(db, "audit", ref, at), at)
    if sheet is None:
        raise Refused(Reason("not_open", "That audit is not closed yet.", "ref", "Answer every line, then close it."))
    return jsonify(sheet.told())
