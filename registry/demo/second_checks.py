"""Who else looked at what was seated in the invented outfit: mostly another technician who was there; at sea Vera by photo; once
only who seated it; and one that nobody has looked at yet."""

from registry.demo.hand import Hand
from registry.demo.papers import seal
from registry.demo.seasons import Seasons, Seat
from registry.domain.second_checks import ALL

_AWAITED, _ASHORE = "Campion A", "Sorrel A"


def look_at_seats(hand: Hand, seasons: Seasons) -> None:
    """Every stay of the ordinary months, and those of the last weeks."""
    last = {seat.bay: seat for seat in seasons.seats}
    for seat in seasons.seats:
        is_last = last[seat.bay] is seat
        if is_last and seat.bay == _AWAITED:
            continue
        _look(hand, seat, ashore=seat.aboard or (is_last and seat.bay == _ASHORE))
    _look(hand, Seat("Tansy A", -27, "Yusuf Lind", clock="12:50"), ashore=False)
    _alone(hand)


def _look(hand: Hand, seat: Seat, *, ashore: bool) -> None:
    other = {"Ida Brekke": "Yusuf Lind", "Yusuf Lind": "Ida Brekke"}[seat.who]
    if not ashore:
        told = {"how": "present", "looked_at": [*ALL], "entered": seat.entered}
        hand.do("check_seating", seat.day, seat.clock, by=other, bay=seat.bay, **told)
        return
    photo = hand.keep("invented picture of a seated pair.png", seal())
    told = {"how": "ashore", "looked_at": [*ALL], "files": [photo], "entered": seat.entered}
    hand.do("check_seating", seat.day, seat.clock, by="Vera Stroud", bay=seat.bay, **told)


def _alone(hand: Hand) -> None:
    """Yarrow's swap at sea in the night: Ida looked again after half an hour, and Tomas took that on for the voyage."""
    photo = hand.keep("invented picture of a seated pair.png", seal())
    told = {"how": "alone", "looked_at": [*ALL], "files": [photo], "entered": 2.0}
    hand.do("check_seating", -12, "04:15", by="Ida Brekke", name="yarrow looked again", bay="Yarrow A", **told)
    care = {
        "vehicle": "Yarrow",
        "bay": "A",
        "finding": "checked_alone",
        "evidence": hand.entry_of("yarrow looked again"),
    }
    why = "One technician aboard on that watch; the photos show the dowels home and both cables latched."
    until = hand.at(16).date().isoformat()
    hand.do("accept_finding", -9, "17:00", by="Tomas Oyelaran", **care, to_on=until, reason=why)
