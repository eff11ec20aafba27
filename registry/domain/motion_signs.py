"""From what a unit showed in a recording to the signs of the axis and sign check; too small or ambiguous is refused."""

import math
from collections.abc import Mapping
from typing import Any

from registry.domain.axis_checks import LEAST_TILT_DEG, MOTIONS
from registry.errors import Reason

#: The phases a recording names, in the order of the work.
PHASES = ("level", *MOTIONS)
LEAST_TURN_DEG = 15
#: A change counts when it is so many of its sigmas (P); within a phase it may waver by a third of the change (P).
LEAST_SIGMAS = 5
_STEADY, _OTHER = 1 / 3, 1 / 2
#: A level attitude may lie so far from the nearest square one (P).
_NEAR_DEG = 20.0
_LEVEL_ROLL = {"level": 0.0, "upside_down": 180.0, "roll_right": 90.0, "roll_left": -90.0}
_WORDS = {
    "pitch": {True: "pitch_up", False: "pitch_down"},
    "roll": {True: "roll_right", False: "roll_left"},
}
Shown = Mapping[str, Mapping[str, str]]


def signs_of(shown: Shown) -> tuple[dict[str, str], list[Reason]]:
    """Phase -> figures of what was shown, to the fields of an axis and sign check; or every reason why a motion tells
    nothing, with what to do."""
    missing = [name for name in PHASES if name not in shown]
    if missing:
        told = f"The recording lacks {', '.join(MOTIONS.get(name, name) for name in missing)}."
        return {}, [_cannot(told, f"Name the phases {', '.join(PHASES)}, each held for five seconds or more.")]
    signs, reasons, tilts = {}, [], []
    level = _level(shown["level"])
    signs["level"] = level or ""
    if level is None:
        told = f"Held level, the unit showed roll {_say(shown['level'], 'roll')} and pitch {_say(shown['level'], 'pitch')}: near no square attitude."
        reasons.append(_cannot(told, "Hold the vehicle level and record again, or enter by hand what the unit shows."))
    for name in ("bow_down", "roll_right"):
        sign, size, why = _tilt(shown["level"], shown[name], MOTIONS[name])
        signs[name] = sign
        tilts.append(size)
        reasons += why
    signs["turn"], why = _turn(shown["turn"])
    signs["tilt_deg"] = f"{math.floor(10 * min(tilts)) / 10:.1f}"
    return signs, reasons + why


def say_signs(shown: Shown) -> str:
    """`bow down: pitch −10.1° ± 0.2°; …`: what moved at each motion, with twice its sigma."""
    told = []
    for name in ("bow_down", "roll_right"):
        axis, change, sigma = max(_changes(shown["level"], shown[name]), key=lambda one: abs(one[1]))
        told.append(f"{MOTIONS[name]}: {axis} {_signed(change)} ± {2 * sigma:.2f}°")
    turned = float(shown["turn"]["turned_deg"])
    told.append(f"{MOTIONS['turn']}: heading {_signed(turned)} ± {2 * float(shown['turn']['turned_sigma_deg']):.2f}°")
    return f"From a recording: {'; '.join(told)}."


def _level(shown: Mapping[str, str]) -> str | None:
    roll, pitch = float(shown["roll_deg"]), float(shown["pitch_deg"])
    off = {name: abs((roll - square + 180) % 360 - 180) for name, square in _LEVEL_ROLL.items()}
    nearest = min(off, key=off.__getitem__)
    return nearest if max(off[nearest], abs(pitch)) <= _NEAR_DEG else None


def _changes(level: Mapping[str, str], held: Mapping[str, str]) -> list[tuple[str, float, float]]:
    """(axis, change in degrees, its sigma) of roll and pitch against level."""
    found = []
    for axis in ("roll", "pitch"):
        change = (float(held[f"{axis}_deg"]) - float(level[f"{axis}_deg"]) + 180) % 360 - 180
        sigma = math.hypot(float(held[f"{axis}_sigma_deg"]), float(level[f"{axis}_sigma_deg"]))
        found.append((axis, change, sigma))
    return found


def _tilt(level: Mapping[str, str], held: Mapping[str, str], motion: str) -> tuple[str, float, list[Reason]]:
    (lesser, less, _), (axis, change, sigma) = sorted(_changes(level, held), key=lambda one: abs(one[1]))
    size, spread = abs(change), float(held["spread_deg"])
    told, do = "", f"Tilt by {LEAST_TILT_DEG}° or more, hold it still, and record again."
    if size < LEAST_TILT_DEG:
        told = f"At {motion} the unit showed a change of {size:.1f}°; {LEAST_TILT_DEG}° or more tell something."
    elif size > 60:
        told = f"At {motion} the unit showed a change of {size:.0f}°, which is no tilt on deck."
        do = "Look at the units of the columns, or tilt by 5 to 60°."
    elif size < LEAST_SIGMAS * sigma:
        told = f"At {motion} the unit showed a change of {size:.1f}° ± {2 * sigma:.1f}°: it is lost in its scatter."
        do = "Hold each attitude longer and stiller, and record again."
    elif spread > _STEADY * size:
        told = f"At {motion} the attitude wavered by {spread:.1f}°, at a change of {size:.1f}°."
    elif abs(less) > _OTHER * size:
        told = f"At {motion} the unit showed {axis} {_signed(change)} and {lesser} {_signed(less)} at once."
        do = "Tilt about one axis only, and record again."
    return _WORDS[axis][change > 0], size, [_cannot(told, do)] if told else []


def _turn(shown: Mapping[str, str]) -> tuple[str, list[Reason]]:
    turned, back = float(shown["turned_deg"]), float(shown["back_deg"])
    told = ""
    if abs(turned) < max(LEAST_TURN_DEG, LEAST_SIGMAS * float(shown["turned_sigma_deg"])):
        told = f"In the turn the heading went by {abs(turned):.1f}°; {LEAST_TURN_DEG}° or more tell something."
    elif back > _STEADY * abs(turned):
        told = f"In the turn the heading went {_signed(turned)} in all, but {back:.1f}° back on the way."
    do = "Turn clockwise, seen from above, by 30° or more in one go, and record again."
    return "rises" if turned > 0 else "falls", [_cannot(told, do)] if told else []


def _say(shown: Mapping[str, str], axis: str) -> str:
    return _signed(float(shown[f"{axis}_deg"]))


def _signed(degrees: float) -> str:
    return f"{degrees:+.1f}°".replace("-", "−")


def _cannot(told: str, do: str) -> Reason:
    return Reason("cannot_compute", told, "files", do)


def kept(attitude: Any) -> dict[str, str]:
    """What is kept of one phase, to a ten-thousandth of a degree; a sigma of nothing would claim to be exact."""
    told = {name: f"{value:.4f}" for name, value in attitude.items() if name not in ("motion", "seconds")}
    told |= {name: max(value, "0.0001") for name, value in told.items() if name.endswith("sigma_deg")}
    return {"seconds": f"{attitude['seconds']:.1f}", **told}
