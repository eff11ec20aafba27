"""Labels: the symbol of one thing, and the page on which many are chosen and come as PDF for a printer."""

from collections.abc import Iterator
from tempfile import SpooledTemporaryFile

import sqlalchemy as sa
from flask import Blueprint, Response, abort, make_response, request

from registry import access
from registry.domain import sticking
from registry.domain.codes import read_code
from registry.domain.prints import DPIS, SIZES_MM, read_order
from registry.errors import Reason, Refused
from registry.models.lookups import bearer
from registry.output.labels import draw_pdf
from registry.output.symbols import qr_png, qr_svg
from registry.queries import log
from registry.queries.labels import KINDS, LabelText, labels_listed, labels_of
from registry.web.page import render

bp = Blueprint("labels", __name__)
#: Things listed a page, labels printed at once, and how much of a PDF is held in memory before it goes to a file.
A_PAGE, MOST, IN_MEMORY, CHUNK = 60, 1000, 4 * 1024 * 1024, 64 * 1024


@bp.get("/labels")
def choose() -> Response:
    """Things of one kind to tick, and how to print their labels."""
    return _page({name: request.args.get(name, "") for name in ("codes", "size_mm", "dpi", "paper", "copies")})


@bp.post("/labels")
def printed() -> Response:
    """The labels as PDF, streamed; a choice that cannot be printed comes back with why."""
    told = request.form
    try:
        texts = [*told.getlist("on"), *told.get("codes", "").split("\n")]
        paper = told.get("measures", "") if told.get("paper") == "measures" else told.get("paper", "")
        order = read_order(
            told.get("size_mm", ""),
            told.get("dpi", ""),
            paper.strip(),
            told.get("copies", ""),
            bool(told.get("legend")),
        )
        with access.instance().database.reading() as db:
            labels, outfit = labels_of(db, [text.strip() for text in texts if text.strip()]), log.outfit_shown(db)
        _refuse_none_or_too_many(len(labels), len(order.each))
        out = SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115  closed by `_streamed`, after the answer is sent
        try:
            draw_pdf(out, labels, outfit.label_host if outfit else "", order)
        except BaseException:
            out.close()
            raise
    except Refused as refused:
        return _page(dict(told.items()), refused)
    response = Response(_streamed(out), mimetype="application/pdf")
    response.headers["Content-Disposition"] = 'attachment; filename="labels.pdf"'
    return response


def _refuse_none_or_too_many(things: int, each: int) -> None:
    if things == 0:
        raise Refused(Reason("missing_field", "Nothing is ticked and no code is typed.", "codes", "Tick a thing."))
    if things * each > MOST:
        told = f"These are {things * each:,} labels; a page prints at most {MOST:,} at once."
        raise Refused(Reason("too_large", told, "codes", "Print them in parts, or use `pairbook labels --pdf`."))


def _streamed(out: "SpooledTemporaryFile[bytes]") -> Iterator[bytes]:
    with out:
        out.seek(0)
        while chunk := out.read(CHUNK):
            yield chunk


def _page(told: dict[str, str], refused: Refused | None = None) -> Response:
    kind = request.args.get("kind", "half")
    if kind not in KINDS:
        abort(404)
    after = request.args.get("after", "0")
    skip = int(after) if after.isascii() and after.isdigit() and len(after) < 9 else 0
    with access.instance().database.reading() as db:
        listed = labels_listed(db, kind, A_PAGE + 1, skip)
        asked, told = _asked(db, told)
    ticked = set(request.form.getlist("on")) | {label.code for label in asked}
    listed_codes = {label.code for label in listed[:A_PAGE]}
    beyond = [code for code in request.form.getlist("on") if code not in listed_codes]
    told = told | {"codes": "\n".join([*beyond, told.get("codes", "")]).strip()} if beyond else told
    return render(
        "labels/labels.html", refused.status if refused else 200, kind=kind, kinds=sticking.NAMES, listed=listed[:A_PAGE],
        onward=skip + A_PAGE if len(listed) > A_PAGE else None, told=told, ticked=ticked, sizes=SIZES_MM, dpis=DPIS, asked=asked,
        where=sticking.WHERE[kind], copy_words=sticking.COPY, printing=sticking.PRINTING, mind=sticking.CAUTIONS,
        reasons=refused.reasons if refused else (), legend=bool(told.get("legend")) or request.method == "GET",
    )  # fmt: skip


def _asked(db: sa.Connection, told: dict[str, str]) -> tuple[list[LabelText], dict[str, str]]:
    """The things whose codes came along with the address: ticked on top. What is no code stays typed, and is told when
    it is sent."""
    if request.method != "GET" or not told["codes"]:
        return [], told
    try:
        return labels_of(db, told["codes"].split()), told | {"codes": ""}
    except Refused:
        return [], told


def _host_of(code: str) -> str:
    """The host on our labels, when something bears this code."""
    try:
        code = read_code(code)
    except ValueError:
        abort(404)
    with access.instance().database.reading() as db:
        outfit = log.outfit_shown(db)
        if outfit is None or bearer(db, code) is None:
            abort(404)
    return outfit.label_host


@bp.get("/labels/<code>.svg")
def svg(code: str) -> Response:
    """The QR symbol as SVG."""
    response = make_response(qr_svg(_host_of(code), code))
    response.headers["Content-Type"] = "image/svg+xml"
    return response


@bp.get("/labels/<code>.png")
def png(code: str) -> Response:
    """The QR symbol as PNG."""
    response = make_response(qr_png(_host_of(code), code))
    response.headers["Content-Type"] = "image/png"
    return response
