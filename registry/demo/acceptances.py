"""What was accepted by name in the invented outfit: one for the next voyage, one whose time is over."""

from registry.demo.hand import Hand
from registry.demo.seasons import Seasons


def accept(hand: Hand, seasons: Seasons) -> None:
    """Tansy sails the day after tomorrow with a roll nobody could decide; Burdock B sailed once while it was overdue."""

    def day(number: int) -> str:
        return hand.at(number).date().isoformat()

    roll = {"vehicle": "Tansy", "bay": "A", "finding": "alignment_undecided", "evidence": hand.entry_of("Tansy A run")}
    why = "Sidescan only on this voyage; the roll is measured by patch test on the first day."
    hand.do("accept_finding", -1, "18:05", by="Tomas Oyelaran", **roll, from_on=day(2), to_on=day(16), reason=why)
    pair = seasons.inside["Burdock B"]
    due = {"vehicle": "Burdock", "bay": "B", "finding": "verification_overdue", "evidence": hand.entry_of(pair)}
    why = "Two days of trials within sight of the quay; nothing is surveyed."
    hand.do("accept_finding", -30, "16:40", by="Rosa Achter", **due, to_on=day(-27), reason=why)
