"""The home page: the scan line and the tray. The tray lives in the address, so it needs no script and no storage."""

from flask import Blueprint, Response, redirect, request, url_for

from registry import access
from registry.domain.times import stamp
from registry.queries.holds import waiting
from registry.queries.tray import Tray, tray
from registry.web.page import render

bp = Blueprint("scan", __name__)
#: More than a bench holds; the address stays short enough for every browser.
MOST = 40


@bp.get("/")
def home() -> Response:
    """One field that takes anything; what was scanned lands on the tray."""
    kept = [text for text in request.args.getlist("on") if text.strip()][:MOST]
    text = request.args.get("text", "")
    texts = [*kept, text] if text.strip() else kept
    at = stamp(access.now())
    with access.instance().database.reading() as db:
        lying = tray(db, [one[:1000] for one in texts], at)
        hands = waiting(db, at)
    keep = list(dict.fromkeys(thing.keep for thing in lying.things))
    return render("scan/home.html", tray=lying, keep=keep, waiting=hands, offers=_offers(lying))


@bp.get("/i/<code>")
@bp.get("/I/<code>")
@bp.get("/i/<code>/<copy>")
@bp.get("/I/<code>/<copy>")
def labelled(code: str, copy: str | None = None) -> Response:
    """What a phone’s own camera opens: the label’s address puts the thing on the tray."""
    return redirect(url_for("scan.home", text=code[:64]), 303)  # type: ignore[return-value]


def _offers(lying: Tray) -> list[tuple[str, str, dict[str, str]]]:
    """Acts that fit what lies on the tray: (act, words, fields)."""
    halves = {one.half.kind: one.half.code for one in lying.halves}
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
