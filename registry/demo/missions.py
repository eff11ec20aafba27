"""What the invented outfit sailed: a mission on every voyage, swapped in between, and day trips; and what a half that the
maker found bad had been used for, part of it answered."""

import uuid
from typing import Any

from registry.demo.hand import Hand
from registry.demo.seasons import VOYAGES

_AREAS = ("Outer bank", "Kelder sill", "Marl deep", "Skerry ground")
#: Day, vehicle, area, use, hours, kilometres, aided by, longest stretch without a fix: day trips, entered afterwards.
_TRIPS: list[tuple[float, str, str, str, int, str, str, str | None]] = [
    (-262, "Sorrel", "Harbour mouth", "camera", 6, "4.1", "dvl", None),
    (-205, "Tansy", "North roads", "multibeam", 9, "61", "gnss", None),
    (-150, "Burdock", "Kelder sill", "sidescan", 11, "38", "dvl_and_fixes", "9.5"),
    (-95, "Teasel", "Outer bank", "multibeam", 14, "52", "dvl_and_fixes", "12"),
    (-52, "Mallow", "Marl deep", "camera", 7, "17", "dvl", None),
    (-34, "Tansy", "North roads", "multibeam", 8, "57", "gnss", None),
]  # fmt: skip

#: Why the first of them sailed with empty bays.
_BEFORE_PAIRS = "The pairs are aboard and go in at sea: no line is run before."


def sail(hand: Hand) -> None:
    """Every mission, planned or entered afterwards."""
    for number, (day, vehicle) in enumerate(VOYAGES, 1):
        _voyage(hand, number, day, vehicle)
    for number, (day, vehicle, area, use, hours, ran, aided, stretch) in enumerate(_TRIPS, 1):
        told: dict[str, Any] = {"vehicle": vehicle, "reference": f"HSS-T{number:02d}", "area": area, "use": use}
        told |= {"ended_at": hand.at(day, f"{6 + hours:02d}:00"), "distance_km": ran, "aided_by": aided}
        told |= {"stretch_km": stretch} if stretch else {}
        hand.do("record_mission", day, "06:00", by="Tomas Oyelaran", entered=1.0, **told)
    told = {
        "mission": "HSS-T06",
        "ended": hand.at(-34, "13:20"),
        "why": "Entered from the plan; the boat’s own log says so.",
    }
    hand.do("amend_mission", -25, "10:30", by="Oda Fenn", **told)
    plan = {"planned_from": hand.at(1, "06:00"), "planned_to": hand.at(3, "18:00"), "area": "Skerry ground"}
    hand.do("plan_mission", -2, by="Tomas Oyelaran", vehicle="Teasel", reference="HSS-V08", use="multibeam", **plan)
    _under_way(hand)


def _voyage(hand: Hand, number: int, day: float, vehicle: str) -> None:
    """From the second day aboard to the eleventh; the swap at sea falls into it."""
    name = f"HSS-V{number:02d}"
    told = {"vehicle": vehicle, "reference": name, "area": _AREAS[number % 4], "use": "sidescan"}
    plan = {"planned_from": hand.at(day + 2, "06:00"), "planned_to": hand.at(day + 11, "18:00")}
    hand.do("plan_mission", day - 6, by="Tomas Oyelaran", name=name, **told, **plan)
    why = {"all_the_same": _BEFORE_PAIRS} if number == 1 else {}
    hand.do("start_mission", day + 2, "07:30", by="Ida Brekke", mission=name, **why)
    ran = {"distance_km": f"{190 + 13 * number}", "aided_by": "dvl_and_fixes", "stretch_km": f"{18 + number}"}
    late = {"data_until": hand.at(day + 11, "17:05"), "data_words": "Five minutes on deck, left running."}
    more = late if number == 3 else {"data_until": hand.at(day + 11, "16:20")}
    hand.do("end_mission", day + 11, "16:30", by="Ida Brekke", entered=0.5, mission=name, **ran, **more)


def _under_way(hand: Hand) -> None:
    """Yarrow is out since before its swap at sea, which was done out of order."""
    told = {"vehicle": "Yarrow", "reference": "HSS-V09", "area": "Marl deep", "use": "camera"}
    plan = {"planned_from": hand.at(-14, "06:00"), "planned_to": hand.at(2, "18:00")}
    hand.do("plan_mission", -16, by="Tomas Oyelaran", name="HSS-V09", **told, **plan)
    why = "Both were checked on the quay; the results are not worked out yet. Camera work only."
    hand.do("start_mission", -14, "08:00", by="Ida Brekke", mission="HSS-V09", all_the_same=why)


def assess(hand: Hand) -> None:
    """The maker found what ailed the electronics half it replaced: what its pair was used for, part of it answered."""
    told = {"by": "Vera Stroud"}
    why = (
        "The maker’s report on the half it replaced: warm, it lost part of a gyro’s scale; heading off by up to 0.12°."
    )
    bad = {"half": "QH-0350 E", "heading_deg": "0.12", "reason": why}
    hand.do("open_impact", -28, "10:00", name="bad half", **bad, **told)
    lines = [str(uuid.uuid5(uuid.UUID(hand.ids["bad half"]), f"impact-line:{number}")) for number in (1, 2)]
    usable = {"answer": "usable", "heading_deg": "0.12", "words": "Lines are 60 m apart; the client was told."}
    hand.do("answer_impact", -27, "14:00", impact="bad half", lines=lines[:1], **usable, **told)
    gone = {"answer": "withdrawn", "words": "Warm water, all of it: run again on the next voyage."}
    hand.do("answer_impact", -27, "14:20", impact="bad half", lines=lines[1:], **gone, **told)
    shared = {"impact": "bad half", "kinship": "voyage"}
    spared = "Its own numbers were looked through; they say nothing of the kind."
    hand.do("pass_same_batch", -26, "09:00", half="QH-0417 E", reason=spared, **shared, **told)
    hand.do("hold_same_batch", -0.4, "09:00", half="QH-0395 E", reason="Same lot of boards, says the maker.", **shared, **told)  # fmt: skip
    became = "Two days at rest and a turntable: nothing seen. The cable was pinched."
    outcome = {"outcome": "no_fault_found", "words": became, "removal": _removal(hand)}
    hand.do("state_outcome", -5, "11:00", **outcome, **told)


def _removal(hand: Hand) -> str:
    """What came out of Yarrow under suspicion."""
    return str(uuid.uuid5(uuid.UUID(hand.ids["yarrow swap"]), "removal"))
