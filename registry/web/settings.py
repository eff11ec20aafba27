"""Settings sheets: each with its lines and its drawing, read-backs compared on the spot, and a page for the hull without a network."""

from typing import Any

from flask import Blueprint, Response, abort, make_response, request

from registry import access
from registry.acts.readbacks import RecordReadback
from registry.domain.readbacks import LEAST_VALUES, no_figures
from registry.domain.readbacks import VERDICTS as READ
from registry.domain.settings import LED_BY, PARTS, Line, document_bytes
from registry.domain.texts import is_id
from registry.domain.times import stamp
from registry.output.hulls import OffsetMark, offset_strip
from registry.output.settings_sheets import settings_sheet
from registry.output.sheets_offline import offline_page
from registry.queries.settings import SheetPage, bay_settings, compared, sheet_page
from registry.web.fleet import found
from registry.web.page import known_by_id, moment, render
from registry.web.papers import printed

bp = Blueprint("settings", __name__)


@bp.get("/settings/<sheet_id>")
def one(sheet_id: str) -> Response:
    """One version of the sheet of a bay, to be read and printed."""
    at, known, past = moment()
    page = known_by_id(sheet_id, lambda db: sheet_page(db, sheet_id, at, known))
    return render(
        "settings/sheet.html", page=page, led_by=LED_BY, parts=grouped(page.lines), strip=_strip(page), at=at, past=past
    )


@bp.get("/settings/<sheet_id>.json")
def as_sent(sheet_id: str) -> Response:
    """The very bytes the checksum is taken of."""
    at, known, _past = moment()
    page = known_by_id(sheet_id, lambda db: sheet_page(db, sheet_id, at, known))
    row = page.row
    answer = make_response(document_bytes(row["bay_code"], row["version"], page.lines))
    answer.mimetype = "application/json"
    name = f"settings-{row['bay_code']}-{row['version']}.json"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@bp.get("/settings/<sheet_id>.pdf")
def sheet(sheet_id: str) -> Response:
    """One version of the sheet of a bay, as PDF."""
    if not is_id(sheet_id):
        abort(404)
    return printed("settings", settings_sheet, sheet_id)


@bp.get("/settings/offline")
def offline() -> Response:
    """Every sheet in one page that compares by itself: to be kept on the phone before the network ends."""
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        answer = make_response(offline_page(db, at))
    # A file to be kept, never a page of ours: its own script must not run at this address.
    answer.mimetype = "application/octet-stream"
    answer.headers["Content-Disposition"] = 'attachment; filename="pairbook-sheets.html"'
    return answer


@bp.get("/bays/<bay>/readback")
def readback(bay: str) -> Response:
    """The settings of a bay’s sheet with a field each: three or more read off the unit are compared at once, and nothing is written."""
    at = stamp(access.now())
    bay_id = found("bay", bay, at)
    typed = _typed()
    with access.instance().database.reading() as db:
        one = bay_settings(db, bay_id, at)
        answer = compared(db, typed, bay_id, at) if typed else None
    rows = {
        f"values-{n}-{part}": text
        for n, pair in enumerate(typed.items())
        for part, text in zip(("setting", "value"), pair, strict=True)
    }
    wrong = no_figures(typed, ((line.name, line.value, line.unit) for line in one.lines))
    asked = [line for line in one.lines if line.part not in ("feeds", "aiding") and not line.name.endswith(", carries")]
    return render(
        "settings/readback.html", one=one, bay=bay, bay_id=bay_id, typed=typed, answer=answer, asked=asked, rows=rows, wrong=wrong, verdicts=READ,
        least=LEAST_VALUES, act=RecordReadback,
    )  # fmt: skip


def _typed() -> dict[str, str]:
    """Setting -> what was read, as the address of the page tells it."""
    names, values = request.args.getlist("setting"), request.args.getlist("value")
    pairs = zip(names[:60], values[:60], strict=False)
    return {name.strip()[:200]: value.strip()[:200] for name, value in pairs if name.strip() and value.strip()}


def grouped(lines: Any) -> list[tuple[str, list[Line]]]:
    """The lines under the words of their part, in the order of the parts."""
    return [(words, mine) for part, words in PARTS.items() if (mine := [line for line in lines if line.part == part])]


def _strip(page: SheetPage) -> str | None:
    """The hull with the bay and what its lever arms lead to; None when the sheet has none."""
    start, end = "Lever arm to ", ", forward"
    marks = [
        OffsetMark(line.name[len(start) : -len(end)].removeprefix("the "), float(line.value))
        for line in page.lines
        if line.name.startswith(start) and line.name.endswith(end)
    ]
    row = page.row
    if not marks:
        return None
    return offset_strip(row["hull"], float(row["length_m"]), row["letter"], float(row["from_bow_m"]), marks)
