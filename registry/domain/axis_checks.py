"""The axis and sign check after each install: what a unit may show, how it is judged, and what its absence means."""

from dataclasses import dataclass

from registry.domain.findings import Finding
from registry.domain.times import say
from registry.errors import Offer

LEVELS = {
    "level": "roll and pitch near zero",
    "upside_down": "roll near 180°: upside down",
    "roll_right": "roll near +90°: starboard down",
    "roll_left": "roll near −90°: port down",
    "pitch_up": "pitch near +90°: bow up",
    "pitch_down": "pitch near −90°: bow down",
}
TILTS = {
    "pitch_down": "pitch fell: bow down",
    "pitch_up": "pitch rose: bow up",
    "roll_right": "roll rose: starboard down",
    "roll_left": "roll fell: port down",
    "nothing": "neither moved",
    "not_done": "not done",
}
TURNS = {
    "rises": "heading rose: to starboard",
    "falls": "heading fell: to port",
    "nothing": "it did not move",
    "not_done": "not done",
}
MOTIONS = {"bow_down": "bow down", "roll_right": "roll right", "turn": "turn clockwise"}
VERDICTS = {"right": "right", "wrong": "wrong", "cannot_tell": "cannot tell"}
#: Shown words -> (roll, pitch) in degrees at rest, and as parts of one tilt.
LEVEL_DEG = {
    "level": (0.0, 0.0), "upside_down": (180.0, 0.0), "roll_right": (90.0, 0.0), "roll_left": (-90.0, 0.0),
    "pitch_up": (0.0, 90.0), "pitch_down": (0.0, -90.0),
}  # fmt: skip
TILT_PARTS = {"pitch_down": (0, -1), "pitch_up": (0, 1), "roll_right": (1, 0), "roll_left": (-1, 0)}
#: A smaller tilt leaves mountings that cannot be told apart (arithmetic: sqrt(2) g sin 5° is three times the noise).
LEAST_TILT_DEG = 5


@dataclass(frozen=True, slots=True)
class AxisCheck:
    """A check on record, newest of its stay. `verdict` is one of VERDICTS; `outdated` says what happened since that it
    says nothing of."""

    id: str
    verdict: str
    told: str
    next: str
    checked_at: str
    seq: int
    outdated: str = ""

    @property
    def holds(self) -> bool:
        """Whether the signs are right, and nothing happened since that could change them."""
        return self.verdict == "right" and not self.outdated


def not_told(bow_down: str, roll_right: str, turn: str) -> tuple[str, str] | None:
    """Why nothing can be said yet, and what to do: a motion that was not made, or that moved nothing on the unit."""
    shown = {"bow_down": bow_down, "roll_right": roll_right, "turn": turn}
    if missing := [MOTIONS[name] for name, words in shown.items() if words == "not_done"]:
        do = f"Make the rest: {', '.join(missing)}, by {LEAST_TILT_DEG}° or more."
        return f"Not done yet: {', '.join(missing)}. Standing still proves nothing about orientation.", do
    if still := [MOTIONS[name] for name, words in shown.items() if words == "nothing"]:
        do = f"See that the unit is running and has settled, tilt by {LEAST_TILT_DEG}° or more, and look again."
        return f"Nothing moved on the unit at {', '.join(still)}.", do
    return None


def finding_of_check(
    check: AxisCheck | None, bay: str, bay_id: str, pair: str, installed_at: str, installed_seq: int | None = None
) -> Finding | None:
    """What stands against a bay with a pair in it. None when the signs are right.

    Missing stops: a unit that is entered turned or upside down passes every standing test and gives a heading that
    looks right; it takes a minute on deck, and nothing aboard finds it later.
    """
    again = Offer("record_axis_check", "Enter the axis and sign check", {"bay": bay_id})
    if check is None:
        told = f"{pair} went in {say(installed_at)}; no bow down, roll right, turn clockwise since. A standing test does not prove orientation."
        return Finding(
            "stops", "axis_check_missing", f"Bay {bay}: axis and sign check missing", told, installed_seq, bay, again
        )
    told = f"{check.told} {check.next}"
    if check.verdict == "wrong":
        return Finding("stops", "axis_check_wrong", f"Bay {bay}: a sign is wrong", told, check.seq, bay, again)
    if check.verdict == "cannot_tell":
        fact = f"Bay {bay}: the axis and sign check cannot tell yet"
        return Finding("stops", "axis_check_missing", fact, told, check.seq, bay, again)
    if check.outdated:
        told = f"{check.outdated} The check of {say(check.checked_at)} says nothing of that: repeat it."
        fact = f"Bay {bay}: axis and sign check no longer counts"
        return Finding("stops", "axis_check_missing", fact, told, check.seq, bay, again)
    return None
