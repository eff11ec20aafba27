"""Carrying a team's spreadsheet over, over JSON."""

from flask import Response, jsonify, request

from registry import access, importing
from registry.api.asking import body, bp
from registry.api.attachments import sent_file
from registry.errors import Reason, Refused
from registry.importing import Import, Imports


@bp.post("/imports")
def take_import() -> Response:
    """Send a spreadsheet as the raw body with `name=` and `kind=`, or as the part `file` of a form. 201 with the import.

    Kinds: vehicles, halves, pairs, installs, calibrations, missions. Its columns are guessed; nothing is entered. Keepers alone.
    """
    _refuse_others()
    stream, name = sent_file(request.args.get("name", ""))
    imports = Imports(access.instance())
    importing.refuse_busy(imports)
    one = imports.take(stream, name, request.args.get("kind", ""), access.person().id, access.now())
    response = jsonify(_told(imports, importing.look_apart(imports, one)))
    response.status_code = 201
    return response


@bp.get("/imports/<import_id>")
def an_import(import_id: str) -> Response:
    """One import: how it is read, how far it is, and the report row by row as it was tried last. Keepers alone."""
    imports, one = _found(import_id)
    return jsonify({**_told(imports, one), "rows": list(imports.report(one))})


@bp.post("/imports/<import_id>/<step>")
def import_step(import_id: str, step: str) -> Response:
    """Try every row, or enter all of them: `try` or `enter`.

    `try` takes `columns` (field -> letter), `fixed` (field -> value), `order` and `encoding`; `enter` follows a try without
    refused rows. 202: it goes on by itself; ask how far it is.
    """
    imports, one = _found(import_id)
    told = body()
    if one.state in ("trying", "entering", "entered"):
        raise Refused(Reason("already_so", "It is at work, or in the log already.", next="Look at how far it is."))
    if step == "try":
        columns, fixed = told.get("columns", one.columns), told.get("fixed", one.fixed)
        texts = [text for part in (columns, fixed) if isinstance(part, dict) for text in part.values()]
        if not (isinstance(columns, dict) and isinstance(fixed, dict) and all(isinstance(text, str) for text in texts)):
            raise Refused(Reason("wrong_form", "columns and fixed are objects of texts.", "columns", "Send them so."))
        order, encoding = told.get("order", one.order), told.get("encoding", one.encoding)
        importing.set_reading(one, columns, fixed, str(order), str(encoding))
    elif step != "enter":
        raise Refused(Reason("not_found", "An import is tried or entered.", "step", "Send try or enter."))
    else:
        importing.refuse_unready(one, near_are_others=told.get("near_are_others") is True)
        one.by = access.person().id
    importing.start(imports, one, step)
    response = jsonify(_told(imports, one))
    response.status_code = 202
    return response


def _refuse_others() -> None:
    importing.refuse_unless_keeper(access.instance(), access.person().id, access.now())


def _found(import_id: str) -> tuple[Imports, Import]:
    _refuse_others()
    imports = Imports(access.instance())
    one = imports.find(import_id)
    if one is None:
        raise Refused(
            Reason("not_found", "There is no import of that id.", "import_id", "Look at the page of imports.")
        )
    return imports, one


def _told(imports: Imports, one: Import) -> dict[str, object]:
    names = ("id", "kind", "name", "sha256", "state", "columns", "fixed", "order", "encoding", "counts", "size", "reasons")  # fmt: skip
    headers = [{"letter": column.letter, "header": column.header} for column in one.file_columns]
    return {**{name: getattr(one, name) for name in names}, "headers": headers, "progress": imports.progress(one)}
