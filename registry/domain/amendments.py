"""Amending: what the record would be with other instants, bays or people, or without an act, and why it cannot be."""

from collections.abc import Iterable, Sequence

from registry.domain.installs import Stay
from registry.domain.matches import Pairing
from registry.domain.times import NEVER
from registry.errors import Reason

INSTANTS = {"installed": "put in", "removed": "taken out", "moved": "moved"}
#: Who an act tells of, for amending the person.
PARTS = {"done": "did it", "lifted": "lifted the old pair"}
#: What a withdrawn act can have told of.
THINGS = ("half_id", "pairing_id", "bay_id", "housing_id", "vehicle_id")
#: Acts that can be taken back, and what each is called then. The rest have an act of their own that answers them.
WITHDRAWABLE = {
    "install_pair": "an install",
    "remove_pair": "a removal",
    "swap_pairs": "a swap",
    "move_halves": "a move of halves",
    "move_vehicle": "a move of a vehicle",
    "open_housing": "an opening",
    "close_housing": "a closing",
    "record_leak_test": "a leak test",
    "check_seating": "a check of a seated pair",
    "record_knock": "a knock",
    "record_sighting": "a sighting",
    "record_firmware": "a firmware version",
    "note_fault": "a fault",
    "plan_mission": "a plan of a mission",
    "start_mission": "a start of a mission",
    "end_mission": "an end of a mission",
    "record_mission": "a mission",
    "record_distance": "what a mission ran",
    "plan_crossing": "a border crossing",
    "end_crossing": "what became of a border crossing",
}
#: What answers an act that is not taken back.
ANSWERED_BY = {
    "place_hold": "A hold is released, with evidence.",
    "sign_esd": "A sign-off ends when you leave the station.",
    "record_pairing": "A pair is ended, or superseded by another statement.",
    "record_heading_check": "Its reviewer rejects it.",
    "record_static_test": "Its reviewer rejects it.",
    "record_ship_check": "Its reviewer rejects it.",
    "record_alignment": "An alignment is withdrawn by an act of its own.",
    "fit_alignment": "An alignment is withdrawn by an act of its own.",
    "fit_dvl_run": "An alignment is withdrawn by an act of its own.",
    "amend_times": "Amend it once more.",
    "amend_bay": "Amend it once more.",
    "amend_person": "Amend it once more.",
    "amend_mission": "Amend it once more.",
}


def overlaps(one: Stay, other: Stay) -> bool:
    """Whether two stays share a bay or a half for any time."""
    shared = (
        one.bay_id == other.bay_id or one.sensor_id == other.sensor_id or one.electronics_id == other.electronics_id
    )
    return shared and one.installed_at < (other.removed_at or NEVER) and other.installed_at < (one.removed_at or NEVER)


def reasons_not_to_restate(again: Sequence[Stay], others: Iterable[Stay], pairings: dict[str, Pairing]) -> list[Reason]:
    """Why these stays, with their new instants, cannot stand beside the others and within their pairings."""
    reasons = []
    for number, stay in enumerate(again):
        if (stay.removed_at or NEVER) <= stay.installed_at:
            reasons.append(
                _told(f"{stay.pair} would have come out of {stay.bay} before it went in.", "Amend both acts together.")
            )
        pairing = pairings.get(stay.pairing_id)
        if pairing and not pairing.holds(stay.installed_at, stay.removed_at):
            reasons.append(
                _told(
                    f"{stay.say()}: the pair {pairing.name} did not hold for all of that time.",
                    "Look at the statement’s day.",
                )
            )
        reasons += [
            _told(
                f"{stay.say()} would overlap {other.say()}.",
                "Name both acts in one amendment to move the boundary they share.",
            )
            for other in [*others, *again[number + 1 :]]
            if overlaps(stay, other)
        ]
    return reasons


def _told(message: str, do: str) -> Reason:
    return Reason("overlaps_history", message, "changes", do)
