"""Mounting checks, a recorded axis and sign check, and contracts of the invented outfit."""

import math
import random
from decimal import Decimal
from typing import Any

from registry.demo.alignments import bays
from registry.demo.hand import Hand
from registry.demo.outfit import START

_G = 9.81


def recorded_motions(seed: int = 3) -> bytes:
    """What a unit showed level, bow down by 9°, rolled right by 8°, and in a turn clockwise by 70°: ten rows a second."""
    dice = random.Random(seed)
    rows = ["# invented recording of what a unit showed", "time_s,phase,roll_deg,pitch_deg,heading_deg"]
    held = (("level", 0.0, 0.0), ("", 0.0, -4.0), ("bow_down", 0.2, -9.0), ("", 4.0, -2.0), ("roll_right", 8.0, 0.3))
    for phase, roll, pitch in (*held, ("", 3.0, 0.0), ("turn", 0.0, 0.0)):
        for number in range(80 if phase else 20):
            heading = 300.0 + (number * 0.9 if phase == "turn" else 0.0)
            shown = (roll + dice.gauss(0, 0.06), pitch + dice.gauss(0, 0.06), (heading + dice.gauss(0, 0.1)) % 360)
            rows.append(f"{(len(rows) - 2) / 10:.1f},{phase},{shown[0]:.3f},{shown[1]:.3f},{shown[2]:.3f}")
    return ("\n".join(rows) + "\n").encode()


def recorded_poses(seed: int = 5, *, across: bool = True) -> bytes:
    """What a unit felt level and with the bow up by 8°, and in a turn to starboard at 6°/s: five rows a second."""
    dice = random.Random(seed)
    names = [f"acc_{axis}_m_s2" for axis in "xyz"] + [f"gyro_{axis}_deg_s" for axis in "xyz"]
    rows = ["# invented recording of what a unit felt", ",".join(["time_s", "phase", *names, "pitch_deg", "roll_deg"])]
    for phase, pitch, turn in (("level", 0.0, 0.0), ("bow_up", 8.0, 0.0), ("turn", 0.0, 6.0)):
        for _ in range(60):
            forward, starboard, down = felt(pitch)
            x, y = (starboard, -forward) if across else (forward, starboard)
            figures = [one + dice.gauss(0, 0.01) for one in (x, y, down)]
            figures += [one + dice.gauss(0, 0.02) for one in (0.0, 0.0, turn)]
            told = ",".join(f"{one:.4f}" for one in figures)
            rows.append(f"{(len(rows) - 2) / 5:.1f},{phase},{told},{pitch:.2f},0.00")
    return ("\n".join(rows) + "\n").encode()


def felt(pitch_deg: float) -> tuple[float, float, float]:
    """Specific force of a vehicle at rest: forward, to starboard, down."""
    pitch = math.radians(pitch_deg)
    return _G * math.sin(pitch), 0.0, -_G * math.cos(pitch)


def typed_poses(bay: str, *tilts: float, turned: bool = False) -> list[dict[str, str]]:
    """Poses as a technician writes them down; `turned` by half a turn about the vertical, as a unit put in backwards feels."""
    rows = []
    for tilt in tilts:
        forward, starboard, down = felt(tilt)
        x, y = (starboard, -forward) if bays().index(bay) % 3 else (forward, starboard)
        sign = -1 if turned else 1
        told = {"force_x_m_s2": sign * x, "force_y_m_s2": sign * y, "force_z_m_s2": down}
        kept = {name: f"{Decimal(f'{value:.3f}') + 0:f}" for name, value in told.items()}
        rows.append({"pitch_deg": f"{tilt:.1f}", "roll_deg": "0.0", "seconds": "60", **kept})
    return rows


def check_mountings(hand: Hand) -> None:
    """The last weeks: one sits as entered, level poses of another cannot tell, one sits backwards; one check is recorded."""
    told: dict[str, Any] = {"by": "Yusuf Lind"}
    words = "Inclinometer on the keel line."
    hand.do(
        "record_mounting_check", -8, "15:00", bay="Teasel A", poses=typed_poses("Teasel A", 0, 8), words=words, **told
    )
    hand.do("record_mounting_check", -8, "15:30", bay="Tansy A", poses=typed_poses("Tansy A", 0), words=words, **told)
    backwards = typed_poses("Sorrel A", 0, 7, turned=True)
    hand.do("record_mounting_check", -7, "09:00", bay="Sorrel A", poses=backwards, words=words, **told)
    files = [hand.keep("invented motions of Teasel A.csv", recorded_motions())]
    hand.do("record_axis_recording", -8, "15:10", bay="Teasel A", files=files, **told)


def bind(hand: Hand) -> None:
    """A contract that is over, one in force, and one to come."""
    terms = (
        ("Teasel", "invented charter 118, clause 9", START + 200, START + 420, True, None),
        ("Yarrow", "invented survey 231, clause 4", -60, None, True, 9),
        ("Burdock", "invented survey 240, clause 4", 30, 120, False, 6),
    )
    for vehicle, reference, since, until, stops, months in terms:
        told: dict[str, Any] = {"overdue_stops": True} if stops else {}
        told |= {"verification_months": months} if months else {}
        told |= {"until_on": hand.at(until).date().isoformat()} if until is not None else {}
        day, on = min(since, -5), hand.at(since).date().isoformat()
        hand.do(
            "bind_contract", day, "08:00", by="Tomas Oyelaran", vehicle=vehicle, reference=reference, from_on=on, **told
        )
