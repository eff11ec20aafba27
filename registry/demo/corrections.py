"""What the outfit entered wrong and put right by acts that name the first: a leak test entered twice, and another driver."""

from registry.demo.hand import Hand


def correct(hand: Hand) -> None:
    """Both versions stay in the record; histories tell of them."""
    test = {"housing": "Tansy main", "start_mbar": "760.0", "start_c": "20.0", "end_mbar": "760.6", "end_c": "20.0"}
    hand.do("record_leak_test", -26, "09:00", by="Yusuf Lind", name="first test", hold_min="30", **test)
    hand.do("record_leak_test", -26, "09:05", by="Oda Fenn", name="second test", hold_min="30", **test)
    told = {"acts": ["second test"], "instead": "first test", "why": "Entered from two phones; there was one test."}
    hand.do("withdraw_acts", -26, "10:00", by="Oda Fenn", **told)
    hand.do("move_vehicle", -25, "08:00", by="Oda Fenn", name="driven", vehicle="Tansy", site="North shed")
    told = {
        "amends": "driven",
        "person": "Tomas Oyelaran",
        "why": "Tomas drove; Oda entered it for him and forgot to say so.",
    }
    hand.do("amend_person", -25, "11:00", by="Oda Fenn", **told)
