"""Verifications, factory calibrations and bench marks."""

from typing import Any

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, moment, plain
from registry.domain.texts import is_id
from registry.errors import Reason, Refused
from registry.queries import bench_marks, calibrations, verifications


@bp.get("/verifications")
def due_verifications() -> Response:
    """When every pair is due for verification, worst first, and what awaits review."""
    at, known = moment()
    with access.instance().database.reading() as db:
        listed = verifications.due_listed(db, at, known)
        waiting = verifications.awaiting_review(db, at, known)
    dues = [verifications.due_told(one) for one in listed]
    return jsonify({"at": at, "due": dues, "awaiting_review": plain(waiting)})


@bp.get("/verifications/<verification_id>")
def verification(verification_id: str) -> Response:
    """One verification: verdict, every line, what it rests on, what was recorded, what it puts in doubt."""
    with access.instance().database.reading() as db:
        page = verifications.verification_page(db, verification_id) if is_id(verification_id) else None
    return jsonify(_flat(page, "verification"))


@bp.get("/calibrations/<calibration_id>")
def calibration(calibration_id: str) -> Response:
    """One factory calibration as its certificate states it, with the files."""
    with access.instance().database.reading() as db:
        page = calibrations.calibration_page(db, calibration_id) if is_id(calibration_id) else None
    return jsonify(_flat(page, "calibration"))


@bp.get("/marks")
def marks() -> Response:
    """Every bench mark with the survey in force, and the surveys before it."""
    at, known = moment()
    with access.instance().database.reading() as db:
        listed = bench_marks.marks_listed(db, at, known)
    return jsonify({"at": at, "marks": plain(listed)})


def _flat(page: Any, what: str) -> dict[str, Any]:
    """The row of a page, and its parts beside it."""
    if page is None:
        raise Refused(Reason("not_found", f"No {what} has that id.", next="Look it up on its pair."))
    told = plain(page)
    recording = told.get("recording")
    if recording:
        recording.pop("worked_out")  # stands in `recorded`, unpacked
    return {**told.pop("row"), **told}
