"""What went wrong in the last six weeks before the anchor, and how it stands: a drop, a factory repair, a mix that was
tried, a swap out of order, a lift with nothing seated."""

from registry.demo.alignments import look_closer
from registry.demo.deliveries import deliver
from registry.demo.hand import Hand
from registry.demo.outfit import PAIRS, TYPES
from registry.demo.papers import dropped_half, humidity
from registry.demo.seasons import Seasons
from registry.demo.verifications import aboard, fail


def happen(hand: Hand, seasons: Seasons) -> None:
    """All of it, oldest first."""
    _factory_repair(hand, seasons)
    _flooded(hand, seasons)
    _wrong_date(hand, seasons)
    _dropped(hand, seasons)
    _knocked(hand, seasons)
    _out_of_order(hand, seasons)
    _mixed(hand, seasons)
    look_closer(hand, seasons)
    deliver(hand, seasons)
    _lifted(hand, seasons)


def _shelf(seasons: Seasons, kind: str, *, skip: int = 0) -> str:
    """A pair of that kind that lies on a shelf."""
    return [name for name in PAIRS[kind] if name not in seasons.inside.values() and name not in seasons.aside][skip]


def _factory_repair(hand: Hand, seasons: Seasons) -> None:
    """One half was replaced by the maker: a new statement ends the old pair; its electronics half lies loose."""
    name = _shelf(seasons, "reed")
    maker, _type, _sensor, electronics, _figures = TYPES["reed"]
    hand.do(
        "note_fault", -44, by="Vera Stroud", half=f"{name} E", words="Restarts by itself when warm, twice in one hour."
    )
    hand.do(
        "move_halves",
        -43,
        by="Oda Fenn",
        halves=[f"{name} S", f"{name} E"],
        site="South quay",
        spot="crate to the maker",
    )
    hand.do(
        "receive_half",
        -33,
        by="Oda Fenn",
        name=f"{name}R E",
        kind="electronics",
        unit_type="reed",
        maker=maker,
        part=electronics,
        serial="E-39007",
        revision="D",
        site="North shed",
        spot="bench 2",
    )
    hand.do(
        "move_halves", -33, "09:10", by="Oda Fenn", halves=[f"{name} S", f"{name} E"], site="North shed", spot="bench 2"
    )
    on = hand.at(-36).date().isoformat()
    hand.do(
        "record_pairing",
        -33,
        "09:30",
        by="Oda Fenn",
        name=f"{name}R",
        pair=f"{name}R",
        sensor=f"{name} S",
        electronics=f"{name}R E",
        grade="calibration_sheet",
        statement="AC-8114",
        stated_on=on,
        replaces=True,
    )
    hand.ids[f"{name}R S"] = hand.ids[f"{name} S"]
    seasons.aside.add(name)


def _flooded(hand: Hand, seasons: Seasons) -> None:
    """A sensor half got wet and is scrapped; its electronics half is left without a partner."""
    name = _shelf(seasons, "plover")
    hand.do("end_pairing", -30, by="Oda Fenn", pair=name, why="sensor half flooded on the bench, beyond repair")
    hand.do("retire_half", -30, "09:10", by="Tomas Oyelaran", half=f"{name} S", why="Flooded; salt in the coils.")
    seasons.aside.add(name)


def _wrong_date(hand: Hand, seasons: Seasons) -> None:
    """A swap entered with the wrong hour, put right by an act that names it."""
    bay, old = "Tansy A", seasons.inside["Tansy A"]
    new = seasons.free(bay, -27)
    assert new is not None
    seasons.sign("Yusuf Lind", -27, "07:30", "Quay bench")
    hand.do(
        "swap_pairs", -27, "12:40", by="Yusuf Lind", name="wrong swap", bay=bay, sensor_out=f"{old} S", electronics_out=f"{old} E",
        sensor_in=f"{new} S", electronics_in=f"{new} E", reason="planned",
    )  # fmt: skip
    changes = [
        {"act": hand.ids["wrong swap"], "instant": "removed", "at": hand.at(-27, "09:05")},
        {"act": hand.ids["wrong swap"], "instant": "installed", "at": hand.at(-27, "09:40")},
    ]
    hand.do(
        "amend_times",
        -26,
        by="Oda Fenn",
        changes=[{**one, "at": one["at"].isoformat().replace("+00:00", "Z")} for one in changes],
        why="The phone showed local summer time.",
    )
    seasons.inside[bay] = new
    seasons.close("Tansy", "A", -27 + 0.2, "Yusuf Lind")
    seasons.aligning.after_install(bay, new, -26, "Yusuf Lind", swapped=True)


def _dropped(hand: Hand, seasons: Seasons) -> None:
    """A pair fell from the bench: on hold until somebody who had no part in it has seen the evidence."""
    name = _shelf(seasons, "reed")
    hand.do(
        "place_hold",
        -24,
        "15:10",
        by="Ida Brekke",
        name="drop",
        pair=name,
        cause="dropped",
        reason="Dropped from the bench, about 80 cm, onto the mat. No visible damage.",
        files=[hand.keep("invented picture of the drop.png", dropped_half())],
    )
    hand.do(
        "note_fault", -24, "15:20", by="Ida Brekke", half=f"{name} S", words="Fell from the bench, connector side down."
    )
    fail(hand, name, -23.5)
    seasons.aside.add(name)
    other = _shelf(seasons, "sedge")
    hand.do(
        "place_hold",
        -23,
        "10:00",
        by="Yusuf Lind",
        name="scratch",
        pair=other,
        cause="suspect",
        reason="Bag found open on the shelf.",
    )
    hand.do(
        "release_hold",
        -20,
        "16:00",
        by="Rosa Achter",
        hold="scratch",
        reason="Humidity card dry, halves looked over under ESD control.",
        evidence="Readings of the bag’s humidity, attached.",
        files=[hand.keep("invented readings of the bag.csv", humidity())],
    )


def _knocked(hand: Hand, seasons: Seasons) -> None:
    """Campion met the quay: one act lists what to look at again; part of it is answered."""
    hand.do(
        "record_knock",
        -18,
        "17:30",
        by="Tomas Oyelaran",
        name="knock",
        vehicle="Campion",
        words="Touched the quay when it was lifted in, port side, slowly.",
    )


def _out_of_order(hand: Hand, seasons: Seasons) -> None:
    """At sea, with nobody's sign-off holding: refused first, then entered as it happened. The vehicle stops."""
    bay, old = "Yarrow A", seasons.inside["Yarrow A"]
    hand.do("move_vehicle", -15, "06:00", by="Tomas Oyelaran", vehicle="Yarrow", site="Halcyon Tern")
    new = seasons.free(bay, -12)
    assert new is not None
    told = {
        "bay": bay,
        "sensor_out": f"{old} S",
        "electronics_out": f"{old} E",
        "sensor_in": f"{new} S",
        "electronics_in": f"{new} E",
        "reason": "suspect",
        "words": "Heading jumped twice on the line.",
    }
    hand.refused("swap_pairs", -12, "03:40", by="Ida Brekke", entered=2.0, **told)
    hand.do(
        "swap_pairs",
        -12,
        "03:40",
        by="Ida Brekke",
        entered=2.0,
        name="yarrow swap",
        already_done=True,
        why_out_of_order="Weather window closing; the strap tester was on the other deck.",
        **told,
    )
    seasons.inside[bay] = new
    hand.do(
        "close_housing",
        -12,
        "04:30",
        by="Ida Brekke",
        entered=2.0,
        housing="Yarrow forward",
        words="Seals as they were, wiped.",
    )
    aboard(hand, new)


def _mixed(hand: Hand, seasons: Seasons) -> None:
    """Somebody tried to install halves of two pairs in Burdock. It was refused, and what was found there recorded."""
    bay, old = "Burdock A", seasons.inside["Burdock A"]
    spare = seasons.free(bay, -6)
    assert spare is not None
    seasons.sign("Yusuf Lind", -6, "07:35", "Bench 2")
    hand.refused(
        "swap_pairs",
        -6,
        "09:50",
        by="Yusuf Lind",
        bay=bay,
        sensor_out=f"{old} S",
        electronics_out=f"{old} E",
        sensor_in=f"{spare} S",
        electronics_in=f"{old} E",
    )
    hand.do("open_housing", -6, "09:55", by="Yusuf Lind", housing="Burdock forward", reason="to see what is in it")
    hand.do(
        "record_sighting",
        -6,
        "10:05",
        by="Yusuf Lind",
        bay=bay,
        sensor=f"{spare} S",
        electronics=f"{old} E",
        words="The sensor half of the spare sits in the hull; nobody says how.",
    )


def _lifted(hand: Hand, seasons: Seasons) -> None:
    """Lifted, none seated: Mallow's pair came out yesterday and the next one is not in yet."""
    bay, old = "Mallow A", seasons.inside["Mallow A"]
    seasons.sign("Ida Brekke", -1, "15:10", "Quay bench")
    hand.do(
        "remove_pair",
        -1,
        "16:20",
        by="Ida Brekke",
        bay=bay,
        sensor_out=f"{old} S",
        electronics_out=f"{old} E",
        reason="swap",
        seat_follows=True,
    )
    seasons.inside.pop(bay)
