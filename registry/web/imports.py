"""Carrying a team's spreadsheet over: the file, which column is which, the report of a try, then all of it or nothing."""

import csv
import io
from collections.abc import Iterator
from itertools import islice
from typing import Any

from flask import Blueprint, Response, abort, flash, redirect, request, url_for

from registry import access, downloads, importing, passwords
from registry.domain.exports import defused
from registry.domain.imports import DAY_ORDERS, ENCODINGS, SHEETS
from registry.domain.people import May
from registry.errors import Reason, Refused
from registry.importing import Import, Imports
from registry.models.carried_files import carried
from registry.web.page import render

bp = Blueprint("imports", __name__)
A_PAGE = 100
STATES = {"refused": "refused", "near": "near something known", "ready": "ready", "already": "in the log already"}


@bp.get("/imports")
def every() -> Response:
    """Every import, newest first, and where another begins."""
    return _every()


@bp.post("/imports")
def take() -> Response:
    """Lay a file down and look at its headers."""
    file, who = request.files.get("file"), access.person()
    try:
        _refuse_others()
        if file is None or not file.filename:
            raise Refused(Reason("missing_field", "No file came along.", "file", "Choose a CSV or XLSX file."))
        imports = _imports()
        importing.refuse_busy(imports)
        one = imports.take(file.stream, file.filename, request.form.get("kind", ""), who.id, access.now())
        importing.look_apart(imports, one)
    except Refused as refused:
        return _every(refused)
    return redirect(url_for("imports.one", import_id=one.id), 303)  # type: ignore[return-value]


@bp.get("/imports/<import_id>")
def one(import_id: str) -> Response:
    """One import: how it is read, how far it is, what the try found, and the way to enter it."""
    return _page(_found(import_id))


@bp.post("/imports/<import_id>/try")
def try_it(import_id: str) -> Response:
    """Read the file as told, and try every row on a copy of the record."""
    found, told = _found(import_id), request.form
    columns = {name: told[f"column-{name}"] for name in _fields(found) if told.get(f"column-{name}")}
    fixed = {name: told[f"all-{name}"] for name in _fields(found) if told.get(f"all-{name}", "").strip()}
    try:
        _refuse_entered(found)
        importing.set_reading(found, columns, fixed, told.get("order", ""), told.get("encoding", ""))
        importing.start(_imports(), found, "try")
    except Refused as refused:
        return _page(found, refused)
    return redirect(url_for("imports.one", import_id=found.id), 303)  # type: ignore[return-value]


@bp.post("/imports/<import_id>/enter")
def enter(import_id: str) -> Response:
    """Enter every row in one transaction, signed by a keeper's PIN."""
    found, who, now = _found(import_id), access.person(), access.now()
    try:
        _refuse_entered(found)
        importing.refuse_unready(found, near_are_others=bool(request.form.get("near")))
        passwords.check_secret(access.instance().database, who.id, "pin", request.form.get("pin", ""), now)
        found.by = who.id
        importing.start(_imports(), found, "enter")
    except Refused as refused:
        return _page(found, refused)
    flash("It is being entered. Nobody else can enter anything until it is.")
    return redirect(url_for("imports.one", import_id=found.id), 303)  # type: ignore[return-value]


@bp.get("/imports/<import_id>/report.csv")
def report(import_id: str) -> Response:
    """The report of the try, row by row, as CSV."""
    found = _found(import_id)
    response = Response(_lines(_imports(), found), mimetype="text/csv")
    response.headers["Content-Disposition"] = 'attachment; filename="import-report.csv"'
    return response


@bp.get("/spreadsheets/<sha256>")
def spreadsheet(sha256: str) -> Response:
    """A spreadsheet that history was carried over from, as it was sent, to be saved by those who may export."""
    importing.refuse_unless_reader(access.instance(), access.person().id, access.now())
    with access.instance().database.reading() as db:
        file = carried(db, sha256)
    if file is None:
        abort(404)
    return downloads.original(access.instance().files, *file[:2], "application/octet-stream", file[2])


def _lines(imports: Imports, one: Import) -> Iterator[str]:
    def line(*cells: str) -> str:
        out = io.StringIO()
        csv.writer(out, lineterminator="\r\n").writerow([defused(cell) for cell in cells])
        return out.getvalue()

    yield line("rows", "state", "read as", "acts", "why", "near")
    for row in imports.report(one):
        why = " ".join(f"{r['message']} {r.get('next', '')}".strip() for r in row["reasons"])
        numbers = " ".join(map(str, row["rows"]))
        yield line(numbers, row["state"], row["shown"], " ".join(row["acts"]), why, " ".join(row["near"]))


def _imports() -> Imports:
    return Imports(access.instance())


def _found(import_id: str) -> Import:
    _refuse_others()
    found = _imports().find(import_id)
    if found is None:
        abort(404)
    return found


def _refuse_others() -> None:
    importing.refuse_unless_keeper(access.instance(), access.person().id, access.now())


def _refuse_entered(found: Import) -> None:
    if found.state in ("trying", "entering", "entered"):
        told = "It is in the log already." if found.state == "entered" else "It is at work."
        raise Refused(Reason("already_so", told, next="Look at how far it is."))


def _fields(found: Import) -> list[str]:
    return [wanted.name for wanted in SHEETS[found.kind].columns]


def _every(refused: Refused | None = None) -> Response:
    may = bool(access.person().roles & May.KEEP)
    return render(
        "imports/imports.html",
        refused.status if refused else 200,
        imports=_imports().every() if may else [],
        kinds=SHEETS,
        kind=request.form.get("kind", ""),
        may=may,
        reasons=refused.reasons if refused else [],
    )


def _page(found: Import, refused: Refused | None = None) -> Response:
    imports, show = _imports(), request.args.get("show", "")
    if show not in STATES:
        show = next((name for name in STATES if found.counts.get(name)), "ready")
    after = request.args.get("after", "0")
    skip = int(after) if after.isascii() and after.isdigit() and len(after) < 9 else 0
    rows: list[dict[str, Any]] = []
    if found.state in ("tried", "entering", "entered"):
        these = (row for row in imports.report(found) if row["state"] == show)
        rows = list(islice(these, skip, skip + A_PAGE + 1))
    return render(
        "imports/import.html",
        refused.status if refused else 200,
        one=found,
        kind=SHEETS[found.kind],
        progress=imports.progress(found),
        rows=rows[:A_PAGE],
        onward=skip + A_PAGE if len(rows) > A_PAGE else None,
        show=show,
        states=STATES,
        orders=DAY_ORDERS,
        encodings=ENCODINGS,
        reasons=refused.reasons if refused else [importing.reason_of(told) for told in found.reasons],
    )
