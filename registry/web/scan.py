"""The home page: the scan line and the tray, filled by typing, by a photo or by the camera.

The tray lives in the address, so it needs no script and no storage.
"""

from collections.abc import Sequence

from flask import Blueprint, Response, jsonify, redirect, render_template, request, url_for

from registry import access
from registry.domain.codes import code_url, read_code
from registry.domain.times import stamp
from registry.errors import Refused
from registry.models.lookups import hosts
from registry.photos import Symbol, read_photo
from registry.problems import problem
from registry.queries.holds import waiting
from registry.queries.log import outfit_shown
from registry.queries.scans import scanned
from registry.queries.tray import Tray, tray
from registry.web.page import render
from registry.web.tones import tone_of_tray

bp = Blueprint("scan", __name__)
#: More than a bench holds; the address stays short enough for every browser.
MOST = 40
LONGEST_TEXT, LONGEST_ADDRESS = 1000, 6000
#: A camera's frame: enough for a symbol held near, and quickly read.
FRAME_PIXELS = 4_000_000


@bp.get("/")
def home() -> Response:
    """One field that takes anything; what was scanned lands on the tray."""
    text = request.args.get("text", "")
    kept = _kept(request.args.getlist("on"))
    return _page([*kept, text] if text.strip() else kept)


@bp.post("/photo")
def photographed() -> Response:
    """Every symbol in a photo lands on the tray."""
    kept, upload = _kept(request.args.getlist("on")), request.files.get("photo")
    try:
        symbols = read_photo(upload.read() if upload else b"")
    except Refused as refused:
        return _page(kept, refused)
    laid = _laid(kept, symbols)
    address = url_for("scan.home", on=laid)
    return redirect(address, 303) if len(address) <= LONGEST_ADDRESS else _page(laid)  # type: ignore[return-value]


@bp.post("/frame")
def framed() -> Response:
    """One frame of the camera: how many symbols it shows, and the tray anew when one of them is new on it."""
    kept = _kept(request.args.getlist("on"))
    try:
        symbols = read_photo(request.get_data(), most_pixels=FRAME_PIXELS)
    except Refused as refused:
        if refused.reasons[0].code == "no_symbol":
            return jsonify({"symbols": 0})
        return problem(refused)
    laid = _laid(kept, symbols)
    if laid == kept:
        return jsonify({"symbols": len(symbols)})
    lying = _tray(laid)
    shown = render_template("parts/tray_answer.html", tray=lying, offers=_offers(lying), tone=tone_of_tray(lying))
    return jsonify({"symbols": len(symbols), "on": _keep(lying), "tone": tone_of_tray(lying), "shown": shown})


@bp.get("/i/<code>")
@bp.get("/I/<code>")
@bp.get("/i/<code>/<copy>")
@bp.get("/I/<code>/<copy>")
def labelled(code: str, copy: str | None = None) -> Response:
    """What a phone’s own camera opens: the label’s address puts the thing on the tray, a copy as a copy."""
    text = code[:64]
    if copy is not None:
        with access.instance().database.reading() as db:
            outfit = outfit_shown(db)
        try:
            text = code_url(outfit.label_host if outfit else "", read_code(text), _copy_number(copy))
        except ValueError:
            text = f"{text}/{copy[:8]}"  # no copy of ours: the tray says that it is not known
    return redirect(url_for("scan.home", text=text), 303)  # type: ignore[return-value]


def _copy_number(text: str) -> int:
    """Raises ValueError for what is no number of a copy; 0 is the label itself, and is not written."""
    if int(text[:4]) < 1:
        raise ValueError(text)
    return int(text[:4])


def _kept(texts: Sequence[str]) -> list[str]:
    return [text[:LONGEST_TEXT] for text in texts if text.strip()][:MOST]


def _tray(texts: Sequence[str]) -> Tray:
    with access.instance().database.reading() as db:
        return tray(db, [text[:LONGEST_TEXT] for text in texts], stamp(access.now()))


def _keep(lying: Tray) -> list[str]:
    return list(dict.fromkeys(thing.keep for thing in lying.things))


def _laid(kept: Sequence[str], symbols: Sequence[Symbol]) -> list[str]:
    """What lies on the tray when these symbols are put down, too: each thing once, by the shortest text for it."""
    with access.instance().database.reading() as db:
        known = hosts(db)
        new = [scanned(db, symbol.text, known).keep for symbol in symbols]
    return list(dict.fromkeys([*kept, *new]))[:MOST]


def _page(texts: Sequence[str], refused: Refused | None = None) -> Response:
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        lying, hands = tray(db, [text[:LONGEST_TEXT] for text in texts], at), waiting(db, at)
    return render(
        "scan/home.html", refused.status if refused else 200, tray=lying, keep=_keep(lying), waiting=hands,
        offers=_offers(lying), tone=tone_of_tray(lying), told=refused.reasons if refused else (),
    )  # fmt: skip


def _offers(lying: Tray) -> list[tuple[str, str, dict[str, str]]]:
    """Acts that fit what lies on the tray: (act, words, fields)."""
    halves = {one.half.kind: one.scan for one in lying.halves}
    pair = {"sensor": halves.get("sensor", ""), "electronics": halves.get("electronics", "")}
    bays = lying.of("bay")
    offers: list[tuple[str, str, dict[str, str]]] = []
    if lying.match and lying.match.verdict == "whole":
        for bay in bays:
            offers.append(
                (
                    "swap_pairs",
                    f"Go / no-go for {bay.name}",
                    {"bay": bay.code, "sensor_in": pair["sensor"], "electronics_in": pair["electronics"]},
                )
            )
        offers.append(("place_hold", "Hold this pair", {"pair": pair["sensor"]}))
        offers.append(("move_halves", "Move both halves", {"halves": "\n".join(pair.values())}))
    elif lying.match and len(lying.match.halves) == 2:
        for bay in bays:
            offers.append(("record_sighting", f"Record that they are in {bay.name}", {"bay": bay.code, **pair}))
        if lying.match.verdict == "alone":
            offers.append(("record_pairing", "Enter their matched-pair statement", pair))
    elif lying.match:
        one = lying.halves[0].half
        offers += [
            ("place_hold", "Hold this half", {"half": one.code}),
            ("note_fault", "Note a fault", {"half": one.code}),
            ("move_halves", "Move it", {"halves": one.code}),
        ]
    elif bays and not lying.halves:
        offers += [
            ("record_sighting", f"Record what is in {bays[0].name}", {"bay": bays[0].code}),
            ("place_hold", f"Hold {bays[0].name}", {"bay": bays[0].code}),
        ]
    for thing in lying.of("unknown"):
        if thing.label and thing.label.ok:
            offers.append(("receive_half", "Receive this half", {"label": thing.text}))
    for thing in lying.of("station"):
        offers.append(("sign_esd", f"ESD sign-off at {thing.name}", {"station": thing.code}))
    return offers
