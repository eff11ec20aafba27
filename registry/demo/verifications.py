"""How the invented outfit verifies its pairs: marks, factory certificates, checks through the seasons, a drift that meets
its limit, a pair that never looked like that, a fail, static tests, an interval that was approved."""

from registry.demo.hand import Hand
from registry.demo.outfit import PAIRS, START
from registry.demo.papers import certificate, resting_unit

_STANDARDS = [("theodolite T-11", 200), ("bench supply PS-3", 90)]
#: Pair -> (days from the anchor, heading found less known in degrees) of its checks on the mark at the north shed.
_CHECKS = {
    "QH-0350": [(-365, -0.012), (-230, -0.018)],
    "QH-0363": [(-360, 0.021), (-300, 0.030), (-240, 0.036), (-140, 0.049), (-50, 0.061)],
    "QH-0376": [(-372, 0.004), (-130, 0.009)],
    "QH-0395": [(-330, 0.015)],
    "QH-0402": [(-370, -0.021), (-100, -0.026)],
    "QH-0417": [(-340, 0.008), (-250, -0.004), (-130, 0.006), (-49, 0.094)],
    "QH-0421": [(-200, 0.011)],
    "QS-0051": [(-210, 0.060)],
}


#: When the marks were surveyed, and the certificates and intervals came.
_SURVEY, _SHEETS, _INTERVAL, _TESTS = START + 162, START + 163, -46.5, {-240: "0.012", -47: "0.019"}
_MARKS = {
    "West wall": ("North shed", "214.370", "true", "0.010", {}),
    "Bollard 3": (
        "South quay",
        "88.20",
        "grid",
        "0.025",
        {"to_true_deg": "1.46", "north_source": "transverse Mercator, at the quay"},
    ),
}


def planned() -> list[tuple[float, str, str]]:
    """(day, "verify", what) of everything in the ordinary months, for the plan of the seasons."""
    checks = [(float(day), "verify", f"{pair} {off}") for pair, listed in _CHECKS.items() for day, off in listed]
    once = [
        (float(_SURVEY), "verify", "marks"),
        (float(_SHEETS), "verify", "sheets"),
        (_INTERVAL, "verify", "interval"),
    ]
    return [*checks, *once, *((float(day), "verify", "test") for day in _TESTS)]


def carry_out(hand: Hand, day: float, what: str) -> None:
    """One of the things planned, on its day."""
    if what in ("marks", "sheets", "interval"):
        {"marks": _survey, "sheets": _file_sheets, "interval": _approve}[what](hand)
    elif what == "test":
        bias = float(_TESTS[int(day)])
        recording = hand.keep(f"invented rest QH-0363 {-day:.0f}.csv", resting_unit(1000 - int(day), bias_deg_h=bias))
        _verify(
            hand,
            "record_static_test",
            day,
            "QH-0363",
            lat_deg="57.1",
            height_m="12",
            warm_up_min="60",
            files=[recording],
        )
    else:
        pair, off = what.split()
        _on_mark(hand, day, pair, float(off), rule="four-way")
        if day > -60:
            return
        outcome = {"outcome": "agreed", "words": "Log looked through."}
        hand.do("review_verification", day + 1, "15:00", by="Oda Fenn", verification=f"{pair} {day}", **outcome)


def fail(hand: Hand, pair: str, day: float) -> None:
    """What fell from the bench is looked at on the mark, and fails."""
    _on_mark(hand, day, pair, 0.31)


def _survey(hand: Hand) -> None:
    on = hand.at(_SURVEY - 3).date().isoformat()
    for name, (site, heading, north, sigma, more) in _MARKS.items():
        told = {
            "site": site,
            "mark": name,
            "heading_deg": heading,
            "north": north,
            "sigma_deg": sigma,
            "surveyed_on": on,
            **more,
        }
        hand.do("survey_mark", _SURVEY, by="Vera Stroud", name=name, how="invented survey, sun and theodolite", **told)


def _file_sheets(hand: Hand) -> None:
    """The factory’s certificates of the first reeds."""
    for number, pair in enumerate(PAIRS["reed"][:4]):
        reference = f"CC-{4100 + number}"
        results = [
            {
                "quantity": f"gyro bias {axis}",
                "unit": "deg/h",
                "as_found": f"0.0{3 + n}1",
                "as_left": f"0.00{4 + n}",
                "expanded": "0.006",
                "k": "2",
            }
            for n, axis in enumerate("xyz")
        ]
        results.append({"quantity": "scale of gyro z", "unit": "ppm", "as_left": "12"})
        on = hand.at(START - 4 + number * 9).date().isoformat()
        sheet = {
            "certificate": reference,
            "calibrated_on": on,
            "place": "Ardlune works, hall 2",
            "adjusted": True,
            "results": results,
        }
        files = [hand.keep(f"invented certificate {reference}.pdf", certificate(reference))]
        standards = [{"name": "rate table RT-2"}]
        hand.do(
            "record_calibration",
            _SHEETS,
            f"09:1{number}",
            by="Vera Stroud",
            pair=pair,
            standards=standards,
            files=files,
            **sheet,
        )


def _approve(hand: Hand) -> None:
    why = "Two numbers well inside; the rule proposes it."
    hand.do("approve_interval", _INTERVAL, by="Rosa Achter", pair="QH-0402", days=456, most_hours="900", words=why)
    hand.do("record_hours", _INTERVAL, "09:30", by="Ida Brekke", pair="QH-0402", hours_run="410")


def aboard(hand: Hand, pair: str) -> None:
    """Two minutes against the ship."""
    told = {
        "unit_heading_deg": "47.3",
        "ship_heading_deg": "47.1",
        "tolerance_deg": "1.0",
        "unit_roll_deg": "1.2",
        "ship_roll_deg": "1.1",
        "level_tolerance_deg": "0.5",
        "u_deg": "0.15",
    }
    _verify(hand, "record_ship_check", -11, pair, by="Ida Brekke", standards=[{"name": "ship’s gyro"}], **told)


def _verify(hand: Hand, act: str, day: float, pair: str, by: str = "Vera Stroud", **told) -> None:
    due = lambda days: hand.at(day + days).date().isoformat()  # noqa: E731
    standards = told.pop("standards", [{"name": name, "due_on": due(days)} for name, days in _STANDARDS])
    hand.do(
        act,
        day,
        "13:00",
        by=by,
        name=f"{pair} {day}",
        pair=pair,
        procedure="WP-12",
        issue="3",
        standards=standards,
        **told,
    )


def _on_mark(hand: Hand, day: float, pair: str, off: float, **told) -> None:
    found = f"{float(_MARKS['West wall'][1]) + off:.3f}"
    told |= {"mark": "West wall", "tolerance_deg": "0.10", "found_deg": found, "u_deg": "0.012"}
    _verify(hand, "record_heading_check", day, pair, hours_run=f"{600 + day:.0f}", **told)
