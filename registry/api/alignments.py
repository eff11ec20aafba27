"""How bays are mounted and aligned."""

from typing import Any

from flask import Response, jsonify

from registry import access
from registry.api.asking import bp, found, moment, plain
from registry.domain.mounting_checks import MountingCheck
from registry.domain.texts import is_id
from registry.errors import Reason, Refused
from registry.queries import alignments
from registry.queries.alignments import AlignmentLine
from registry.queries.mounting_checks import mounting_check_page


@bp.get("/bays/<ref>/alignments")
def bay_alignments(ref: str) -> Response:
    """How a bay is mounted, its lever arms, the axis and sign check and the alignment in force, earlier ones, what comes next."""
    at, known = moment()
    with access.instance().database.reading() as db:
        one = alignments.bay_alignments(db, found(db, "bay", ref, at), at, known)
    return jsonify(
        {
            "at": at,
            "mounting": dict(one.mounting) if one.mounting else None,
            "lever_arms": [dict(arm) for arm in one.arms.values()],
            "pair": one.stay.pair if one.stay else None,
            "axis_check": plain(one.standing.check),
            "mounting_check": _checked(one.standing.mounting),
            "in_force": _told(one.in_force) if one.in_force else None,
            "settings": plain(one.settings),
            "earlier_in_bay": [_told(line) for line in one.of_bay],
            "of_pair_elsewhere": [_told(line) for line in one.of_pair],
            "next": [step.act for step in one.steps],
        }
    )


@bp.get("/alignments/<alignment_id>")
def alignment(alignment_id: str) -> Response:
    """One alignment: its verdict, its parts, what is left of each angle, its residuals, and what to enter in the unit."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = alignments.alignment_page(db, alignment_id, at, known) if is_id(alignment_id) else None
    if page is None:
        told = "There is no alignment of that id, or it was not known then."
        raise Refused(Reason("not_found", told, "alignment_id", "Take the id from the alignments of its bay."))
    return jsonify(
        {
            "at": at,
            **_told(AlignmentLine(page.alignment, page.row)),
            "superseded": page.superseded,
            "parts": [dict(part) for part in page.parts.values()],
            "left": [dict(row) for row in page.left],
            "residuals": [dict(row) for row in page.residuals],
            "settings": plain(page.settings),
            "earlier_in_bay": [_told(line) for line in page.of_bay],
            "of_pair_elsewhere": [_told(line) for line in page.of_pair],
        }
    )


@bp.get("/mounting-checks/<check_id>")
def mounting_check(check_id: str) -> Response:
    """One mounting check: its verdict, what its poses leave of the 24, and the poses."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = mounting_check_page(db, check_id, at, known) if is_id(check_id) else None
    if page is None:
        told = "There is no mounting check of that id, or it was not known then."
        raise Refused(Reason("not_found", told, "check_id", "Take the id from the alignments of its bay."))
    poses = [dict(pose) for pose in page.poses]
    return jsonify({"at": at, **dict(page.row), **(_checked(page.check) or {}), "poses": poses})


def _checked(check: MountingCheck | None) -> dict[str, Any] | None:
    return {**plain(check), "now": check.now, "since": check.since} if check else None


def _told(line: AlignmentLine) -> dict[str, Any]:
    return {**dict(line.row), "state": line.alignment.state, "ended_at": line.row["removed_at"]}
