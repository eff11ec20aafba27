"""Settings sheets of bays, loads and read-backs; and the comparison of values with every sheet, nothing stored."""

from typing import Any

from flask import Response, jsonify

from registry import access
from registry.api.asking import body, bp, found, moment, plain
from registry.domain.readbacks import LEAST_VALUES, Compared
from registry.domain.settings import document
from registry.domain.texts import is_id
from registry.errors import Reason, Refused
from registry.queries import settings


@bp.get("/bays/<ref>/settings")
def bay_settings(ref: str) -> Response:
    """The settings of a bay: its sheets, the values of the one in force, the load and the read-back since the install, what comes next."""
    at, known = moment()
    with access.instance().database.reading() as db:
        one = settings.bay_settings(db, found(db, "bay", ref, at), at, known)
    return jsonify(
        {
            "at": at,
            "pair": one.pair,
            "sheets": [dict(row) for row in one.sheets],
            "values": plain(one.lines),
            "load": plain(one.standing.load),
            "read_back": dict(one.reported) if one.reported else None,
            "values_read": [dict(row._mapping) for row in one.values_read],
            "file_kept": one.kept.outcome if one.kept else None,
            "next": [step.act for step in one.steps],
        }
    )


@bp.get("/settings/<sheet_id>")
def settings_sheet(sheet_id: str) -> Response:
    """One version of a sheet: the document its checksum is taken of, each value with its source, what changed, where it was loaded."""
    at, known = moment()
    with access.instance().database.reading() as db:
        page = settings.sheet_page(db, sheet_id, at, known) if is_id(sheet_id) else None
    if page is None:
        told = "There is no settings sheet of that id, or it was not known then."
        raise Refused(Reason("not_found", told, "sheet_id", "Take the id from the settings of its bay."))
    return jsonify(
        {
            "at": at,
            **dict(page.row),
            "document": document(page.row["bay_code"], page.row["version"], page.lines),
            "values": plain(page.lines),
            "changed": plain(page.changed),
            "loads": [dict(row._mapping) for row in page.loads],
            "newest_version": page.newest["version"],
        }
    )


@bp.post("/readback")
def readback() -> Response:
    """Whose settings these are: `values` is setting -> what the unit shows, `bay` where it sits, if it does. Nothing is stored."""
    told = body()
    values, ref = told.get("values"), told.get("bay")
    if (
        not isinstance(values, dict)
        or not values
        or len(values) > 60
        or not all(isinstance(v, str) for v in values.values())
    ):
        do = 'Send "values": {"Time scale": "UTC", …} with three settings or more.'
        raise Refused(Reason("wrong_form", "values is an object of up to 60 texts.", "values", do))
    if not isinstance(ref, str | None):
        raise Refused(Reason("wrong_form", "bay is text: a code, an address or a name.", "bay", "Send it in quotes."))
    at, known = moment()
    with access.instance().database.reading() as db:
        bay = found(db, "bay", ref, at) if ref else None
        one = settings.compared(db, values, bay, at, known)
    if one is None:
        told_why = f"Fewer than {LEAST_VALUES} of these settings stand on any sheet: nothing can be said from them."
        raise Refused(Reason("wrong_form", told_why, "values", "Call them as the sheets do, and read more of them."))
    return jsonify({"at": at, **told_of(one)})


def told_of(one: Compared) -> dict[str, Any]:
    """A comparison as plain values."""
    sheet = {name: getattr(one.sheet, name) for name in ("id", "bay", "version", "checksum")} if one.sheet else None
    told = {"verdict": one.verdict, "told": one.told, "next": one.next, "sheet": sheet}
    return told | {"read_too": list(one.apart), "differs": plain(one.differs), "not_known": list(one.not_known)}
