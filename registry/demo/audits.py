"""Two audits, and what left the house: one audit closed with a discrepancy settled, one half-way; a loan, a half at
repair, a border crossing that is planned."""

from registry.demo.hand import Hand
from registry.demo.outfit import PAIRS, VEHICLES
from registry.demo.seasons import Seasons


def audit(hand: Hand, seasons: Seasons) -> None:
    """The auditor at the quay three weeks ago, and with the whole fleet yesterday."""
    _closed(hand, seasons)
    _lent(hand, seasons)
    _running(hand, seasons)


def _sight(hand: Hand, day: float, clock: str, audit: str, bay: str, pair: str | None) -> None:
    found = {"sensor": f"{pair} S", "electronics": f"{pair} E"} if pair else {"empty": True}
    hand.do("sight_bay", day, clock, by="Anselm Quay", audit=audit, bay=bay, **found)


def _closed(hand: Hand, seasons: Seasons) -> None:
    """One vehicle, in a morning: a half was told not to be there; with the bracket moved aside the second look found it."""
    inside = seasons.inside["Sorrel A"]
    hand.do("open_audit", -5, "08:00", by="Anselm Quay", name="A-18", audit="A-18", vehicle="Sorrel")
    hand.do("open_housing", -5, "08:05", by="Yusuf Lind", housing="Sorrel main", reason="audit A-18")
    words = "Nothing sits behind the bracket that I can see."
    told = {"sensor": f"{inside} S", "electronics_unread": "not_there", "words": words}
    hand.do("sight_bay", -5, "08:20", by="Anselm Quay", name="seen in part", audit="A-18", bay="Sorrel A", **told)
    _sight(hand, -5, "09:10", "A-18", "Sorrel A", inside)
    hand.do("close_housing", -5, "09:30", by="Yusuf Lind", housing="Sorrel main", words="Seals as they were, wiped.")
    hand.do("close_audit", -5, "10:20", by="Anselm Quay", audit="A-18", words="Both labels read on the second look.")


def _running(hand: Hand, seasons: Seasons) -> None:
    """The whole fleet, half-way: two bays read, one hull not opened."""
    hand.do("open_audit", -1, "08:00", by="Anselm Quay", name="A-19", audit="A-19")
    _sight(hand, -1, "09:00", "A-19", "Campion A", seasons.inside["Campion A"])
    _sight(hand, -1, "09:40", "A-19", "Burdock B", seasons.inside["Burdock B"])
    line = hand.derived("A-19", f"line:{_line('Tansy A')}")
    because = "Sails this week; the hull stays shut."
    hand.do("answer_line", -1, "10:00", by="Anselm Quay", line=line, answer="not_opened", because=because)


def _line(bay: str) -> int:
    """The number of a bay in an audit of the fleet: vehicles by name, bays from the bow."""
    bays = [f"{vehicle} {letter}" for vehicle in sorted(VEHICLES) for letter, *_rest in VEHICLES[vehicle][4]]
    return bays.index(bay) + 1


def _lent(hand: Hand, seasons: Seasons) -> None:
    """A vehicle that came back from a loan unsighted, a pair that should be back, a half at the works, a crossing."""
    told = {"partner": "Lowmoor Survey", "answers": "Tomas Oyelaran"}
    on = {
        name: hand.at(day).date().isoformat()
        for name, day in (("back", -8), ("late", -3), ("works", 20), ("cross", 12), ("home", 40), ("expires", 30))
    }
    hand.do("enter_loan", -14, "10:00", by="Tomas Oyelaran", name="lent", vehicle="Tansy", return_on=on["back"], **told)
    hand.do(
        "return_loan", -8, "15:00", by="Tomas Oyelaran", loan="lent", site="South quay", words="Washed, one scratch."
    )
    words, ill = "For a comparison in their tank.", _shelf(seasons, "dunlin")
    hand.do(
        "enter_loan",
        -13,
        "11:00",
        by="Tomas Oyelaran",
        pair=_shelf(seasons, "sedge"),
        return_on=on["late"],
        words=words,
        **told,
    )
    hand.do("note_fault", -9, "09:00", by="Ida Brekke", half=f"{ill} E", words="No answer on its second port.")
    told = {
        "keeper": "Velloway works",
        "reference": "VW-RP-2207",
        "due_on": on["works"],
        "words": "Second port is dead.",
    }
    hand.do("send_to_repair", -9, "14:00", by="Ida Brekke", halves=[f"{ill} E"], **told)
    papers = {"licence": "NL-4471", "licence_expires_on": on["expires"], "carnet": "C-90412"}
    goes = {"from_country": "Norland", "to_country": "Sudland", "crosses_on": on["cross"], "returns_on": on["home"]}
    hand.do(
        "plan_crossing",
        -4,
        "13:00",
        by="Tomas Oyelaran",
        vehicle="Teasel",
        words="By road, in its crate.",
        **goes,
        **papers,
    )


def _shelf(seasons: Seasons, kind: str) -> str:
    """A pair of that kind that lies on a shelf."""
    return next(name for name in PAIRS[kind] if name not in {*seasons.inside.values(), *seasons.aside})
