"""A delivery that came two days before the anchor: a new pair in two cartons, one unpacked, one still sealed."""

from registry.demo.hand import Hand
from registry.demo.outfit import TYPES, receive
from registry.demo.seasons import Seasons

SCOPE = {
    "sensor half": 1,
    "electronics half": 1,
    "joining lead": 1,
    "power lead": 1,
    "handbook": 1,
    "calibration sheet": 1,
}
_SOUND = {"condition": "sound", "shock": "clear", "tilt": "clear", "seal": "whole"}


def deliver(hand: Hand, seasons: Seasons) -> None:
    """The papers first, then the cartons, then one seal, one bag and one inspection."""
    lines = [{"item": item, "quantity": count} for item, count in SCOPE.items()]
    hand.do("set_scope", -2, "08:30", by="Oda Fenn", unit_type="reed", lines=lines)
    receive(hand, "reed", "QH-0433", -2)
    told = {"sender": f"{TYPES['reed'][0]} works", "reference": "AW-30518", "site": "North shed", "cartons": 3}
    hand.do("record_delivery", -2, "08:50", by="Oda Fenn", name="AW-30518", **told)
    for number, half, seen in ((1, "QH-0433 S", {"shock": "tripped"}), (2, "QH-0433 E", {}), (3, None, {})):
        inside = {"half": half} if half else {"words": "Leads, handbook, papers."}
        carton = {"delivery": "AW-30518", "number": number, **_SOUND, **inside, **seen}
        hand.do("record_carton", -2, f"09:{40 + number}", by="Oda Fenn", name=f"AW-30518 {number}", **carton)
    seasons.sign("Oda Fenn", -1, "07:10", "Bench 2")
    carton = {"carton": "AW-30518 1", "by": "Oda Fenn"}
    hand.do("open_carton", -1, "07:20", station="Bench 2", **carton)
    hand.do("open_bag", -1, "07:30", surface_c="19.5", air_c="21", humidity_pct="45", **carton)
    found = [{"item": "sensor half", "quantity": 1, "state": "done"}]
    told = {"label": "QH-0433 S", "bag": "closed", "lines": found, "outcome": "accept_noted"}
    hand.do("inspect_half", -1, "07:50", words="Cap of the supply plug is cracked; plug sound.", **told, **carton)
