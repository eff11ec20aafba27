"""Taking the record out over JSON."""

from flask import Response, jsonify

from registry import access, exporting
from registry.api.asking import body, bp
from registry.errors import Reason, Refused
from registry.queries import exports


@bp.get("/export")
def exportable() -> Response:
    """The tables that may leave, each with its columns and how many rows it has."""
    with access.instance().database.reading() as db:
        counts = exports.counts(db)
    columns = {table.name: [column.name for column in table.c] for table in exports.leaving()}
    return jsonify(
        {"tables": [{"name": name, "rows": rows, "columns": columns[name]} for name, rows in counts.items()]}
    )


@bp.post("/export")
def export() -> Response:
    """The record as a file: `format` is `jsonl` (the whole log), `csv` (a ZIP) or `xlsx`; `tables` names some of them.

    `names: true` brings the names of people along, which are left out otherwise. Keepers, auditors and fleet managers.
    """
    told = body()
    form, wanted, names = told.get("format", "jsonl"), told.get("tables", []), told.get("names", False)
    if not isinstance(wanted, list) or not all(isinstance(name, str) for name in wanted) or type(names) is not bool:
        raise Refused(
            Reason("wrong_form", "tables is a list of names, and names is true or false.", "tables", "Send them so.")
        )
    made = exporting.export(access.instance().database, access.person(), str(form), wanted, names, access.now())
    return Response(made.chunks, mimetype=made.media_type)
