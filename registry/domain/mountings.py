"""How a bay holds a unit: one of 24 orientations in words, fine angles of its plate, lever arms; and what is asked about."""

import itertools
from collections.abc import Iterable, Mapping
from decimal import Decimal

from registry.errors import Reason

#: The six directions in FRD. They stand in `inertial/mounting.py`, too: that package stands alone, and rules import no
#: numpy. A test holds that both name the same 24 in the same words.
_DIRECTIONS = {
    "forward": (1, 0, 0),
    "aft": (-1, 0, 0),
    "starboard": (0, 1, 0),
    "port": (0, -1, 0),
    "down": (0, 0, 1),
    "up": (0, 0, -1),
}
_SAID = {"starboard": "to starboard", "port": "to port"}
DOWELS = {"two": "two dowels", "none": "no dowels"}
#: What a lever arm leads to, from the unit’s reference point.
ARMS = {"dvl": "DVL", "gnss": "GNSS antenna", "reference": "reference point of the vehicle"}
ANGLES = ("roll", "pitch", "yaw")
#: Angle -> (words for plus, words for minus). Vehicle axes forward, starboard, down (SNAME 1950).
SIGNS = {
    "roll": ("starboard down", "port down"),
    "pitch": ("bow up", "bow down"),
    "yaw": ("to starboard", "to port"),
}
AXES = {"forward": ("forward", "aft"), "starboard": ("to starboard", "to port"), "down": ("down", "up")}


def _is_right_handed(axes: tuple[str, str, str]) -> bool:
    (a, b, c), (d, e, f), (g, h, i) = (_DIRECTIONS[name] for name in axes)
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g) == 1


#: `starboard aft down` -> `x to starboard, y aft, z down`: the 24 ways a square bracket can hold a unit, square-on first.
ORIENTATIONS = {
    " ".join(axes): ", ".join(f"{axis} {_SAID.get(name, name)}" for axis, name in zip("xyz", axes, strict=True))
    for axes in itertools.permutations(_DIRECTIONS, 3)
    if _is_right_handed(axes)
}
ORIENTATIONS = {"forward starboard down": ORIENTATIONS["forward starboard down"], **ORIENTATIONS}


def say_thousandths(figure: str | Decimal) -> str:
    """A figure to a thousandth, no more digits than it has."""
    return format(round(Decimal(figure), 3).normalize(), "f")


def say_angle(name: str, degrees: str) -> str:
    """`0.35° to starboard`, for a signed figure; the sign is said in words."""
    figure = round(Decimal(degrees), 3)
    return f"{say_thousandths(abs(figure))}° {SIGNS[name][figure < 0]}" if figure else "0°"


def say_signed(degrees: str) -> str:
    """`+0.35°`, as it is typed into a unit."""
    figure = round(Decimal(degrees), 3)
    return f"{'−' if figure < 0 else '+' if figure > 0 else ''}{say_thousandths(abs(figure))}°"


def say_length(axis: str, metres: str) -> str:
    """`1.35 m forward`, for a part of a lever arm."""
    figure = Decimal(metres)
    return f"{abs(figure)} m {AXES[axis][figure < 0]}" if figure else "0 m"


def reasons_of_metres(angles: Mapping[str, str], lengths: Mapping[str, str]) -> list[Reason]:
    """An angle spelled like one of the bay’s lengths, to the digit, is taken for metres in an angle field.

    `angles` is field -> degrees, `lengths` is words -> metres. Another digit tells them apart again.
    """
    reasons = []
    for field, degrees in angles.items():
        same = [words for words, metres in lengths.items() if metres == degrees]
        if Decimal(degrees) and same:
            told = f"{degrees} is also {same[0]}, in metres. This is an angle in degrees."
            do = f"Enter the angle. If it really is {degrees}°, write it with one more digit."
            reasons.append(Reason("wrong_form", told, field, do))
    return reasons


def remarks_of_plate(angles: Iterable[str]) -> list[str]:
    """Zeros in every angle look like a form nobody filled in."""
    if any(Decimal(degrees) for degrees in angles):
        return []
    return ["All three plate angles are zero: measured, or never filled in? Enter them again once they are measured."]


def remarks_of_arm(lengths: Iterable[str]) -> list[str]:
    """A lever arm in whole half metres looks like a guess; one of zeros like a form nobody filled in."""
    lengths = [Decimal(metres) for metres in lengths]
    if not any(lengths):
        return ["The whole lever arm is zero: measured, or never filled in? Enter it again once it is measured."]
    if all(metres % Decimal("0.5") == 0 for metres in lengths):
        return ["This lever arm is in round half metres: measured, or guessed? 5 cm left over is 0.1° in a turn."]
    return []
